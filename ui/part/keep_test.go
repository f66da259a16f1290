package part_test

import (
	"math"
	"slices"
	"testing"

	"evenrim/model"
	"evenrim/ui/part/worksheet"
	"evenrim/ui/port"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/storage"
)

// turnedHole is a page with photo a.jpg in a hole; b.jpg shows it turned by half a turn.
func turnedHole(t *testing.T, r *uitest.Record) (*desk, *worksheet.Hole) {
	t.Helper()
	d := newDeskOn(t, r)
	turned := uitest.Bracket()
	turned.Camera.PlusX = math.Pi
	d.reader.Know("b.jpg", turned)
	d.OpenURIs([]fyne.URI{storage.NewFileURI("/p/a.jpg")})
	d.Settle()
	d.Turn(2)
	d.Entry("Bore").SetText("10mm")
	d.Settle()
	d.Turn(0)
	return d, d.Sheet().Holes[0]
}

// add gives a hole a photo, as choosing its file does.
func (d *desk) add(h *worksheet.Hole, name string, plusX float64) *worksheet.Photo {
	d.t.Helper()
	p := d.Sheet().AddPhoto(h, port.Source{Path: "/p/" + name, Name: name})
	p.Card.PlusX, p.AsksX = plusX, false
	d.OpenURIs(nil)
	d.Settle()
	if p.Reading == nil {
		d.t.Fatalf("%s gives no reading: %s", name, p.Problem)
	}
	return p
}

func (d *desk) keep() {
	d.Page.Keep()
	d.Settle()
}

// kept fails unless the record holds n readings, of which none replaces another, and the
// last of the sets is of the members named.
func (d *desk) kept(n, sets int, members ...string) {
	d.t.Helper()
	if got := d.record.Count(); got != n || len(d.record.Corrections) != 0 {
		d.t.Errorf("%d readings in the record, replaced %v; want %d and none", got, d.record.Corrections, n)
	}
	got := d.record.Sets()
	if len(got) != sets || sets > 0 && !slices.Equal(got[sets-1], members) {
		d.t.Errorf("sets %v in the record, want %d, the last of %v", got, sets, members)
	}
	if left := d.Sheet().NotKept(); left != 0 {
		d.t.Errorf("%d readings are said not to be kept", left)
	}
}

// Keep can be chosen from the menu at any time: with nothing to keep it says why.
func TestWithNothingToKeepKeepSaysWhatToDo(t *testing.T) {
	d := newDesk(t)
	d.keep()
	d.says("There is nothing to keep: no hole has a photo yet. Add a hole and its photo first.")
	d.OpenSample()
	d.Settle()
	d.keep()
	d.says("There is nothing to keep: the sample part stays out of your record. Open a list of a part of your own.")
	if n := d.record.Count(); n != 0 {
		t.Errorf("%d readings of the sample in the record", n)
	}
	d, _ = turnedHole(t, &uitest.Record{})
	d.keep()
	d.says("1 reading is in the record now.")
	d.keep()
	d.says("There is nothing to keep: every reading of this part is in the record already. Add a photo to have more.")
	d.kept(1, 0)
}

func TestWhileNothingIsReadKeepSaysSo(t *testing.T) {
	d := newDesk(t)
	d.reader.Refuse("dark.jpg", model.Refuse(model.Underexposed, "The photo is too dark: give the part more light."))
	d.OpenURIs([]fyne.URI{storage.NewFileURI("/p/dark.jpg")})
	d.Page.Keep()
	d.says("There is nothing to keep yet: the photos are still being read. Keep the readings once they are there.")
	d.Cancel()
	d.Settle()
	d.keep()
	d.says("There is nothing to keep: looking at the photos was stopped. Look at them again first.")
	d.Again()
	d.Settle()
	d.keep()
	d.says("There is nothing to keep: no photo has given a reading. See at its hole why, and mend that first.")
}

// A photo that does not belong comes off its hole alone: what the others say stays.
func TestOnePhotoIsTakenOffItsHole(t *testing.T) {
	d, h := turnedHole(t, &uitest.Record{})
	alone := d.Sheet().HoleRows()[0].Figures
	if d.Sheet().Hole() != h {
		d.Tap(0)
	}
	if d.Press("Take off a.jpg") {
		t.Error("the only photo of a hole has a button of its own, beside the hole's")
	}
	d.add(h, "b.jpg", math.Pi)
	if both := d.Sheet().HoleRows()[0].Figures; both == alone {
		t.Fatalf("a second photo changes nothing: %q", both)
	}
	if !d.Press("Take off b.jpg") {
		t.Fatal("no button takes b.jpg off")
	}
	if got := d.Sheet().HoleRows()[0].Figures; len(h.Photos) != 1 || h.Photos[0].Name() != "a.jpg" || got != alone {
		t.Errorf("left with %d photos and %q, want a.jpg alone and %q", len(h.Photos), got, alone)
	}
	if d.Press("Take off a.jpg") || !d.Press("Take the hole off") || !d.Sheet().Empty() {
		t.Error("the hole is not taken off by the button left")
	}
}

// A picture that is twice in a hole is one reading, whether its copy comes before or after
// the first was kept.
func TestAPictureTwiceInAHoleIsKeptOnce(t *testing.T) {
	d, h := turnedHole(t, &uitest.Record{})
	d.add(h, "b.jpg", math.Pi)
	again := d.add(h, "a.jpg", 0)
	if n := d.Sheet().NotKept(); n != 2 {
		t.Errorf("%d readings to keep, want 2 of 3 photos", n)
	}
	d.keep()
	d.says("2 readings are in the record now.", "Photo a.jpg is in this hole twice and counts once.")
	d.kept(2, 1, "1", "2")
	if again.Kept != "1" {
		t.Errorf("the copy is called %q in the record, want 1", again.Kept)
	}
	d.add(h, "a.jpg", 0)
	d.keep()
	d.kept(2, 1, "1", "2")
}

// One picture and its copy are no turn set.
func TestAPictureAndItsCopyAreNoTurnSet(t *testing.T) {
	d, h := turnedHole(t, &uitest.Record{})
	d.add(h, "a.jpg", math.Pi)
	d.keep()
	d.kept(1, 0)
}

// A reading that came from the record isn't read into it again by a copy of its picture;
// a new photo joins what is there.
func TestACopyOfAKeptReadingIsNotKept(t *testing.T) {
	r := &uitest.Record{}
	d, _ := turnedHole(t, r)
	d.keep()
	d = newDeskOn(t, r)
	h := d.Sheet().AddHole()
	d.TakeKept(h, "1")
	d.Settle()
	d.add(h, "a.jpg", 0)
	d.kept(1, 0)
	turned := uitest.Bracket()
	turned.Camera.PlusX = math.Pi
	d.reader.Know("b.jpg", turned)
	d.add(h, "b.jpg", math.Pi)
	d.keep()
	d.kept(2, 1, "1", "2")
}

// What is kept is the reading that counts: where the record's own stands second, the new
// one takes its place there, and the old one stays as corrected.
func TestTheReadingThatCountsIsTheOneKept(t *testing.T) {
	r := &uitest.Record{}
	d, _ := turnedHole(t, r)
	d.keep()
	d, h := turnedHole(t, r)
	d.TakeKept(h, "1")
	d.Settle()
	d.keep()
	if r.Count() != 2 || r.Corrections["1"] == "" {
		t.Errorf("%d readings kept, replaced %v; want the second in the place of the first", r.Count(), r.Corrections)
	}
	if old, _, err := r.Reopen(t.Context(), "1"); err != nil || old.Photo.Name != "a.jpg" {
		t.Errorf("the old reading: %+v, %v", old, err)
	}
	if got := h.Photos[0].Kept; got != "2" {
		t.Errorf("the reading that counts is called %q in the record, want 2", got)
	}
}

// Two holes in one picture are two readings, though both were put down as one hole.
func TestTwoHolesOfOnePictureAreBothKept(t *testing.T) {
	d, h := turnedHole(t, &uitest.Record{})
	p := d.add(h, "a.jpg", 0)
	r := *p.Reading
	r.Outer.CX += 3 * r.Outer.A
	p.Reading = &r
	d.keep()
	d.kept(2, 1, "1", "2")
}
