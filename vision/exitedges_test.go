package vision

import (
	"context"
	"math"
	"testing"

	"evenrim/model"
	"evenrim/vision/synth"
)

// White paper close behind a part seen nearly straight on: the exit rim lies a few pixels
// inside the bore edge, and the paper darkens towards it.
func TestTheExitRimIsFoundAgainstPaperCloseBehindIt(t *testing.T) {
	for _, seed := range []uint64{16778118630780011001, 16778118630780011031, 15060681878671775618} {
		s := synth.Random(seed, synth.Coaxial)
		s.Format = synth.JPEG
		path := t.TempDir() + "/photo.jpg"
		truth, err := synth.Write(path, s)
		if err != nil {
			t.Fatal(err)
		}
		p, err := Open(context.Background(), path)
		if err != nil {
			t.Fatal(err)
		}
		job := model.JobCard{BoreMM: truth.Bore, ChamferMM: truth.Nominal, ThicknessMM: truth.Thick, HalfAngle: truth.Half * math.Pi / 180}.WithDefaults()
		h, err := findRims(p, job)
		if err != nil {
			t.Fatal(err)
		}
		r, _ := settle(p, h, 240)
		r.exitAgain(h)
		at := truth.Image.BoreExit
		if c := r.curve[exit]; !r.hasExit || math.Hypot(c.X-at[0], c.Y-at[1]) > 3 {
			t.Errorf("seed %d: exit rim (%v) at %.1f, %.1f; it is at %.1f, %.1f", seed, r.hasExit, c.X, c.Y, at[0], at[1])
		}
		p.Close()
	}
}
