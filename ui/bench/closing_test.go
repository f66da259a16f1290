package bench_test

import (
	"errors"
	"strings"
	"testing"
)

// A turn set, or a reading, that can't be kept while the page closes is told, and kept
// once there is room again.
func TestWhatCannotBeKeptAtTheEndIsTold(t *testing.T) {
	d := turnedDesk(t)
	d.Type("thickness", "9 mm") // new readings, a new set
	d.UseCardForAll()
	d.record.Full = errors.New("the disk is full.")
	d.Solved()
	d.Page.Close()
	d.Settle()
	lost := strings.Join(d.Lost(), "\n")
	for _, want := range []string{"The reading of one.jpg is not kept: the disk is full.", "The reading of two.jpg", "A turn set is not kept"} {
		if !strings.Contains(lost, want) {
			t.Errorf("want %q told; told:\n%s", want, lost)
		}
	}
	d.record.Full = nil
	d.KeepAgain()
	if len(d.Lost()) > 0 {
		t.Errorf("still lost: %q", d.Lost())
	}
	if got := d.record.Sets(); len(got) != 2 {
		t.Errorf("%d turn sets kept, want both", len(got))
	}
}

// The set alone fails: its readings are in the record.
func TestATurnSetThatCannotBeKeptAtTheEndIsTold(t *testing.T) {
	d := turnedDesk(t)
	before := len(d.record.Sets())
	d.Type("thickness", "9 mm")
	d.UseCardForAll()
	d.record.SetsFull = errors.New("the disk is full.")
	d.Settle()
	d.Page.Close()
	d.Settle()
	if lost := d.Lost(); len(lost) != 1 || lost[0] != "A turn set of 2 photos is not kept: the disk is full." {
		t.Errorf("told %q", lost)
	}
	if n := len(d.record.Sets()); n != before {
		t.Errorf("%d sets kept, want %d", n, before)
	}
}
