package plan

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"evenrim/model"

	"pgregory.net/rapid"
)

// rest is a part 60 x 40 mm, drawing zero at its lower left corner, whose rear and
// left faces are finished.
func rest() PickUp {
	return PickUp{
		A: Face{Side: Rear, AtMM: 40}, B: Face{Side: Left, AtMM: 0}, StylusMM: 4,
		ProbeSDMM: 0.003, FormMM: 0.006, RadiusMM: 0.004, FaceMM: 0.01,
		Feature: model.Vec{X: 45, Y: 12}, Check: Right, CheckAtMM: 60, CheckAlongMM: 20,
	}
}

// touched fills in touches of a part that lies at offset, turned by rot: on A at
// drawing x, on B at drawing y.
func touched(p PickUp, offset model.Vec, rot float64, onA, onB []float64) PickUp {
	put := func(f *Face, along []float64) {
		n, _ := f.Side.Normal()
		f.Touches = nil
		for _, a := range along {
			q := model.Vec{X: f.AtMM, Y: a}
			if !f.Side.Across() {
				q = model.Vec{X: a, Y: f.AtMM}
			}
			q = q.Add(n.Scale(p.ballMM()))
			f.Touches = append(f.Touches, offset.Add(q.Rotate(rot)))
		}
	}
	put(&p.A, onA)
	put(&p.B, onB)
	return p
}

func TestPickUpFindsWhereThePartLies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rest()
		p.A.Side = rapid.SampledFrom([]Side{Rear, Front}).Draw(t, "a")
		p.B.Side = rapid.SampledFrom([]Side{Left, Right}).Draw(t, "b")
		p.A.AtMM, p.B.AtMM = rapid.Float64Range(-50, 50).Draw(t, "at a"), rapid.Float64Range(-50, 50).Draw(t, "at b")
		p.RadiusIncluded = rapid.Bool().Draw(t, "included")
		o := model.Vec{X: rapid.Float64Range(-500, 500).Draw(t, "x"), Y: rapid.Float64Range(-500, 500).Draw(t, "y")}
		rot := rapid.Float64Range(-0.6, 0.6).Draw(t, "rot")
		p = touched(p, o, rot, []float64{5, 30, 55}, []float64{20})
		f, err := p.Find()
		if err != nil {
			t.Fatal(err)
		}
		if f.Offset.Sub(o).Norm() > 1e-8 || math.Abs(f.RotationRad-rot) > 1e-10 {
			t.Errorf("found %v turned %.6f, the part lies at %v turned %.6f", f.Offset, f.RotationRad, o, rot)
		}
		if want := o.Add(p.Feature.Rotate(rot)); f.FeatureAt.Sub(want).Norm() > 1e-8 {
			t.Errorf("new feature at %v, want %v", f.FeatureAt, want)
		}
	})
}

// Given the ball's centre instead of the contact, and called the contact, the
// offset is off by the radius: the mistake that the page warns of.
func TestStylusRadiusMatters(t *testing.T) {
	p := touched(rest(), model.Vec{X: 100, Y: 200}, 0, []float64{5, 55}, []float64{20})
	p.RadiusIncluded = true
	f, err := p.Find()
	if err != nil {
		t.Fatal(err)
	}
	if want := (model.Vec{X: 98, Y: 202}); f.Offset.Sub(want).Norm() > 1e-9 {
		t.Errorf("offset %v, want %v: left face and rear face each a radius (2 mm) outwards", f.Offset, want)
	}
}

// Closed forms: two touches L apart give the rotation to sd sqrt(2)/L of a
// touch's; a face parallel to X touched twice at x = 5 and 55 gives y0 at x = 0 by
// extrapolation: sd touch x sqrt(1/2 + 30²/1250).
func TestPickUpUncertaintyByHand(t *testing.T) {
	p := touched(rest(), model.Vec{}, 0, []float64{5, 55}, []float64{20})
	p.FormMM, p.RadiusMM, p.FaceMM = 0, 0, 0
	f, err := p.Find()
	if err != nil {
		t.Fatal(err)
	}
	if got, want := math.Sqrt(f.Cov[2][2]), 0.003*math.Sqrt2/50; math.Abs(got-want) > 1e-12 {
		t.Errorf("rotation's sd %.3e, want %.3e rad", got, want)
	}
	if got, want := math.Sqrt(f.Cov[1][1]), 0.003*math.Sqrt(0.5+900.0/1250); math.Abs(got-want) > 1e-10 {
		t.Errorf("sd of Y %.6f, want %.6f mm", got, want)
	}
	if !math.IsNaN(f.PValue) || f.DOF != 0 || len(f.Warnings) == 0 {
		t.Errorf("three touches check nothing: p %v, dof %d, %q", f.PValue, f.DOF, f.Warnings)
	}
}

// Where to touch for the check and what it has to show are both of the ball's centre, or
// both of the contact.
func TestTheCheckIsOfOnePoint(t *testing.T) {
	for _, contact := range []bool{false, true} {
		p := rest()
		p.RadiusIncluded = contact
		o := model.Vec{X: 100, Y: 200}
		f, err := touched(p, o, 0, []float64{5, 55}, []float64{20}).Find()
		if err != nil {
			t.Fatal(err)
		}
		want := model.Vec{X: 60 + map[bool]float64{false: 2}[contact], Y: 20}
		if got := f.CheckAt.Sub(o); got.Sub(want).Norm() > 1e-9 || math.Abs(f.CheckReads-want.X) > 1e-9 {
			t.Errorf("contact %v: touch at %v from part zero, X has to show %g; want %v", contact, got, f.CheckReads, want)
		}
	}
}

// Many part-loads of touches with every error drawn: the stated covariance is that
// of what is found, and the check's limits hold 95 %.
func TestPickUpUncertaintyBySimulation(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	flat := func(half float64) float64 { return half * (2*rng.Float64() - 1) }
	o := model.Vec{X: 212.4, Y: -81.3}
	const rot, runs = 0.012, 6000
	var sx, sy, sa, stated [3]float64
	held := 0
	for range runs {
		p := touched(rest(), o, rot, []float64{5, 30, 55}, []float64{8, 32})
		radius := flat(p.RadiusMM)
		ends := [2]float64{flat(p.FaceMM), flat(p.FaceMM)}
		noise := func(face *Face, end float64) {
			n, _ := face.Side.Normal()
			for i := range face.Touches {
				d := end + radius + p.ProbeSDMM*rng.NormFloat64() + flat(p.FormMM/2)
				face.Touches[i] = face.Touches[i].Add(n.Rotate(rot).Scale(d))
			}
		}
		noise(&p.A, ends[0])
		noise(&p.B, ends[1])
		f, err := p.Find()
		if err != nil {
			t.Fatal(err)
		}
		d := f.Offset.Sub(o)
		sx[0] += d.X * d.X
		sy[0] += d.Y * d.Y
		sa[0] += (f.RotationRad - rot) * (f.RotationRad - rot)
		stated = [3]float64{f.Cov[0][0], f.Cov[1][1], f.Cov[2][2]}
		// The check face as it is, touched, read in the new offset.
		n := model.Vec{X: 1}
		at := o.Add(model.Vec{X: 60 + p.ballMM(), Y: 20}.Rotate(rot)).Add(n.Rotate(rot).Scale(flat(p.FaceMM) + radius + p.ProbeSDMM*rng.NormFloat64() + flat(p.FormMM/2)))
		reads := at.Sub(f.Offset).Rotate(-f.RotationRad).X
		if math.Abs(reads-f.CheckReads) <= f.CheckU95MM {
			held++
		}
	}
	for i, q := range []struct {
		name string
		got  float64
	}{{"X", sx[0] / runs}, {"Y", sy[0] / runs}, {"rotation", sa[0] / runs}} {
		if r := math.Sqrt(q.got / stated[i]); r < 0.95 || r > 1.05 {
			t.Errorf("%s scatters by %.3f of what is stated", q.name, r)
		}
	}
	// The radius's error is in both the offset and the check, and partly cancels or
	// adds by the sides touched: the limits lean to the safe side.
	if c := float64(held) / runs; c < 0.94 || c > 0.99 {
		t.Errorf("the check's limits hold %.3f of good parts, want about 0.95", c)
	}
}

func TestPickUpSaysWhatIsWrong(t *testing.T) {
	good := touched(rest(), model.Vec{X: 10, Y: 20}, 0.001, []float64{5, 30, 55}, []float64{8, 32})
	for _, tt := range []struct {
		field  string
		change func(*PickUp)
	}{
		{"face-a", func(p *PickUp) { p.A.Touches = nil }},
		{"face-a", func(p *PickUp) { p.A.Touches, p.B.Touches = p.A.Touches[:1], p.B.Touches[:1] }},
		{"face-b", func(p *PickUp) { p.B.Side = Front }},
		{"stylus", func(p *PickUp) { p.StylusMM = 0 }},
		{"probe", func(p *PickUp) { p.ProbeSDMM, p.FormMM = 0, 0 }},
		{"check", func(p *PickUp) { p.Check = "" }},
	} {
		p := good
		tt.change(&p)
		var in *InputError
		if _, err := p.Find(); !errors.As(err, &in) || in.Field != tt.field {
			t.Errorf("%s: got %v", tt.field, err)
		}
	}
	p := good
	p.A.Touches = []model.Vec{{X: 15, Y: 62}, {X: 40, Y: 62.05}, {X: 65, Y: 62}}
	f, err := p.Find()
	if err != nil || f.PValue > 1e-4 || !strings.Contains(strings.Join(f.Warnings, " "), "disagree") {
		t.Errorf("a burr of 0.05 mm: p %v, %q, %v", f.PValue, f.Warnings, err)
	}
	p = good
	p.A.Touches = []model.Vec{{X: 15, Y: 62}, {X: 15, Y: 62}}
	p.B.Touches = p.B.Touches[:1]
	if _, err := p.Find(); !errors.Is(err, model.ErrDegenerate) {
		t.Errorf("two touches at one place: %v, want %v", err, model.ErrDegenerate)
	}
}
