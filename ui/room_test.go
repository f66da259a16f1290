package ui

import (
	"os"
	"testing"

	"evenrim/ui/kit"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

func TestMain(m *testing.M) {
	kit.HoldEvery()
	os.Exit(m.Run())
}

// The tabs on the left are whole in the smallest window at every text size, and leave
// pages the room that their own tests reckon with.
func TestPagesHaveThatRoom(t *testing.T) {
	for _, scale := range []float32{1, 1.5, 2} {
		app := test.NewTempApp(t)
		w := NewWindow(app, Deps{}, Opening{})
		w.win.Resize(fyne.NewSize(minWidth, uitest.Room(scale).Height))
		w.setText(scale)
		for _, cut := range uitest.Misfits(w.win) {
			t.Errorf("at %g %%: %s", scale*100, cut)
		}
		if got, want := w.desk.Size().Width, uitest.Room(scale).Width; got < want {
			t.Errorf("at %g %% pages are %g wide, want at least %g", scale*100, got, want)
		} else {
			t.Logf("at %g %% pages are %g wide", scale*100, got)
		}
		w.close()
	}
}
