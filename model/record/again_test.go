package record

import (
	"testing"

	"evenrim/model"

	"github.com/google/go-cmp/cmp"
)

// A photo opened on another day is the same part read again: it counts once, keeps its
// names, and what was read first stays.
func TestAPhotoReadAgainTakesItsOwnPlace(t *testing.T) {
	s := openNew(t)
	photo := samplePhoto(1, 3000)
	first := keepSample(t, s, 1, Labels{Part: "7", Batch: "March", Note: "burr", Tags: []string{"audit"}})
	again := sampleReading(2, photo) // other numbers, made of the same file
	again.MadeAt = again.MadeAt.AddDate(0, 0, 9)
	id, of, err := s.KeepInPlace(t.Context(), again, photo, Labels{Note: "wiped"}, "Wren")
	if err != nil || of != first || id == first {
		t.Fatalf("kept as %d in the place of %d, %v; want a new one in the place of %d", id, of, err, first)
	}
	e, err := s.Find(t.Context(), Query{Batch: "March"})
	if err != nil || len(e) != 1 || e[0].ID != id || e[0].Replaces != first || e[0].Who != "Wren" || e[0].Why != WhyAgain {
		t.Fatalf("%+v, %v; want reading %d alone", e, err, id)
	}
	if d := cmp.Diff(Labels{Part: "7", Batch: "March", Note: "wiped", Tags: []string{"audit"}}, e[0].Labels); d != "" {
		t.Errorf("labels (-want +got):\n%s", d)
	}
	if e[0].First != first {
		t.Errorf("stands where reading %d stood, want %d", e[0].First, first)
	}
	if _, old, err := s.Get(t.Context(), first); err != nil || old.ReplacedBy != id || old.Note != "burr" {
		t.Errorf("the first one now: %+v, %v", old, err)
	}
	if last, err := s.OfPhoto(t.Context(), again.Photo.SHA256); err != nil || last != id {
		t.Errorf("the last of the photo: %d, %v; want %d", last, err, id)
	}
	if none, err := s.OfPhoto(t.Context(), HashPhoto([]byte("another"))); err != nil || none != 0 {
		t.Errorf("of a photo that isn't there: %d, %v", none, err)
	}
	// The very same reading once more is no correction of itself, nor of a later one.
	if twice, of, err := s.KeepInPlace(t.Context(), again, photo, Labels{}, "Wren"); err != nil || twice != id || of != 0 {
		t.Errorf("kept twice: %d in the place of %d, %v", twice, of, err)
	}
	if twice, of, err := s.KeepInPlace(t.Context(), sampleReading(1, photo), photo, Labels{}, "Wren"); err != nil || twice != first || of != 0 {
		t.Errorf("the first kept twice: %d in the place of %d, %v", twice, of, err)
	}
	// A third reading of it stands where the first did, too.
	third, of, err := s.KeepInPlace(t.Context(), sampleReading(3, photo), photo, Labels{}, "Wren")
	if _, e, gerr := s.Get(t.Context(), third); err != nil || gerr != nil || of != id || e.First != first {
		t.Errorf("the third: in the place of %d, stands where %d stood, %v, %v; want %d and %d", of, e.First, err, gerr, id, first)
	}
	mustBeSound(t, s)
}

func TestAnotherHoleOfThePhotoStandsForItself(t *testing.T) {
	s := openNew(t)
	photo := samplePhoto(1, 3000)
	keepSample(t, s, 1, Labels{Part: "7"})
	other := sampleReading(2, photo)
	other.Outer = model.RimShape{CX: 3000, CY: 1500, A: 483, B: 482}
	if _, of, err := s.KeepInPlace(t.Context(), other, photo, Labels{}, "Wren"); err != nil || of != 0 {
		t.Errorf("took the place of %d, %v", of, err)
	}
	elsewhere := samplePhoto(2, 3000)
	if _, of, err := s.KeepInPlace(t.Context(), sampleReading(3, elsewhere), elsewhere, Labels{}, "Wren"); err != nil || of != 0 {
		t.Errorf("of another photo: took the place of %d, %v", of, err)
	}
	if n, err := s.Count(t.Context(), Query{}); n != 3 || err != nil {
		t.Errorf("%d readings, %v; want 3", n, err)
	}
}
