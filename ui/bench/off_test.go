package bench_test

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"evenrim/ui/uitest"
)

// thicknesses are those of the readings in the record, in the order they came.
func (d *desk) thicknesses() (mm []float64) {
	d.t.Helper()
	last, err := d.record.Last(context.Background(), 100)
	if err != nil {
		d.t.Fatal(err)
	}
	for _, k := range slices.Backward(last) {
		r, _, err := d.record.Reopen(context.Background(), k.ID)
		if err != nil {
			d.t.Fatal(err)
		}
		mm = append(mm, r.Job.ThicknessMM)
	}
	return mm
}

// The photo is taken off while its last reading is being kept and a newer one waits.
func TestANewerReadingOutlivesItsPhoto(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.drop("one.jpg")
	d.Type("thickness", "8 mm")
	d.Settle()
	had := len(d.thicknesses())
	d.record.Hold = make(chan struct{})
	d.Type("thickness", "9 mm")
	d.Solved()
	d.Type("thickness", "8 mm")
	d.Solved()
	d.Remove()
	close(d.record.Hold)
	d.Settle()
	if got := d.thicknesses()[had:]; !slices.Equal(got, []float64{9, 8}) {
		t.Errorf("kept last: readings of thickness %v, want 9 and then 8", got)
	}
	for of, why := range d.record.Corrections {
		if why == "" {
			t.Errorf("reading %s was replaced without a reason", of)
		}
	}
}

// The record is full when the photo is taken off.
func TestAReadingNotKeptOutlivesItsPhoto(t *testing.T) {
	for _, room := range []bool{true, false} {
		d := newDesk(t, uitest.Bracket().Card())
		d.record.Full = errors.New("the disk is full.")
		d.drop("one.jpg")
		d.Settle()
		d.Remove()
		d.Settle()
		if room {
			d.record.Full = nil
		}
		d.Page.Close()
		lost := strings.Join(d.Lost(), "\n")
		if room && (d.record.Count() != 1 || lost != "") {
			t.Errorf("room again: %d readings kept, lost %q; want the one", d.record.Count(), lost)
		}
		if !room && lost != "The reading of one.jpg is not kept: the disk is full." {
			t.Errorf("no room: told %q", lost)
		}
	}
}

// A photo that is opened anew and read has the newer reading: the older doesn't come after it.
func TestAReadingNotKeptDoesNotReplaceANewerOne(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.Type("thickness", "8 mm")
	d.record.Full = errors.New("the disk is full.")
	d.drop("one.jpg")
	d.Settle()
	d.Remove()
	d.Settle()
	d.record.Full = nil
	d.Type("thickness", "9 mm")
	d.drop("one.jpg")
	d.Settle()
	d.Page.Close()
	if got := d.thicknesses(); !slices.Equal(got, []float64{9}) || len(d.Lost()) > 0 {
		t.Errorf("kept readings of thickness %v, lost %q; want the newer one", got, d.Lost())
	}
}

// A turn set that could not be kept stays to be kept when its guide is put away.
func TestATurnSetNotKeptOutlivesItsGuide(t *testing.T) {
	for _, end := range []func(*desk){
		func(d *desk) { d.EndTurns() },
		func(d *desk) { d.SetTurns(4) },
		func(d *desk) { d.Remove() },
		func(d *desk) { d.RemoveAll() },
		func(d *desk) { d.EndTurns(); d.Type("thickness", "9 mm"); d.UseCardForAll() },
	} {
		d := unkeptSet(t)
		end(d)
		d.Settle()
		d.Page.Close()
		if lost := strings.Join(d.Lost(), "\n"); !strings.Contains(lost, "A turn set of 2 photos is not kept: the disk is full.") {
			t.Errorf("told %q, want that the set is not kept", lost)
		}
		d.KeepAgain()
		if len(d.Lost()) == 0 {
			t.Error("tried again without room: nothing is told")
		}
		d.record.SetsFull = nil
		d.KeepAgain()
		if n := len(d.record.Sets()); n != 1 || len(d.Lost()) > 0 {
			t.Errorf("room again: %d sets kept, lost %q", n, d.Lost())
		}
	}
}

// unkeptSet has a joined turn set on the bench that the record has no room for.
func unkeptSet(t *testing.T) *desk {
	t.Helper()
	d := newDesk(t, uitest.Bracket().Card())
	d.knowTurned("two.jpg", math.Pi)
	d.record.SetsFull = errors.New("the disk is full.")
	d.drop("one.jpg")
	d.Settle()
	d.StartTurns()
	d.drop("two.jpg")
	d.Settle()
	d.says("Turn set of 2 photos, joined")
	if d.record.Count() != 2 || len(d.record.Sets()) != 0 {
		t.Fatalf("%d readings and %d sets kept, want two and none", d.record.Count(), len(d.record.Sets()))
	}
	return d
}

// A set whose photos are all taken off before their readings are down is kept with them.
func TestATurnSetOutlivesItsPhotos(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.knowTurned("two.jpg", math.Pi)
	d.record.Hold = make(chan struct{})
	d.drop("one.jpg")
	d.Solved()
	d.StartTurns()
	d.drop("two.jpg")
	for d.Joined() == nil {
		d.Deliver()
	}
	d.RemoveAll()
	close(d.record.Hold)
	d.Settle()
	if got := d.record.Sets(); len(got) != 1 || len(got[0]) != 2 || d.record.Count() != 2 {
		t.Errorf("sets %v of %d readings kept, want one of two", got, d.record.Count())
	}
}

// A photo of a turn set is taken off and another takes its place.
func TestAPhotoOfATurnSetIsTakenAgain(t *testing.T) {
	d := turnedDesk(t)
	d.Remove()
	d.Settle()
	d.says("Photo 2 of 2", "The part must lie half a turn counter-clockwise from how it lay for photo 1")
	d.saysNot("Turn set of 2 photos, joined")
	d.knowTurned("better.jpg", math.Pi)
	d.drop("better.jpg")
	d.Settle()
	d.says("Turn set of 2 photos, joined", "Kept in the record, turn set T2")
	want := uitest.Bracket().Solid.Mismatch
	if got := d.Joined().Mismatch; got.Sub(want).Norm() > 0.001 {
		t.Errorf("joined %v, want %v", got, want)
	}
	if got := d.record.Sets(); len(got) != 2 || !slices.Equal(got[1], []string{"1", "3"}) {
		t.Errorf("sets kept %v, want the second of readings 1 and 3", got)
	}
}

// A reading in sight whose rims are being looked at again is kept when its photo is taken
// off, or the page closes, before that gives another.
func TestAReadingBeingLookedAtAgainIsKept(t *testing.T) {
	for name, leave := range map[string]func(*desk){"taken off": (*desk).removeIt, "closed": (*desk).closeIt} {
		d := newDesk(t, uitest.Bracket().Card())
		d.drop("one.jpg")
		d.Settle()
		d.reader.Hold = make(chan struct{})
		d.Type("chamfer", "0.8 mm")
		d.Solved()
		leave(d)
		d.Settle()
		last, _, err := d.record.Reopen(context.Background(), "2")
		if err != nil || last.Job.ChamferMM != 0.8 {
			t.Errorf("%s: %d readings kept, %v; want the one in sight, too", name, d.record.Count(), err)
		}
	}
}

func (d *desk) removeIt() { d.Remove() }
func (d *desk) closeIt()  { d.Page.Close() }

// What was mistyped on a photo goes with the form when another is shown; the photo is then
// read by its own card again.
func TestAPhotoComesBackFromAMistypedCard(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.drop("one.jpg", "two.jpg")
	d.Settle()
	d.Type("bore", "1x")
	d.Step(1)
	d.Step(1)
	d.Settle()
	d.says("Does not conform", "10 mm")
	d.saysNot("Job card wanted")
}
