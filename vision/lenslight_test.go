package vision

import (
	"testing"

	"evenrim/model"
	"evenrim/vision/synth"
)

// A rounded edge turns with the lean of the camera where the light comes through the lens:
// these drawn photos were 1.2 to 1.4 times as far off as the edge of their regions.
func TestALeanInLightFromTheLensIsInTheUncertainty(t *testing.T) {
	for _, seed := range []uint64{7086638178683057372, 7086638178683057054, 7086638178683058662} {
		p, truth, job := sceneAsFile(t, synth.Random(seed, synth.Coaxial))
		r, err := read(p, job)
		if err != nil {
			t.Errorf("%d: %v", seed, err)
			continue
		}
		off := r.Mismatch.Sub(model.Vec{X: truth.DX, Y: truth.DY})
		k := model.CoverageFactor(model.EffectiveDOF(r.Budget))
		if m := r.Cov.Mahalanobis2(off); m > k*k {
			t.Errorf("%d: %.2f px off, states %.2f: outside the region", seed, off.Norm()*truth.PxPerMM, r.U95MM*truth.PxPerMM)
		}
	}
}

// Only a chamfer that is dark all round tells of such light.
func TestLightFromTheLensIsToldByADarkChamfer(t *testing.T) {
	arcs := func(chamfer func(arc int) float64) []arcFit {
		out := make([]arcFit, 100)
		for i := range out {
			out[i].found[outer] = true
			out[i].edge[outer] = edgeFit{outside: 0.2, contrast: chamfer(i) - 0.2}
		}
		return out
	}
	for _, tt := range []struct {
		what    string
		chamfer func(arc int) float64
		want    bool
	}{
		{"dark all round", func(int) float64 { return 0.05 }, true},
		{"dark but for a sparkle in one arc of 25", func(arc int) float64 { return 0.05 + 0.4*float64(arc%25/24) }, true},
		{"nearly as light as the face", func(int) float64 { return 0.15 }, false},
		{"dark on one side", func(arc int) float64 { return 0.05 + 0.3*float64(arc/50) }, false},
	} {
		if got := litFromTheLens(arcs(tt.chamfer)); got != tt.want {
			t.Errorf("a chamfer %s: %v", tt.what, got)
		}
	}
	if litFromTheLens(nil) {
		t.Error("no arc tells anything")
	}
}
