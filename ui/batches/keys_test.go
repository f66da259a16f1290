package batches_test

import (
	"slices"
	"testing"

	"evenrim/ui/batches/ledger"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
)

// Who came to a button by Tab, or pressed a row, a box or a list, goes on by keyboard:
// whatever has the focus, the page hears its letters, F1 and Page Down, Escape lets go,
// Return presses or ticks.
func TestNothingThatHasTheFocusKeepsThePagesKeys(t *testing.T) {
	d := newDesk(t, usual, 1)
	hears := func(at string) {
		t.Helper()
		d.Settle()
		for _, dead := range uitest.DeadKeys(d.win, 'u', fyne.KeyPageDown) {
			t.Errorf("%s: %s", at, dead)
		}
	}
	d.Show()
	hears("the empty record")
	d.OpenDemo()
	d.Settle()
	d.Typed('f')
	d.Choose(0)
	hears("the search and a reading's labels")
	d.Pick("drifting")
	for _, v := range ledger.Views {
		d.Turn(v.View)
		hears(v.Name)
	}
	for _, b := range []string{"drifting", "fixed", "gauge study", "raw edge", "a fifth"} {
		if !slices.Contains(d.State().Picked, b) {
			d.Pick(b)
		}
	}
	d.says("Four batches are as many")
	hears("a slip that says what went wrong")
}
