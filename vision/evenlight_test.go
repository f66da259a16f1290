package vision

import (
	"context"
	"math"
	"testing"

	"evenrim/vision/synth"
)

// Edges under two lamps are told from all others by their contrast.
func TestTwoLampsAreEvenLight(t *testing.T) {
	for _, tt := range []struct {
		light synth.Light
		want  bool
	}{{synth.Two, true}, {synth.Side, false}, {synth.Window, false}, {synth.Ring, false}, {synth.Dome, false}} {
		for seed := range uint64(2) {
			p, _, job := sceneAsFile(t, synth.Random(seed+40, tt.light))
			tr, err := Trace(context.Background(), p, job, func(float64, string) {})
			if err != nil {
				t.Fatal(err)
			}
			if got := tr.EvenLight; got != [3]bool{tt.want, tt.want, false} {
				t.Errorf("%v light, seed %d: even %v", tt.light, seed+40, got)
			}
		}
	}
}

// One lamp of two that is much stronger leaves a side lit more than the other.
func TestUnequalLampsAreNotEvenLight(t *testing.T) {
	g := &blocks{n: 120}
	arcs := func(contrast func(th float64) float64) []arcFit {
		out := make([]arcFit, 120)
		for i := range out {
			out[i].found[outer] = true
			out[i].edge[outer].contrast = contrast(g.angle(i))
		}
		return out
	}
	for _, tt := range []struct {
		what     string
		contrast func(th float64) float64
		want     bool
	}{
		{"two lamps", func(th float64) float64 { return 0.2 * math.Cos(2*th) }, true},
		{"two lamps, one a little stronger", func(th float64) float64 { return 0.2*math.Cos(2*th) + 0.05*math.Cos(th) }, true},
		{"two lamps, one much stronger", func(th float64) float64 { return 0.2*math.Cos(2*th) + 0.15*math.Cos(th) }, false},
		{"one lamp", func(th float64) float64 { return 0.2 * math.Cos(th) }, false},
		{"light from all round", func(float64) float64 { return 0.2 }, false},
		{"light from all round, a little stronger from two sides", func(th float64) float64 { return 0.2 + 0.04*math.Cos(2*th) }, false},
	} {
		if got := g.litFromOpposite(arcs(tt.contrast), outer); got != tt.want {
			t.Errorf("%s: even %v", tt.what, got)
		}
	}
	if g.litFromOpposite(nil, outer) {
		t.Error("no arc tells anything")
	}
}
