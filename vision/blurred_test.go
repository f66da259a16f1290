package vision

import (
	"math"
	"testing"

	"evenrim/model"
	"evenrim/vision/synth"
)

// In a picture far from sharp a faint bore edge, whose arcs don't tell their blur, lies where it
// is. Fitted as sharp as a usual photo's it was found up to 3 px outside.
func TestAFaintBoreEdgeOfABlurredPictureIsPlaced(t *testing.T) {
	for _, blur := range []float64{2.2, 2.8, 3.2} {
		s := synth.Scene{Seed: 3, Width: 800, Height: 600, BoreMM: 8, ChamferMM: 0.5, ThicknessMM: 10, PxPerMM: 45, Mismatch: model.Vec{X: 0.03},
			BlurPx: blur, Format: synth.PNG16, Clean: &synth.Clean{NoiseSD: 0.01}}.WithDefaults()
		p, truth, job := sceneAsFile(t, s)
		tr, err := Trace(t.Context(), p, job, nil)
		if err != nil {
			t.Fatalf("blur %.1f px: %v", blur, err)
		}
		off := 0.0
		for _, q := range tr.Bore {
			off += math.Hypot(q.X-truth.Image.BoreAxis[0], q.Y-truth.Image.BoreAxis[1]) / float64(len(tr.Bore))
		}
		want := math.Hypot(truth.Image.Bore[0][0]-truth.Image.BoreAxis[0], truth.Image.Bore[0][1]-truth.Image.BoreAxis[1])
		if math.Abs(off-want) > 0.5 || math.Abs(tr.BlurPx-blur) > 0.15*blur {
			t.Errorf("blur %.1f px: the bore edge lies %+.2f px outside, its blur is %.2f px; want 0.5 px and a seventh", blur, off-want, tr.BlurPx)
		}
	}
}
