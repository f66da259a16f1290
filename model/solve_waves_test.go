package model

import (
	"math"
	"math/rand/v2"
	"testing"
)

// wave moves a rim's points outwards by a cosine of order times round.
func wave(rim []EdgePoint, c Camera, px, phase float64, order int) {
	for i := range rim {
		e := &rim[i]
		a := math.Atan2(e.Y-c.CY, e.X-c.CX)
		w := px * math.Cos(float64(order)*a+phase)
		e.X, e.Y = e.X+w*math.Cos(a), e.Y+w*math.Sin(a)
	}
}

func leaning(slope float64, rng *rand.Rand) view {
	lean := Polar(slope, 2*math.Pi*rng.Float64())
	return view{Camera{CX: 799.5, CY: 599.5, U0: 799.5, V0: 599.5, PxPerMM: 80, InvDistPerMM: 1.0 / 200, SlopeX: lean.X, SlopeY: lean.Y},
		Solid{RadiusMM: 4, WidthMM: 0.3, ThicknessMM: 10, HalfAngle: math.Pi / 4, Mismatch: Vec{0.01, 0}}}
}

// heldBy says that the reading's 95 % region holds the truth.
func (v view) heldBy(r *Reading) bool {
	off := r.Mismatch.Sub(v.solid.Mismatch)
	return r.Cov.Mahalanobis2(off) < sq(CoverageFactor(EffectiveDOF(r.Budget)))
}

// waveAsEdgesDo makes a rim wave as light and lay do: twice round with px as the sd of the cosine
// and of the sine, and three to six times round half as much.
func waveAsEdgesDo(rim []EdgePoint, c Camera, px float64, rng *rand.Rand) {
	for order := 2; order <= 6; order++ {
		sd := px
		if order > 2 {
			sd = px / 2
		}
		wave(rim, c, sd*math.Hypot(rng.NormFloat64(), rng.NormFloat64()), 2*math.Pi*rng.Float64(), order)
	}
}

// A wave twice round, as light and lay make it on real edges, looks like a tilt. A
// view that is had from the flattening alone must not believe it, on edges that wave little and much.
func TestAWaveTwiceRoundIsNotTakenForATilt(t *testing.T) {
	for _, px := range []float64{0.05, 0.13, 0.4} {
		rng := rand.New(rand.NewPCG(5, 26))
		const n = 60
		covered := 0
		for range n {
			v := leaning(0.03*rng.Float64(), rng)
			tr := v.trace(0.05, false, rng)
			waveAsEdgesDo(tr.Outer, v.cam, px, rng)
			waveAsEdgesDo(tr.Bore, v.cam, px, rng)
			r, err := Solve(tr, v.job())
			if err != nil {
				t.Fatal(err)
			}
			if v.heldBy(r) {
				covered++
			}
		}
		if covered < n*90/100 {
			t.Errorf("waves of %.2f px: %d of %d regions hold the truth", px, covered, n)
		}
	}
}

// Without the exit rim smooth edges tell the view, and edges that wave tell it less: on the
// middle of twenty holes the stated slope is at least three times as uncertain.
func TestSmoothEdgesTellTheView(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 27))
	var smooth, rough []float64
	for range 20 {
		v := leaning(0.06, rng)
		for _, c := range []struct {
			px float64
			u  *[]float64
		}{{0.02, &smooth}, {0.4, &rough}} {
			tr := v.trace(0.05, false, rng)
			waveAsEdgesDo(tr.Outer, v.cam, c.px, rng)
			waveAsEdgesDo(tr.Bore, v.cam, c.px, rng)
			r, err := Solve(tr, v.job())
			if err != nil {
				t.Fatal(err)
			}
			*c.u = append(*c.u, math.Hypot(r.View.SlopeUX, r.View.SlopeUY))
		}
	}
	if s, r := median(smooth), median(rough); r < 3*s {
		t.Errorf("slopes known to %.4f on smooth edges and %.4f on rough ones", s, r)
	}
}

// The later waves of exact cosines come back, wherever the rim is traced twice as densely
// as elsewhere and with a quarter of it missing; an outlier has no part in them.
func TestLaterWavesOfKnownOnes(t *testing.T) {
	c := Circle{X: 800, Y: 600, R: 320}
	var pts []fitPoint
	for deg := 0.0; deg < 270; deg++ {
		if deg < 90 && int(deg)%2 == 1 {
			continue
		}
		a := deg * math.Pi / 180
		r := c.R + 1.5 + 0.8*math.Cos(2*a) + 0.3*math.Cos(3*a+1) - 0.4*math.Cos(5*a)
		if deg == 200 {
			r += 12
		}
		pts = append(pts, fitPoint{EdgePoint: EdgePoint{X: c.X + r*math.Cos(a), Y: c.Y - r*math.Sin(a), SigmaPx: 0.1}})
	}
	// Eight amplitudes: two hold 0.3, two 0.4 and the others nothing.
	want := math.Sqrt((sq(0.3) + sq(0.4)) / 8)
	if got := laterWaves(pts, c); math.Abs(got-want) > 0.02 {
		t.Errorf("later waves of %.3f px, want %.3f", got, want)
	}
	if got := laterWaves(pts[:8], c); got < 0 || math.IsNaN(got) {
		t.Errorf("of eight points: %v", got)
	}
}

// Where the light ends on the bore's wall there is a line round the bore as sharp as
// an exit rim, only not so deep.
func TestALineOnTheWallIsNoExitRim(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	for range 20 {
		v := leaning(0.10+0.04*rng.Float64(), rng)
		shallow := v
		shallow.solid.ThicknessMM /= 5
		tr := v.trace(0.1, false, rng)
		tr.Exit = shallow.trace(0.1, true, rng).Exit
		r, err := Solve(tr, v.job())
		if err != nil {
			t.Fatal(err)
		}
		if r.Exit != nil {
			t.Errorf("slope %.3f: the line was taken for the exit rim, which gives a slope of %.3f", math.Hypot(v.cam.SlopeX, v.cam.SlopeY), math.Hypot(r.View.SlopeX, r.View.SlopeY))
		}
	}
}

// A right exit rim stays one where the other two wave by as much as real edges do.
func TestAnExitRimBearsWavesOfTheOthers(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 2))
	for range 20 {
		v := leaning(0.10*rng.Float64(), rng)
		tr := v.trace(0.1, true, rng)
		wave(tr.Outer, v.cam, 0.3, 2*math.Pi*rng.Float64(), 2)
		wave(tr.Bore, v.cam, 0.3, 2*math.Pi*rng.Float64(), 2)
		r, err := Solve(tr, v.job())
		if err != nil {
			t.Fatal(err)
		}
		if r.Exit == nil {
			t.Errorf("slope %.3f: the exit rim was not believed", math.Hypot(v.cam.SlopeX, v.cam.SlopeY))
		}
	}
}

// Where nothing is to be seen the tracer's points lie anywhere in the 2.5 px to either
// side that it looks at: they are no exit rim, however many they are.
func TestPointsStrewnByChanceAreNoExitRim(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 26))
	const n = 30
	covered, believed := 0, 0
	for range n {
		v := leaning(0.03*rng.Float64(), rng)
		tr := v.trace(0.15, true, rng)
		off := Polar(8, 2*math.Pi*rng.Float64())
		for i := range tr.Exit {
			e := &tr.Exit[i]
			a := math.Atan2(e.Y-v.cam.CY, e.X-v.cam.CX)
			by := 5 * (rng.Float64() - 0.5)
			e.X, e.Y = e.X+off.X+by*math.Cos(a), e.Y+off.Y+by*math.Sin(a)
		}
		r, err := Solve(tr, v.job())
		if err != nil {
			t.Fatal(err)
		}
		if r.View.How == FromExitRim {
			believed++
		}
		if v.heldBy(r) {
			covered++
		}
	}
	if believed > n/10 {
		t.Errorf("%d of %d such exit rims are believed", believed, n)
	}
	if covered < n*85/100 {
		t.Errorf("%d of %d regions hold the truth", covered, n)
	}
}
