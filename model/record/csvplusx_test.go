package record

import (
	"strings"
	"testing"

	"evenrim/model"
)

// A table has the scale but no camera: what it says of the photo goes by the +X of the
// job card, here 151.6 degrees, as the reading that it was written from does.
func TestReadingOfATableNamesTheSameHours(t *testing.T) {
	const plusX = 2.646
	a, b := openNew(t), openNew(t)
	photo := samplePhoto(1, 100)
	r := sampleReading(1, photo)
	r.Mismatch = model.Vec{X: 0.0571, Y: -0.0293}
	r.Job.PlusX, r.Camera.PlusX = plusX, plusX
	if _, err := a.Keep(t.Context(), honest(r), photo, Labels{}); err != nil {
		t.Fatal(err)
	}
	if _, err := b.ImportCSV(t.Context(), strings.NewReader(csvOf(t, a))); err != nil {
		t.Fatal(err)
	}
	got, _, err := b.Get(t.Context(), 1)
	if err != nil {
		t.Fatal(err)
	}
	if got.Widest().Clock != r.Widest().Clock || got.Narrowest().Clock != r.Narrowest().Clock {
		t.Errorf("widest at %s, narrowest at %s; the reading itself says %s and %s", got.Widest().Clock, got.Narrowest().Clock, r.Widest().Clock, r.Narrowest().Clock)
	}
	if p := model.PhotoPaths(got); len(p.Bore)+len(p.Outer) > 0 {
		t.Error("rims are drawn without a camera")
	}
}
