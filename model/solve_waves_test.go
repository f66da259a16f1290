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

// A wave twice round, as light and lay make it on real edges, looks like a tilt. A
// view that is had from the flattening alone must not believe it.
func TestAWaveTwiceRoundIsNotTakenForATilt(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 26))
	const n = 60
	covered := 0
	for range n {
		v := leaning(0.03*rng.Float64(), rng)
		tr := v.trace(0.05, false, rng)
		for _, rim := range [][]EdgePoint{tr.Outer, tr.Bore} {
			// An amplitude of 0.15 px on the middle: the two components are normal.
			px := math.Hypot(rng.NormFloat64(), rng.NormFloat64()) * 0.13
			wave(rim, v.cam, px, 2*math.Pi*rng.Float64(), 2)
		}
		r, err := Solve(tr, v.job())
		if err != nil {
			t.Fatal(err)
		}
		if v.heldBy(r) {
			covered++
		}
	}
	if covered < n*90/100 {
		t.Errorf("%d of %d regions hold the truth", covered, n)
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
