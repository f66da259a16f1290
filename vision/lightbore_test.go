package vision

import (
	"errors"
	"testing"

	"evenrim/model"
	"evenrim/vision/synth"
)

// A wall as light as the chamfer over light backing shows only the bore's far end, which
// passed for the bore edge, and with a chamfer as light as the face the wall passed for the
// chamfer: there is no reading. With the wall dark and the chamfer not as light there is one.
func TestABoreLightToItsMiddleIsNotRead(t *testing.T) {
	for _, c := range []struct {
		name                          string
		thick, chamfer, wall, backing float64
		read                          bool
	}{
		{"wall as light as the chamfer", 6, 0.12, 0.12, 0.3, false},
		{"chamfer as light as the face", 10, 0.5, 0.12, 0.3, false},
		{"dark wall", 6, 0.12, 0.02, 0.3, true},
	} {
		p, truth, job := sceneAsFile(t, synth.Scene{Width: 800, Height: 600, BoreMM: 8, ChamferMM: 0.25, ThicknessMM: c.thick, PxPerMM: 45,
			Mismatch: model.Vec{X: 0.03}, TiltX: 0.01, Backing: synth.Paper, BlurPx: 1.1, Format: synth.PNG16, Seed: 5,
			Clean: &synth.Clean{Face: 0.5, Chamfer: c.chamfer, Wall: c.wall, Backing: c.backing, NoiseSD: 0.01}})
		r, err := read(p, job)
		var refused *model.Refusal
		switch {
		case c.read && err != nil:
			t.Errorf("%s: no reading: %v", c.name, err)
		case c.read && r.Mismatch.Sub(model.Vec{X: truth.DX, Y: truth.DY}).Norm() > r.U95MM:
			t.Errorf("%s: off by more than it states", c.name)
		case !c.read && (!errors.As(err, &refused) || refused.Reason != model.Unsure):
			t.Errorf("%s: got a reading or %v, want a refusal for want of evidence", c.name, err)
		}
	}
}

// Where the chamfer is as light as the face, a dark bore's edge and far end passed for the
// chamfer's edges: the camera's slant for a mismatch. With the same view and a chamfer that is
// seen there is a reading.
func TestTheFarEndOfADarkBoreIsNotRead(t *testing.T) {
	for _, c := range []struct {
		name          string
		chamfer, wall float64
		read          bool
	}{
		{"chamfer as light as the face", 0.3, 0.08, false},
		{"dark chamfer", 0.1, 0.03, true},
	} {
		p, truth, job := sceneAsFile(t, synth.Scene{Width: 800, Height: 600, BoreMM: 8, ChamferMM: 0.3, ThicknessMM: 12, PxPerMM: 48,
			Mismatch: model.Vec{X: 0.02}, TiltX: 0.02, TiltY: 0.013, DistanceMM: 104, Backing: synth.Dark, BlurPx: 1.1, Format: synth.PNG, Seed: 18, RoughMM: 0.001,
			Clean: &synth.Clean{Face: 0.3, Chamfer: c.chamfer, Wall: c.wall, Backing: 0.003, NoiseSD: 0.008}})
		r, err := read(p, job)
		var refused *model.Refusal
		switch {
		case c.read && err != nil:
			t.Errorf("%s: no reading: %v", c.name, err)
		case c.read && r.Mismatch.Sub(model.Vec{X: truth.DX, Y: truth.DY}).Norm() > r.U95MM:
			t.Errorf("%s: off by more than it states", c.name)
		case !c.read && err == nil:
			t.Errorf("%s: read as X %.4f Y %.4f +/- %.4f mm, %.4f is true", c.name, r.Mismatch.X, r.Mismatch.Y, r.U95MM, truth.DX)
		case !c.read && (!errors.As(err, &refused) || refused.Sentence != sayLightBore):
			t.Errorf("%s: refused with %v, want %q", c.name, err, sayLightBore)
		}
	}
}
