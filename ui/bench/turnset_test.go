package bench_test

import (
	"bytes"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"evenrim/ui/uitest"
)

// turnedDesk has a joined turn set of two photos on the bench.
func turnedDesk(t *testing.T) *desk {
	t.Helper()
	d := newDesk(t, uitest.Bracket().Card())
	second := uitest.Bracket()
	second.Camera.PlusX = math.Pi
	d.reader.Know("two.jpg", second)
	d.drop("one.jpg")
	d.Settle()
	d.StartTurns()
	d.drop("two.jpg")
	d.Settle()
	d.says("Joined", "Turn set of 2 photos, joined")
	return d
}

func TestAJoinedTurnSetIsKeptOnceWithItsReadings(t *testing.T) {
	d := turnedDesk(t)
	d.ToggleKept()
	d.says("Kept in the record, turn set T1", "Turn set of 2, one.jpg")
	if got := d.record.Sets(); len(got) != 1 || !slices.Equal(got[0], []string{"1", "2"}) {
		t.Fatalf("kept sets %v, want one of readings 1 and 2", got)
	}
	// Another thickness makes other readings, which are joined anew.
	d.Type("thickness", "9 mm")
	d.UseCardForAll()
	d.Settle()
	sets := d.record.Sets()
	last := sets[len(sets)-1]
	if slices.Contains(last, "1") || slices.Contains(last, "2") || len(last) != 2 {
		t.Errorf("kept sets %v: the last should be of the corrected readings", sets)
	}
	d.says("Kept in the record, turn set T2")
}

func TestAKeptTurnSetComesBackAsItWas(t *testing.T) {
	d := turnedDesk(t)
	was := d.Words()
	x := slices.IndexFunc(was, func(w string) bool { return w == "X" })
	d.EndTurns()
	for range 2 {
		d.Remove()
	}
	d.saysNot("Turn set of 2 photos, joined")
	d.ReopenTurns("T1")
	d.Settle()
	d.says("Turn set of 2 photos, joined", "From the record, turn set T1, exactly as it was kept", was[x+1], "Turning took out")
	if !d.ShowsPhoto() {
		t.Error("the first photo isn't in view")
	}
	if got := d.record.Sets(); len(got) != 1 {
		t.Errorf("reopening kept it again: %v", got)
	}
	if n := d.record.Count(); n != 2 {
		t.Errorf("%d readings in the record, want the two", n)
	}
}

func TestATurnSetLaidAwayTooSoonIsStillKept(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	second := uitest.Bracket()
	second.Camera.PlusX = math.Pi
	d.reader.Know("two.jpg", second)
	d.record.Full = errors.New("The disk is full.")
	d.drop("one.jpg")
	d.Settle()
	d.StartTurns()
	d.drop("two.jpg")
	d.Settle()
	if n := len(d.record.Sets()); n != 0 {
		t.Fatalf("%d sets kept without their readings", n)
	}
	d.record.Full = nil
	d.Close()
	d.Settle()
	if got := d.record.Sets(); len(got) != 1 || d.record.Count() != 2 {
		t.Errorf("after closing: sets %v of %d readings, want one of two", got, d.record.Count())
	}
}

func TestTheReportOfATurnSetIsItsOwnPage(t *testing.T) {
	d := turnedDesk(t)
	path := filepath.Join(t.TempDir(), "set.pdf")
	d.WriteReport(path)
	d.Settle()
	pdf, err := os.ReadFile(path)
	if err != nil || !bytes.HasPrefix(pdf, []byte("%PDF-")) {
		t.Fatalf("%v, begins with %.10q", err, pdf)
	}
}

// A photo that was read before it was chosen for the set is joined with +X turned, never
// as it was: what is kept is one set, and right.
func TestAPhotoChosenForTheSetIsJoinedTurned(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	second := uitest.Bracket()
	second.Camera.PlusX = math.Pi
	d.reader.Know("two.jpg", second)
	d.drop("one.jpg", "two.jpg")
	d.Settle()
	d.StartTurns()
	d.Step(1)
	d.ChooseForTurns()
	d.saysNot("Turn set of 2 photos, joined") // the second's new reading isn't there yet
	d.Settle()
	d.says("Turn set of 2 photos, joined", "Kept in the record, turn set T1")
	if got := d.record.Sets(); len(got) != 1 {
		t.Errorf("kept %v, want one set", got)
	}
	want := uitest.Bracket().Solid.Mismatch
	if got := d.Joined().Mismatch; got.Sub(want).Norm() > 0.001 {
		t.Errorf("joined %v, want %v", got, want)
	}
}
