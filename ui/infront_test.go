package ui

import (
	"testing"

	"evenrim/model"
	"evenrim/ui/bench"
	"evenrim/ui/kit"
	"evenrim/ui/port"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

// pressMenu does what a line of the menu, or its key, does.
func pressMenu(t *testing.T, w *Window, label string) {
	t.Helper()
	for _, m := range w.win.MainMenu().Items {
		for _, i := range m.Items {
			if i.Label == label {
				i.Action()
				return
			}
		}
	}
	t.Fatalf("the menu has no line %q", label)
}

// What changes a photo or its job card does nothing while another page is seen, or a sheet
// lies over the Bench; nor does it turn to the Bench.
func TestKeysOfTheBenchDoNothingOnOtherPages(t *testing.T) {
	w := NewWindow(test.NewTempApp(t), Deps{Deps: bench.Deps{Photos: uitest.NewReader(), Solve: model.Solve}}, Opening{})
	defer w.close()
	w.win.Resize(fyne.NewSize(1440, 900))
	w.bench.Open(port.Source{Name: "one.jpg", Data: []byte{1}})
	card := w.bench.Card()
	for i := 1; i < len(w.pages); i++ {
		w.turnTo(i)
		for _, m := range w.benchItems {
			if !m.Disabled {
				t.Errorf("page %s: %q isn't grey", w.pages[i].name, m.Label)
			}
		}
		for _, label := range []string{"Undo", "Redo", "Take off the bench", "Take all off the bench", "Look again", "Keep the job card", "Report as PDF…"} {
			pressMenu(t, w, label)
			if w.open != i || w.bench.Title() != "one.jpg" || w.bench.Card() != card {
				t.Fatalf("page %s: %q turned to page %d, Bench %q", w.pages[i].name, label, w.open, w.bench.Title())
			}
			kit.Dismiss(w.win.Canvas())
		}
	}
	w.turnTo(0)
	if w.benchItems[0].Disabled {
		t.Error("on the Bench its lines stay grey")
	}
	w.bench.ShowGlossary()
	pressMenu(t, w, "Take off the bench")
	if w.bench.Title() != "one.jpg" {
		t.Error("under the words, which can't be seen, the photo was taken off")
	}
	kit.Dismiss(w.win.Canvas())
	pressMenu(t, w, "Take off the bench")
	if w.bench.Title() != "" {
		t.Error("on the Bench the photo isn't taken off")
	}
}

// Ctrl+Z in a field of another page takes back what was typed there.
func TestUndoIsOfTheFieldOnOtherPages(t *testing.T) {
	w := NewWindow(test.NewTempApp(t), Deps{}, Opening{})
	defer w.close()
	w.win.Resize(fyne.NewSize(1440, 900))
	w.turnTo(4)
	for _, o := range test.LaidOutObjects(w.now().Content()) {
		field, ok := o.(*kit.Entry)
		if !ok {
			continue
		}
		was := field.Text
		w.win.Canvas().Focus(field)
		test.Type(field, "7")
		pressMenu(t, w, "Undo")
		if field.Text != was {
			t.Errorf("after undo the field has %q, want %q", field.Text, was)
		}
		pressMenu(t, w, "Redo")
		if field.Text == was {
			t.Error("redo does nothing")
		}
		return
	}
	t.Fatal("the Planner has no field")
}
