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
		v := leaning(0.05+0.04*rng.Float64(), rng)
		tr := v.trace(0.05, false, rng)
		for _, rim := range [][]EdgePoint{tr.Outer, tr.Bore} {
			wave(rim, v.cam, wavePx/2, 2*math.Pi*rng.Float64(), 2)
			wave(rim, v.cam, wavePx/3, 2*math.Pi*rng.Float64(), 3)
		}
		r, err := Solve(tr, v.job())
		if err != nil {
			t.Fatal(err)
		}
		if v.heldBy(r) {
			covered++
		}
	}
	if covered < n*93/100 {
		t.Errorf("%d of %d regions hold the truth", covered, n)
	}
}
