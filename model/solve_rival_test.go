package model

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Without the exit rim only slow waves of light on the edges, a few hundredths of a
// pixel, seem to tell which way the camera leans. The reading must hold both ways for
// possible.
func TestBothWaysOfATiltStayPossible(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	const n, wavePx = 60, 0.12
	covered := 0
	for range n {
		lean := Polar(0.05+0.04*rng.Float64(), 2*math.Pi*rng.Float64())
		v := view{Camera{CX: 799.5, CY: 599.5, U0: 799.5, V0: 599.5, PxPerMM: 80, InvDistPerMM: 1.0 / 200, SlopeX: lean.X, SlopeY: lean.Y},
			Solid{RadiusMM: 4, WidthMM: 0.3, ThicknessMM: 10, HalfAngle: math.Pi / 4, Mismatch: Vec{0.01, 0}}}
		tr := v.trace(0.05, false, rng)
		for _, rim := range [][]EdgePoint{tr.Outer, tr.Bore} {
			p2, p3 := 2*math.Pi*rng.Float64(), 2*math.Pi*rng.Float64()
			for i := range rim {
				e := &rim[i]
				a := math.Atan2(e.Y-v.cam.CY, e.X-v.cam.CX)
				w := wavePx * (math.Cos(2*a+p2)/2 + math.Cos(3*a+p3)/3)
				e.X, e.Y = e.X+w*math.Cos(a), e.Y+w*math.Sin(a)
			}
		}
		r, err := Solve(tr, v.job())
		if err != nil {
			t.Fatal(err)
		}
		off := r.Mismatch.Sub(v.solid.Mismatch)
		if r.Cov.Mahalanobis2(off) < sq(CoverageFactor(EffectiveDOF(r.Budget))) {
			covered++
		}
	}
	if covered < n*93/100 {
		t.Errorf("%d of %d regions hold the truth", covered, n)
	}
}
