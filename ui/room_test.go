package ui

import (
	"os"
	"slices"
	"testing"

	"evenrim/ui/kit"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
)

func TestMain(m *testing.M) {
	kit.HoldEvery()
	os.Exit(m.Run())
}

// The tabs on the left are whole in the smallest window at every text size, and leave
// pages the room that their own tests reckon with.
func TestPagesHaveThatRoom(t *testing.T) {
	tabs := 0
	for _, scale := range []float32{1, 1.5, 2} {
		app := test.NewTempApp(t)
		w := NewWindow(app, Deps{}, Opening{})
		w.win.Resize(fyne.NewSize(minWidth, uitest.Room(scale).Height))
		w.setText(scale)
		for _, cut := range uitest.Misfits(w.win) {
			t.Errorf("at %g %%: %s", scale*100, cut)
		}
		for _, o := range test.LaidOutObjects(w.win.Content()) {
			if s, ok := o.(*container.Scroll); ok && slices.Contains(inside(s), fyne.CanvasObject(w.pages[0].tab)) {
				tabs++
				if all, seen := s.Content.MinSize().Height, s.Size().Height; all > seen {
					t.Errorf("at %g %% the tabs are %g high, and %g of it is in sight", scale*100, all, seen)
				}
			}
		}
		if got, want := w.desk.Size().Width, uitest.Room(scale).Width; got < want {
			t.Errorf("at %g %% pages are %g wide, want at least %g", scale*100, got, want)
		} else {
			t.Logf("at %g %% pages are %g wide", scale*100, got)
		}
		w.close()
	}
	if tabs != 3 {
		t.Errorf("the tabs were looked at %d times, want 3", tabs)
	}
}

// inside are the objects of a scroller's container.
func inside(s *container.Scroll) []fyne.CanvasObject {
	if c, ok := s.Content.(*fyne.Container); ok {
		return c.Objects
	}
	return nil
}
