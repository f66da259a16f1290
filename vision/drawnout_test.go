package vision

import (
	"context"
	"math"
	"testing"

	"evenrim/model"
	"evenrim/vision/synth"
)

// A drawn chamfer of 5 px in light through the lens was 1.8 px off (a path-traced one: pathtraced_test.go).
func TestANarrowStretchPlacesNoBoreEdge(t *testing.T) {
	readsTrue(t, "chamfer of 5 px", synth.Scene{Seed: 7198, Light: synth.Coaxial, LightAzimuth: 214 * math.Pi / 180, Backing: synth.Paper,
		Width: 1024, Height: 768, PxPerMM: 54.183, BoreMM: 8.5919, ChamferMM: 0.09228, NominalMM: 0.07382, BlurPx: 0.7,
		Mismatch: model.Vec{X: 0.00795, Y: -0.02652}, TiltX: -1.53 * math.Pi / 180, TiltY: 0.79 * math.Pi / 180, ThicknessMM: 9.75,
		RoundMM: 0.0001, RoughMM: 0.0019, FullWellE: 1600}, 0.3)
}

// A chamfer that is narrow, on one side or all round, is no stretch out of place.
func TestNarrowArcsInPlaceAreKept(t *testing.T) {
	for _, tt := range []struct {
		what     string
		mismatch float64 // of a chamfer of 0.1 mm, 4.5 px
	}{{"a chamfer that is narrow on one side", 0.07}, {"a chamfer narrow all round", 0}} {
		s := synth.Scene{Width: 800, Height: 600, BoreMM: 9, ChamferMM: 0.1, ThicknessMM: 10, PxPerMM: 45, Mismatch: model.Vec{X: tt.mismatch},
			TiltX: 0.01, BlurPx: 1.4, Format: synth.PNG16, Seed: 3, Clean: &synth.Clean{Face: 0.3, Chamfer: 0.6, Wall: 0.05, Backing: 0.02, NoiseSD: 0.005}}
		readsTrue(t, tt.what, s, 0.15)
		p, _, job := sceneAsFile(t, s)
		tr, err := Trace(context.Background(), p, job, func(float64, string) {})
		if err != nil {
			t.Fatal(err)
		}
		if len(tr.Bore) < len(tr.Outer)*95/100 {
			t.Errorf("%s: %d arcs place the bore edge, %d the outer edge", tt.what, len(tr.Bore), len(tr.Outer))
		}
	}
}
