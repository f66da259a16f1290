package plan

import (
	"errors"
	"math"
	"testing"

	"evenrim/model"
)

// bracket is a job with every source switched on, large enough to tell.
func bracket() Flip {
	return Flip{
		LengthMM: 80, WidthMM: 50, ThicknessMM: 16, Axis: model.FlipAboutY, Material: Materials[0],
		ToleranceMM: 0.0254, Zone: model.RoundZone,
		Features: []Feature{
			{Name: "A", At: model.Vec{X: 10, Y: -12}},
			{Name: "B", At: model.Vec{X: 70, Y: -38}},
			{Name: "rear", At: model.Vec{X: 30, Y: 0}, Wall: true, NormalRad: math.Pi / 2},
			{Name: "right", At: model.Vec{X: 80, Y: -20}, Wall: true, NormalRad: 0},
		},
		ProbeSDMM: 0.003, Touches: 2, ProbeDepthMM: 5, SameFaces: true,
		RadiusMM: 0.004, LengthOf: 0.01, FormMM: 0.01, SeatMM: 0.005, LiftMM: 0.02, SquareMM: 0.05, JawMM: 0.01, DriftMM: 0.004, WarmK: 4,
		Deflection1MM: 0.008, Deflection2MM: 0.012,
	}
}

func compare(t *testing.T, f Flip, parts int) {
	t.Helper()
	sim := f.Simulate(parts, 7)
	for i, q := range f.Features {
		mean, cov := f.Expected(q)
		spread := math.Sqrt(cov.XX + cov.YY)
		tol := 6*spread/math.Sqrt(float64(parts)) + 2e-6 // six standard errors, and what is second order
		if d := sim.Mean[i].Sub(mean).Norm(); d > tol {
			t.Errorf("%s: mean by simulation %v, closed form %v mm, tolerance %.2g", q.Name, sim.Mean[i], mean, tol)
		}
		tol = 0.05*(cov.XX+cov.YY) + 1e-12
		for k, d := range []float64{sim.Cov[i].XX - cov.XX, sim.Cov[i].XY - cov.XY, sim.Cov[i].YY - cov.YY} {
			if math.Abs(d) > tol {
				t.Errorf("%s: covariance %d by simulation %+v, closed form %+v mm², tolerance %.2g", q.Name, k, sim.Cov[i], cov, tol)
			}
		}
	}
}

func compareAll(t *testing.T, f Flip) {
	compare(t, f, 30000)
	for s := range nSources {
		t.Run(s.String(), func(t *testing.T) { compare(t, f.only(s), 8000) })
	}
}

// The closed form and a solid part laid into two vises agree, for each source
// alone, both flips, same and opposite faces, touched each time or once.
func TestClosedFormAgreesWithCutting(t *testing.T) {
	for _, axis := range []model.FlipAxis{model.FlipAboutY, model.FlipAboutX} {
		for _, same := range []bool{true, false} {
			for _, first := range []bool{false, true} {
				f := bracket()
				f.Axis, f.SameFaces, f.FirstOnly = axis, same, first
				t.Run(string(axis)+map[bool]string{true: " same", false: " opposite"}[same]+map[bool]string{true: " first only", false: ""}[first], func(t *testing.T) {
					compareAll(t, f)
				})
			}
		}
		f := bracket()
		f.Axis, f.MilledFaces, f.FaceProudMM = axis, true, 0.003
		t.Run(string(axis)+" milled faces", func(t *testing.T) { compareAll(t, f) })
	}
}

// Each effect by hand, from geometry alone.
func TestEffectsByHand(t *testing.T) {
	hole := Feature{Name: "A", At: model.Vec{X: 70, Y: -10}}
	wall := Feature{Name: "right", At: model.Vec{X: 80, Y: -20}, Wall: true}
	for _, tt := range []struct {
		name         string
		s            Source
		change       func(*Flip)
		at           Feature
		mean, sd     model.Vec
		whereItComes string
	}{
		{"probe", Probe, nil, hole, model.Vec{}, model.Vec{X: 0.003, Y: 0.003}, "0.003 each touch, two touches a face, two setups: 0.003 sqrt(2/2)"},
		{"jaw", Jaw, nil, hole, model.Vec{}, model.Vec{X: 2 * 1e-4 / math.Sqrt(3) * 15, Y: 2 * 1e-4 / math.Sqrt(3) * 30}, "0.01 in 100 is 1e-4 rad; twice it, at 15 and 30 mm from the touched places"},
		{"warm", Warmth, nil, hole, model.Vec{}, model.Vec{X: 23.6e-6 * 4 / math.Sqrt(3) * 70, Y: 23.6e-6 * 4 / math.Sqrt(3) * 10}, "expansion"},
		{"size, same faces", Size, nil, hole, model.Vec{}, model.Vec{}, "does not come in"},
		{"size, opposite faces", Size, func(f *Flip) { f.SameFaces = false }, hole, model.Vec{}, model.Vec{X: 0.01 / math.Sqrt(3)}, "once, along the mirrored axis"},
		{"stylus, opposite faces", Stylus, func(f *Flip) { f.SameFaces = false }, hole, model.Vec{}, model.Vec{X: 2 * 0.004 / math.Sqrt(3)}, "twice: it pushes from both ends"},
		{"square", Square, nil, hole, model.Vec{}, model.Vec{X: 6 * 5e-4 / math.Sqrt(3), Y: 6 * 5e-4 / math.Sqrt(3)}, "touched 5 mm below either face of 16 mm: 6 mm apart"},
		{"lift", Lift, nil, hole, model.Vec{Y: -(11 + 5) * 0.01 / 50}, model.Vec{Y: 0.01 / math.Sqrt(3) / 50 * math.Hypot(11, 5)}, "0 to 0.02 over 50 mm width; setup 1's exit is 11 mm below the touch, setup 2's face 5 above"},
		{"lift about X", Lift, func(f *Flip) { f.Axis = model.FlipAboutX }, hole, model.Vec{Y: (11 - 5) * 0.01 / 50}, model.Vec{Y: 0.01 / math.Sqrt(3) / 50 * math.Hypot(11, 5)}, "the leans partly cancel"},
		{"deflection, hole", Deflection, nil, hole, model.Vec{}, model.Vec{}, "a hole cut all round keeps its axis"},
		{"deflection, wall", Deflection, nil, wall, model.Vec{X: 0.004}, model.Vec{X: 0.3 * math.Hypot(0.008, 0.012)}, "setup 2's half stands proud by the difference"},
	} {
		f := bracket()
		if tt.change != nil {
			tt.change(&f)
		}
		mean, cov := f.only(tt.s).Expected(tt.at)
		if d := mean.Sub(tt.mean).Norm(); d > 1e-12 {
			t.Errorf("%s: mean %v, want %v mm (%s)", tt.name, mean, tt.mean, tt.whereItComes)
		}
		if x, y := math.Sqrt(cov.XX), math.Sqrt(cov.YY); math.Abs(x-tt.sd.X) > 1e-12 || math.Abs(y-tt.sd.Y) > 1e-12 {
			t.Errorf("%s: sd %.6f, %.6f, want %v mm (%s)", tt.name, x, y, tt.sd, tt.whereItComes)
		}
	}
}

// 6061 over 100 mm and 1 K: 2.36 um (three data sheets of 6061-T6).
func TestMaterialFromTheTable(t *testing.T) {
	m, ok := MaterialNamed("Aluminium 6061")
	if got := m.PerK * 100; !ok || math.Abs(got-0.00236) > 1e-9 {
		t.Errorf("100 mm of 6061 grow %.5f mm in 1 K, want 0.00236", got)
	}
	seen := map[string]bool{}
	for _, m := range Materials {
		if m.Source == "" || seen[m.Name] || m.PerK < 1e-6 || m.PerK > 40e-6 {
			t.Errorf("material %+v: a name of its own, a source and a likely value are needed", m)
		}
		seen[m.Name] = true
	}
}

func TestOutlookAgreesWithItsSimulation(t *testing.T) {
	f := bracket()
	o, err := f.Look(20000, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range o.Features {
		// Sources are few and many are rectangular: the normal form of the share is
		// good to a few parts in a hundred.
		if math.Abs(q.Within-q.SimWithin) > 0.04 {
			t.Errorf("%s: %.3f of parts within by closed form, %.3f by simulation", q.Name, q.Within, q.SimWithin)
		}
		if o.All > q.SimWithin {
			t.Errorf("all features hold in %.3f of parts, %s alone in %.3f", o.All, q.Name, q.SimWithin)
		}
	}
	sum := 0.0
	for i, s := range o.Sources {
		sum += s.Share
		if i > 0 && s.Share > o.Sources[i-1].Share {
			t.Errorf("sources are not by size: %v after %v", s, o.Sources[i-1])
		}
		if s.HalvedMid95MM > o.Features[o.Worst].Mid95MM*(1+1e-9) {
			t.Errorf("halving %v makes it worse: %.4f from %.4f mm", s.Source, s.HalvedMid95MM, o.Features[o.Worst].Mid95MM)
		}
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("shares sum to %g", sum)
	}
	again, _ := f.Look(20000, 1)
	if again.All != o.All {
		t.Errorf("the same seed gave %v and %v", o.All, again.All)
	}
}

// A flip without any error is always within, and 95 % of one with a single normal
// error an axis is Rayleigh's 2.4477 sigma (closed form, table value).
func TestOutlookHasItsKnownLimits(t *testing.T) {
	f := bracket()
	clean := f.only(Source(-1))
	o, err := clean.Look(2000, 1)
	if err != nil || o.All != 1 || o.Features[0].Within != 1 || o.Features[0].Mid95MM != 0 || len(o.Sources) != 0 {
		t.Errorf("without errors: %+v, %v; want everything within and no source", o, err)
	}
	p := f.only(Probe).expect(f.Features[0])
	if want := 2.44775 * 0.003; math.Abs(p.Mid95MM-want) > 1e-7 {
		t.Errorf("95 %% stay below %.7f mm, want %.7f", p.Mid95MM, want)
	}
}

func TestValidateNamesTheField(t *testing.T) {
	for _, tt := range []struct {
		field  string
		change func(*Flip)
	}{
		{"length", func(f *Flip) { f.LengthMM = 0 }},
		{"probe", func(f *Flip) { f.ProbeSDMM = -1 }},
		{"jaw", func(f *Flip) { f.JawMM = math.NaN() }},
		{"form", func(f *Flip) { f.FormMM = 10 }},
		{"probe-depth", func(f *Flip) { f.ProbeDepthMM = 40 }},
		{"warm", func(f *Flip) { f.WarmK = 500 }},
		{"features", func(f *Flip) { f.Features = nil }},
		{"flip", func(f *Flip) { f.Axis = "sideways" }},
	} {
		f := bracket()
		tt.change(&f)
		var in *InputError
		if err := f.Validate(); !errors.As(err, &in) || in.Field != tt.field {
			t.Errorf("%s: got %v", tt.field, err)
		}
	}
}
