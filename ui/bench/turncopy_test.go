package bench_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/ui/uitest"
)

// quarterDesk has a turn set of four on the bench, of which copy.jpg, the third, is the
// picture of one.jpg.
func quarterDesk(t *testing.T) *desk {
	t.Helper()
	d := newDesk(t, uitest.Bracket().Card())
	d.knowTurned("two.jpg", math.Pi/2)
	d.knowTurned("four.jpg", 3*math.Pi/2)
	d.reader.Copy("copy.jpg", "one.jpg")
	d.drop("one.jpg")
	d.Settle()
	d.StartTurns()
	d.SetTurns(4)
	for _, name := range []string{"two.jpg", "copy.jpg", "four.jpg"} {
		d.drop(name)
		d.Settle()
	}
	d.says("Turn set of 4 photos, 3 of them joined", "Photos one.jpg and copy.jpg of this hole are the same picture, which counts once.")
	return d
}

func (d *desk) knowTurned(name string, rad float64) {
	s := uitest.Bracket()
	s.Camera.PlusX = rad
	d.reader.Know(name, s)
}

// recorded fails unless the record holds n readings, corrected of which have another in
// their place, and the last of its turn sets is of so many different ones that all count.
func (d *desk) recorded(n, corrected, members int) {
	d.t.Helper()
	if got := d.record.Count(); got != n || len(d.record.Corrections) != corrected {
		d.t.Errorf("%d readings in the record, replaced %v; want %d and %d", got, d.record.Corrections, n, corrected)
	}
	var last []string
	if sets := d.record.Sets(); len(sets) > 0 {
		last = slices.Sorted(slices.Values(sets[len(sets)-1]))
	}
	outdated := slices.ContainsFunc(last, func(id string) bool { return d.record.Corrections[id] != "" })
	if len(last) != members || outdated || len(slices.Compact(last)) != members {
		d.t.Errorf("the last set in the record is of %v, replaced %v; want %d that count", last, d.record.Corrections, members)
	}
}

// A copy of a picture, opened for another turn, isn't kept as a correction of the picture's
// reading: the set is of the different readings, all of which count.
func TestATurnSetIsKeptOfDifferentPictures(t *testing.T) {
	d := quarterDesk(t)
	d.says("Kept in the record, turn set T1")
	d.recorded(3, 0, 3)
	// Another thickness makes other readings of all photos.
	d.Type("thickness", "9 mm")
	d.UseCardForAll()
	d.Settle()
	d.says("Kept in the record, turn set T2")
	d.recorded(6, 3, 3)
	d.EndTurns()
	d.Settle()
	d.Step(-1) // from four.jpg to the copy
	d.says("Not kept by itself: it is the same picture as one.jpg")
	d.Close()
	d.Settle()
	d.recorded(6, 3, 3)
	if lost := d.Lost(); len(lost) != 0 {
		t.Errorf("lost in closing: %q", lost)
	}
}

// The copy may come last: nothing is kept after it that would bring the set along.
func TestASetWhoseLastPhotoIsACopyIsKept(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	for i, name := range []string{"two.jpg", "three.jpg"} {
		d.knowTurned(name, float64(i+1)*math.Pi/2)
	}
	d.reader.Copy("copy.jpg", "one.jpg")
	d.drop("one.jpg")
	d.Settle()
	d.StartTurns()
	d.SetTurns(4)
	for _, name := range []string{"two.jpg", "three.jpg", "copy.jpg"} {
		d.drop(name)
		d.Settle()
	}
	d.says("Kept in the record, turn set T1")
	d.recorded(3, 0, 3)
}

// Photos that were read before the set began have been kept one by one, the copy in the
// place of the first: the first is kept once more, so that the set stands as current.
func TestASetOfPhotosReadBeforeItStandsAsCurrent(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.knowTurned("two.jpg", math.Pi)
	d.reader.Copy("copy.jpg", "one.jpg")
	for _, name := range []string{"one.jpg", "copy.jpg", "two.jpg"} {
		d.drop(name)
		d.Settle()
	}
	d.recorded(3, 1, 0)
	d.Step(1) // to the first
	d.StartTurns()
	d.Step(-1)
	d.ChooseForTurns()
	d.Settle()
	d.says("Turn set of 2 photos, joined", "Kept in the record, turn set T1")
	d.recorded(5, 3, 2) // 2 for 1, another for 2, and two.jpg turned
	d.EndTurns()
	d.Step(1)
	d.StartTurns() // nothing is kept again that stands already
	d.Settle()
	d.recorded(5, 3, 2)
}

// What was reopened from the record stays as it was, in a set, too.
func TestASetOfAReopenedReadingKeepsItAsItWas(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.knowTurned("two.jpg", math.Pi)
	d.reader.Copy("copy.jpg", "one.jpg")
	d.drop("one.jpg")
	d.Settle()
	d.Remove()
	d.Reopen("1")
	d.Settle()
	d.drop("copy.jpg") // takes its place in the record
	d.Settle()
	d.Step(-1)
	d.StartTurns()
	d.drop("two.jpg")
	d.Settle()
	if got := d.record.Sets(); len(got) != 1 || !slices.Equal(got[0], []string{"1", "3"}) {
		t.Errorf("sets %v in the record, want one of the reopened reading and the new one", got)
	}
}

func TestAKeptSetWithACopyComesBackWithoutIt(t *testing.T) {
	d := quarterDesk(t)
	d.EndTurns()
	for range 4 {
		d.Remove()
	}
	d.ReopenTurns("T1")
	d.Settle()
	d.says("Turn set of 3 photos, joined", "From the record, turn set T1, exactly as it was kept", "Turning took out")
}

// A picture and its copy are no turn set: the one reading is kept, and nothing else.
func TestAPictureAndItsCopyAreNotKeptAsATurnSet(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.reader.Copy("copy.jpg", "one.jpg")
	d.drop("one.jpg")
	d.Settle()
	d.StartTurns()
	d.drop("copy.jpg")
	d.Settle()
	d.says("One picture", "Not kept as a turn set: it is one picture")
	d.recorded(1, 0, 0)
	d.Close()
	d.Settle()
	d.recorded(1, 0, 0)
	if lost := d.Lost(); len(lost) != 0 {
		t.Errorf("lost in closing: %q", lost)
	}
}

// Another set that begins with the copy counts the copy's reading, which is kept for it.
func TestASetMayBeginWithTheCopy(t *testing.T) {
	d := quarterDesk(t)
	d.EndTurns()
	d.Step(-1) // from four.jpg to the copy
	d.StartTurns()
	d.Settle()
	if n := d.record.Count(); n != 4 || d.record.Corrections["1"] == "" {
		t.Errorf("%d readings in the record, replaced %v; want the copy's in the place of the first", n, d.record.Corrections)
	}
}

// copyReadFirst is a turn set of which the copy has a reading while its first photo is still
// being read; release lets that go on.
func copyReadFirst(t *testing.T, scenes ...uitest.Scene) (d *desk, release func()) {
	t.Helper()
	d = newDesk(t, uitest.Bracket().Card())
	for _, s := range scenes {
		d.reader.Know("copy.jpg", s)
	}
	d.reader.Copy("copy.jpg", "one.jpg")
	hold := make(chan struct{})
	d.reader.HoldOf = map[string]chan struct{}{"one.jpg": hold}
	d.drop("one.jpg")
	d.StartTurns()
	d.drop("copy.jpg")
	end := time.Now().Add(10 * time.Second)
	for d.Deliver(); !strings.Contains(strings.Join(d.Words(), " "), ", 95 %"); d.Deliver() {
		if time.Now().After(end) {
			t.Fatal("the copy gives no reading")
		}
		time.Sleep(time.Millisecond)
	}
	for range 20 { // time to keep it, if it were to be kept
		time.Sleep(time.Millisecond)
		d.Deliver()
	}
	return d, func() { close(hold) }
}

// keptAlone fails unless one reading is in the record, of that photo.
func (d *desk) keptAlone(name string) {
	d.t.Helper()
	d.recorded(1, 0, 0)
	if r, _, err := d.record.Reopen(d.t.Context(), "1"); err != nil || r.Photo.Name != name {
		d.t.Errorf("the reading kept is not that of %s (%v)", name, err)
	}
}

// The copy may be read before the picture that counts: it waits for it.
func TestACopyReadFirstIsNotKeptFirst(t *testing.T) {
	d, release := copyReadFirst(t)
	release()
	d.Settle()
	d.keptAlone("one.jpg")
}

// Another hole in the same picture is kept by itself, but a picture is no turn set.
func TestAnotherHoleInThePictureIsKept(t *testing.T) {
	other := uitest.Bracket()
	other.W, other.Camera.U0 = 1600, other.Camera.U0+500
	d, release := copyReadFirst(t, other)
	d.recorded(0, 0, 0)
	release()
	d.Settle()
	d.recorded(2, 0, 0)
}

// A copy that is taken off the bench is in the record by its picture's first reading.
func TestACopyTakenOffIsNotKept(t *testing.T) {
	d := quarterDesk(t)
	d.Step(-1) // from four.jpg to the copy
	d.Remove()
	d.Settle()
	d.recorded(3, 0, 3)
}

// A reading that waited for another photo is kept when there is none of that.
func TestACopyIsKeptWhereTheOtherGivesNoReading(t *testing.T) {
	for name, end := range map[string]func(d *desk, release func()){
		"refused":            func(d *desk, release func()) { release() },
		"stopped":            func(d *desk, _ func()) { d.Step(1); d.Cancel() },
		"taken off":          func(d *desk, _ func()) { d.Step(1); d.Remove() },
		"the copy taken off": func(d *desk, _ func()) { d.Remove() },
		"the set ended":      func(d *desk, _ func()) { d.EndTurns() },
		"closed":             func(d *desk, release func()) { release(); d.Close() },
	} {
		t.Run(name, func(t *testing.T) {
			d, release := copyReadFirst(t)
			d.reader.Refuse("one.jpg", model.Refuse(model.Underexposed, "The photo is too dark."))
			end(d, release)
			for range 200 {
				if d.Deliver(); d.record.Count() > 0 {
					break
				}
				time.Sleep(5 * time.Millisecond)
			}
			d.keptAlone("copy.jpg")
			if name != "refused" && name != "closed" {
				release() // what else waits for it may end
			}
		})
	}
}
