package vision

import (
	"context"
	"errors"
	"math"
	"testing"

	"evenrim/model"
)

// Photos path-traced by testdata/pathtraced/scene.py in which other edges were read as those
// of the chamfer: 0.7 px off where 0.5 was stated (a dark chamfer before a dark wall, of which
// the outer edge's softness was taken for a chamfer of two fifths the width), and 16 px where 4
// were (a chamfer as light as the face: bore edge and far end were taken for its edges).
func TestWhatIsNotTheChamferIsNotRead(t *testing.T) {
	for _, c := range []struct {
		name, file string
		job        model.JobCard
		says       string
	}{
		{"the softness of one edge", "dark-chamfer-dark-wall.jpg", model.JobCard{BoreMM: 16, ChamferMM: 0.2, ThicknessMM: 12.49}, sayOneEdge},
		{"the bore's far end", "chamfer-light-as-face.jpg", model.JobCard{BoreMM: 4.5, ChamferMM: 0.25, ThicknessMM: 7.08, HalfAngle: math.Pi / 3}, sayLightBore},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := Open(context.Background(), "../testdata/pathtraced/"+c.file)
			if err != nil {
				t.Fatal(err)
			}
			defer p.Close()
			r, err := read(p, c.job.WithDefaults())
			var refused *model.Refusal
			if !errors.As(err, &refused) {
				t.Fatalf("read as X %.4f Y %.4f +/- %.4f mm, %v", r.Mismatch.X, r.Mismatch.Y, r.U95MM, err)
			}
			if refused.Sentence != c.says {
				t.Errorf("refused with %q, want %q", refused.Sentence, c.says)
			}
		})
	}
}
