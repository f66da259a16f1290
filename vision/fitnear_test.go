package vision

import (
	"math"
	"math/rand/v2"
	"testing"

	"evenrim/vision/columns"
)

// A fit that begins where a step has led ends where the fit does that begins from
// nothing, as exactly as either settles: at any blur, with light either way and the
// curve up to half a pixel off.
func TestAFitFromNearEndsWhereTheOtherDoes(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	tried := 0
	for round := range 200 {
		blur := 0.8 + rng.Float64()
		m := edgeModel{rims: []int{outer}, limit: 2.5, widen: 1}
		for k := range nRims {
			m.blur[k] = blur
		}
		at := rng.Float64() - 0.5
		outside, inside := 0.1+0.6*rng.Float64(), 0.1+0.6*rng.Float64()
		var light, distance []float64
		for range 300 {
			d := 14*rng.Float64() - 7
			light = append(light, outside+(inside-outside)*0.5*math.Erfc((d-at)/blur/math.Sqrt2)+0.01*rng.NormFloat64())
			distance = append(distance, d)
		}
		px := &columns.Columns{}
		px.Set(light, distance)
		var st edgeState
		step, ok := m.step(px, &st)
		if !ok || !m.near(&step, 1) {
			continue
		}
		near, ok := m.settleFrom(px, &st)
		afar, found := m.fit(px)
		if !ok || !found {
			t.Fatalf("round %d: no fit", round)
		}
		tried++
		if off := near[outer].shift - afar[outer].shift; math.Abs(off) > 2*settledPx {
			t.Errorf("round %d: from near the edge lies %.4f px from where it lies from afar, want within %g", round, off, 2*settledPx)
		}
		if q := near[outer].sd / afar[outer].sd; q < 0.97 || q > 1.03 {
			t.Errorf("round %d: its sd is %.3f times the other", round, q)
		}
	}
	if tried < 100 {
		t.Errorf("only %d rounds had an edge plain enough", tried)
	}
}
