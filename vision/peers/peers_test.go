package peers

import (
	"context"
	"image"
	"math"
	"path/filepath"
	"testing"

	"evenrim/model"
	"evenrim/vision/synth"
)

// On an easy picture, black, white and grey without noise, each way comes near the
// truth: what they are compared by is their own worth and not a slip of ours.
func TestEachWayReadsAnEasyPicture(t *testing.T) {
	s := synth.Scene{Width: 640, Height: 480, BoreMM: 8, ChamferMM: 0.8, Parallel: true, PxPerMM: 40, PlusX: 0.3, BlurPx: 0.8,
		Mismatch: model.Vec{X: 0.08, Y: -0.05}, Clean: &synth.Clean{Face: 0.9, Chamfer: 0.3, Wall: 0.02, Backing: 0.02}}.WithDefaults()
	p, _, err := synth.Draw(s)
	if err != nil {
		t.Fatal(err)
	}
	img := p.Image().(*image.RGBA)
	gray := make([]byte, p.Width*p.Height)
	for i := range gray {
		gray[i] = img.Pix[4*i+1]
	}
	e := Expect{BoreMM: s.BoreMM, ChamferMM: s.ChamferMM, PxPerMM: s.PxPerMM, PlusX: s.PlusX}
	got, err := Read(gray, p.Width, p.Height, e)
	if err != nil {
		t.Fatal(err)
	}
	script, err := StartScript(context.Background())
	if err != nil {
		t.Logf("without scikit-image: %v", err)
	} else {
		defer script.Close()
		path := filepath.Join(t.TempDir(), "easy.png")
		if err := WriteGray(path, gray, p.Width, p.Height); err != nil {
			t.Fatal(err)
		}
		r, err := script.Read(path, e, model.Vec{X: 322, Y: 238})
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, r)
	}
	for _, r := range got {
		if off := r.Mismatch.Sub(s.Mismatch).Norm() * s.PxPerMM; !r.OK || !(off < 1.5) || math.IsNaN(off) {
			t.Errorf("%s: %v (found %v), off by %.2f px, want below 1.5", r.Way, r.Mismatch, r.OK, off)
		}
	}
	if _, err := Read(gray, 10, 10, e); err == nil {
		t.Error("a picture of the wrong size was read")
	}
}
