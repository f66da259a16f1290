package part_test

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"evenrim/ui/uitest"
)

// Who came to a button by Tab, or chose from a list, goes on by keyboard: whatever has the
// focus, the page hears its letters and F1, Escape lets go, Return presses.
func TestNothingThatHasTheFocusKeepsThePagesKeys(t *testing.T) {
	d := newDesk(t)
	hears := func(at string) {
		t.Helper()
		d.Settle()
		for _, dead := range uitest.DeadKeys(d.win, 'h') {
			t.Errorf("%s: %s", at, dead)
		}
	}
	hears("the empty page")
	d.OpenSample()
	for _, dead := range uitest.DeadKeys(d.win, 'h') { // Stop stands there
		t.Errorf("while photos are read: %s", dead)
	}
	hears("the holes")
	d.Tap(0)
	hears("a hole's fields")
	d.Turn(1)
	hears("the walls")
	d.Tap(0)
	hears("a wall's fields")
	d.Turn(2)
	hears("the part")
	list := filepath.Join(t.TempDir(), "two.csv")
	if err := os.WriteFile(list, []byte("photo,bore,part,hole\na.jpg,10mm,left,A\nb.jpg,10mm,right,A\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	d.OpenList(list)
	hears("one part of two")
	d.says("left")
	if got := d.Sheet().Parts(); !slices.Equal(got, []string{"left", "right"}) {
		t.Errorf("parts to choose from: %q", got)
	}
	d.OpenList("/no/such/list.csv")
	d.Settle()
	d.says("Close")
	hears("a slip that says what went wrong")
}
