package vision

import (
	"fmt"
	"testing"

	"evenrim/model"
	"evenrim/vision/synth"
)

// Seen aslant against paper, the wall narrows to a sliver on one side: what is dark there
// is too narrow to tell the bore edge from the exit rim behind it, and the bright paper's
// edge, found to 0.03 px, is not the bore edge. It used to be taken for it, 2 px inside,
// over a quarter of the rim: the mismatch was more than a px off and stated 0.5 to 0.8.
func TestASliverOfWallPlacesNoBoreEdge(t *testing.T) {
	for _, chamfer := range []float64{0.05, 0.1} {
		for place := range 3 {
			s := synth.Scene{Width: 800, Height: 600, BoreMM: 8, ChamferMM: 0.5, ThicknessMM: 10, PxPerMM: 45,
				Mismatch: model.Vec{X: 0.05}, TiltX: 0.01, TiltY: 0.02, Backing: synth.Paper, BlurPx: 1.1, Format: synth.PNG16,
				OffX: 0.3 * float64(place), OffY: 0.2 * float64(place), Seed: uint64(place + 1),
				Clean: &synth.Clean{Face: 0.25, Chamfer: chamfer, Wall: 0.02, Backing: 0.6, NoiseSD: 0.01}}
			readsTrue(t, fmt.Sprintf("light of the chamfer %g, place %d", chamfer, place), s, 0.3)
		}
	}
}

// Where the chamfer all but vanishes it is a sliver too: between a bright face and a dark
// wall the one edge that is found is neither rim's. Taken for the bore edge it put the
// mismatch 0.8 and 2.6 px off, at stated 0.8 and 1.4.
func TestASliverOfChamferPlacesNoBoreEdge(t *testing.T) {
	for _, s := range []synth.Scene{
		{Mismatch: model.Vec{X: -0.1362, Y: 0.0572}, ChamferMM: 0.1585, ThicknessMM: 5.674, TiltX: 0.0248, TiltY: -0.0299, BlurPx: 1.33,
			OffX: 0.282, OffY: 0.876, Seed: 44, Clean: &synth.Clean{Face: 0.53, Chamfer: 0.061, Wall: 0.0075, Backing: 0.331}},
		{Mismatch: model.Vec{X: -0.0791, Y: 0.0252}, ChamferMM: 0.1868, ThicknessMM: 13.06, TiltX: -0.1068, TiltY: 0.0598, BlurPx: 0.834,
			OffX: 0.545, OffY: 0.03, Seed: 49, Clean: &synth.Clean{Face: 0.329, Chamfer: 0.0565, Wall: 0.0329, Backing: 0.676}},
	} {
		s.Width, s.Height, s.BoreMM, s.PxPerMM, s.Backing, s.Format, s.Clean.NoiseSD = 800, 600, 8, 45, synth.Paper, synth.PNG16, 0.01
		readsTrue(t, fmt.Sprintf("chamfer of %g mm", s.ChamferMM), s, 0.3)
	}
}

// readsTrue wants a scene's mismatch to within px, and within what the reading states.
func readsTrue(t *testing.T, what string, s synth.Scene, px float64) {
	t.Helper()
	p, truth, job := sceneAsFile(t, s)
	r, err := read(p, job)
	if err != nil {
		t.Errorf("%s: %v", what, err)
		return
	}
	off := r.Mismatch.Sub(model.Vec{X: truth.DX, Y: truth.DY}).Norm()
	if off > r.U95MM || off*truth.PxPerMM > px {
		t.Errorf("%s: %.2f px off, states %.2f", what, off*truth.PxPerMM, r.U95MM*truth.PxPerMM)
	}
}
