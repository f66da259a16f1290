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
		readsOrRefuses(t, c.name, c.read, synth.Scene{Width: 800, Height: 600, BoreMM: 8, ChamferMM: 0.25, ThicknessMM: c.thick, PxPerMM: 45,
			Mismatch: model.Vec{X: 0.03}, TiltX: 0.01, Backing: synth.Paper, BlurPx: 1.1, Format: synth.PNG16, Seed: 5,
			Clean: &synth.Clean{Face: 0.5, Chamfer: c.chamfer, Wall: c.wall, Backing: c.backing, NoiseSD: 0.01}})
	}
}

// readsOrRefuses fails a scene that is to be read and is not, or not within what it states,
// and one that is to be refused for its bore's light and is not.
func readsOrRefuses(t *testing.T, name string, isRead bool, s synth.Scene) {
	t.Helper()
	p, truth, job := sceneAsFile(t, s)
	r, err := read(p, job)
	var refused *model.Refusal
	switch {
	case isRead && err != nil:
		t.Errorf("%s: no reading: %v", name, err)
	case isRead && r.Mismatch.Sub(model.Vec{X: truth.DX, Y: truth.DY}).Norm() > r.U95MM:
		t.Errorf("%s: off by more than it states", name)
	case !isRead && err == nil:
		t.Errorf("%s: read as X %.4f Y %.4f +/- %.4f mm, %.4f is true", name, r.Mismatch.X, r.Mismatch.Y, r.U95MM, truth.DX)
	case !isRead && (!errors.As(err, &refused) || refused.Sentence != sayLightBore):
		t.Errorf("%s: refused with %v, want %q", name, err, sayLightBore)
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
		readsOrRefuses(t, c.name, c.read, synth.Scene{Width: 800, Height: 600, BoreMM: 8, ChamferMM: 0.3, ThicknessMM: 12, PxPerMM: 48,
			Mismatch: model.Vec{X: 0.02}, TiltX: 0.02, TiltY: 0.013, DistanceMM: 104, Backing: synth.Dark, BlurPx: 1.1, Format: synth.PNG, Seed: 18, RoughMM: 0.001,
			Clean: &synth.Clean{Face: 0.3, Chamfer: c.chamfer, Wall: c.wall, Backing: 0.003, NoiseSD: 0.008}})
	}
}

// Each sign of a wall that passes for the chamfer by itself: a hole that is light to its edge
// on one side and no darker than the band on the other, and a band that darkens inwards.
func TestTheSignsOfAFarEnd(t *testing.T) {
	light := func(inside, otherSide float64) (l boreLight) {
		for i := range lightDirections {
			v := inside
			if i%2 == 1 {
				v = otherSide
			}
			l.inside, l.chamfer = append(l.inside, v), append(l.chamfer, 0.1)
		}
		return l
	}
	for _, c := range []struct {
		inside, otherSide float64
		open              bool
	}{{0.15, 0.15, true}, {0.15, 0.1, true}, {0.1, 0.1, false}, {0.15, 0.05, false}} {
		if got := light(c.inside, c.otherSide).isOpen(c.inside); got != c.open {
			t.Errorf("light %g and %g beside a chamfer of 0.1: open is %v", c.inside, c.otherSide, got)
		}
	}
	r := &rims{}
	r.curve[outer].Circle, r.curve[bore].Circle = model.Circle{X: 400, Y: 300, R: 200}, model.Circle{X: 400, Y: 300, R: 186}
	job := model.JobCard{BoreMM: 8, ThicknessMM: 10}
	for _, c := range []struct {
		deeper float64
		is     bool
	}{{0.8, true}, {0.95, false}} {
		l := light(0.02, 0.03)
		l.deeper = []float64{c.deeper, c.deeper}
		if got := r.isFarEnd(l, 0, job); got != c.is {
			t.Errorf("a band that darkens inwards to %g: far end is %v", c.deeper, got)
		}
	}
}
