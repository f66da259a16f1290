package part_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"evenrim/ui/part/worksheet"
	"evenrim/ui/uitest"
)

const stands = "The same hole in the same picture stands in hole "

// sharedPhoto is a part whose hole B has the photo of hole A.
func sharedPhoto(t *testing.T) (*desk, *worksheet.Hole, *worksheet.Hole) {
	t.Helper()
	d, a := turnedHole(t, &uitest.Record{})
	b := d.Sheet().AddHole()
	d.add(b, "a.jpg", 0)
	return d, a, b
}

// One hole's photo that was given to another as well is a mistake: both rows say so, and the
// second reading doesn't take the place of the first in the record.
func TestAPhotoInTwoHolesIsSaidAndKeptOnce(t *testing.T) {
	d, _, _ := sharedPhoto(t)
	d.says(stands+"B, too: which one is wrong? Take that one off, and add it with a photo of its own.",
		stands+"A, too: which one is wrong? Take that one off, and add it with a photo of its own. Until then the record does not get this one.")
	for i, r := range d.Sheet().HoleRows() {
		if !r.Odd {
			t.Errorf("row %d isn't marked", i)
		}
	}
	d.keep()
	d.says("1 reading is in the record now. A photo of hole B is not kept: the same hole in the same picture stands in another hole, too. See at the hole which, and take the wrong one off.")
	d.kept(1, 0)
	d.keep()
	d.says("There is nothing more to keep. A photo of hole B is not kept")
	d.kept(1, 0)
}

// With the wrong hole taken off, the right one's reading takes the place of what was kept
// under the wrong name, and the page says so.
func TestTheWrongHoleTakenOffTheOtherIsKept(t *testing.T) {
	d, _, b := sharedPhoto(t)
	d.keep()
	d.Sheet().Chosen.Kind = worksheet.Nothing
	d.Sheet().Choose(worksheet.AHole, 0)
	d.Sheet().Remove()
	d.OpenURIs(nil)
	if row := d.Sheet().HoleRows()[0]; strings.Contains(row.Words, stands) {
		t.Errorf("the row still says %q", row.Words)
	}
	d.keep()
	d.says("1 reading is in the record now. Photos that were in the record already: no. 2 took the place of no. 1.")
	if got := b.Photos[0].Kept; got != "2" {
		t.Errorf("hole B's photo is kept as %q, want 2", got)
	}
}

// What is in the record as one hole's is not replaced by another that stands before it.
func TestAPhotoKeptForOneHoleStaysItsOwn(t *testing.T) {
	d, _, b := sharedPhoto(t)
	b.Photos[0].Kept = "1" // taken from the record
	if n := d.Sheet().NotKept(); n != 0 {
		t.Errorf("%d readings to keep, want none", n)
	}
	if words := d.Sheet().HoleRows()[0].Words; !strings.HasSuffix(words, "Until then the record does not get this one.") {
		t.Errorf("the first hole's row says %q", words)
	}
}

// A turn set has the hole's own photos in it, not the one that is another's.
func TestATurnSetIsKeptWithoutAnotherHolesPhoto(t *testing.T) {
	d, _, b := sharedPhoto(t)
	for _, name := range []string{"c.jpg", "d.jpg"} {
		scene := uitest.Bracket()
		if name == "d.jpg" {
			scene.Camera.PlusX = math.Pi
		}
		d.reader.Know(name, scene)
		d.add(b, name, scene.Camera.PlusX)
	}
	d.keep()
	if got := d.record.Sets(); len(got) != 1 || !slices.Equal(got[0], []string{"2", "3"}) {
		t.Errorf("sets %v in the record, want one of 2 and 3", got)
	}
	d.kept(3, 1, "2", "3")
}

// Several holes without names are told apart by where they stand on the page.
func TestAPhotoInThreeHolesNamesThemAll(t *testing.T) {
	d, a, _ := sharedPhoto(t)
	d.add(d.Sheet().AddHole(), "a.jpg", 0)
	a.Name = ""
	d.OpenURIs(nil)
	d.says("The same hole in the same picture stands in holes B and C, too", "stands in holes no. 1 and B, too")
	d.keep()
	d.says("Photos of holes B and C are not kept")
	d.kept(1, 0)
}
