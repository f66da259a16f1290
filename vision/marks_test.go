package vision

import (
	"errors"
	"math"
	"testing"

	"evenrim/model"
	"evenrim/vision/synth"
)

// Where a face without noise is smoothly lit, an 8-bit file has contours, rings a grey level high
// round the light's middle. Two of them were taken for outer and bore edge, and the true outer
// edge for the exit rim: 58 um off, 4 stated.
func TestContoursOfASmoothFaceAreNoRims(t *testing.T) {
	for _, plusX := range []float64{20, 45} {
		for _, seed := range []uint64{2, 7} {
			readsTrue(t, "contours", synth.Scene{Seed: seed, ChamferMM: 0.4, Mismatch: model.Vec{X: 0.06, Y: -0.012}, PlusX: plusX * math.Pi / 180, Backing: synth.Paper}, 0.3)
		}
	}
}

// A bore without a chamfer: marks of the mill follow some circle round it, which passed for the
// outer edge, with the bore's own edge inside. Off by 55 to 600 um, 23 to 137 were stated.
func TestMarksRoundAPlainBoreAreNoChamfer(t *testing.T) {
	for _, c := range []struct {
		seed uint64
		kind synth.Light
	}{{5, synth.Coaxial}, {89, synth.Coaxial}, {113, synth.Coaxial}, {136, synth.Window}, {146, synth.Side}} {
		s := synth.Random(c.seed, c.kind)
		s.ChamferMM, s.NominalMM, s.RoundMM, s.Mismatch = 0.001, 0.3, 0, model.Vec{}
		scale := 800 / float64(s.Width)
		s.Width, s.Height, s.PxPerMM, s.OffX, s.OffY = 800, s.Height*800/s.Width, s.PxPerMM*scale, s.OffX*scale, s.OffY*scale
		p, _, job := sceneAsFile(t, s)
		r, err := read(p, job)
		var refused *model.Refusal
		if err == nil {
			t.Errorf("scene %d: a plain bore is read as X %+.4f Y %+.4f +/- %.4f mm", c.seed, r.Mismatch.X, r.Mismatch.Y, r.U95MM)
		} else if !errors.As(err, &refused) {
			t.Errorf("scene %d: %v, want a refusal", c.seed, err)
		}
	}
}
