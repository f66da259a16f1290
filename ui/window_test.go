package ui

import (
	"testing"

	"evenrim/model"
	"evenrim/ui/bench"
	"evenrim/ui/kit"
	"evenrim/ui/part"
	"evenrim/ui/port"
	"evenrim/ui/state"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/test"
)

// unitButton is what the page in view has on its button for the units; "" = none.
func unitButton(w *Window) string {
	for _, o := range test.LaidOutObjects(w.now().Content()) {
		if b, ok := o.(*kit.Button); ok && b.Visible() && (b.Text == "mm" || b.Text == "in") {
			return b.Text
		}
	}
	return ""
}

// One press on any page, or one line of the menu, changes the units of all pages, those
// that are first opened afterwards as well, and of the next start.
func TestAllPagesShowTheSameUnits(t *testing.T) {
	app := test.NewTempApp(t)
	w := NewWindow(app, Deps{}, Opening{})
	w.win.Resize(fyne.NewSize(1440, 900))
	look := func(when string, w *Window, want string) {
		t.Helper()
		for i, l := range w.pages {
			w.turnTo(i)
			if got := unitButton(w); got != want {
				t.Errorf("%s: the button of page %s says %q, want %q", when, l.name, got, want)
			}
		}
	}
	w.turnTo(1)
	w.now().(*part.Page).SwapUnits()
	look("swapped on the Part page", w, "in")
	w.bench.ShowIn(state.MM)
	look("mm by the menu", w, "mm")
	w.bench.ShowIn(state.Inch)
	w.close()

	w = NewWindow(app, Deps{}, Opening{})
	w.win.Resize(fyne.NewSize(1440, 900))
	look("started again", w, "in")
	w.close()
}

// No two lines of the menu have one key: only one of them would hear it, whatever Help says.
func TestEveryKeyOfTheMenuIsOneLines(t *testing.T) {
	w := NewWindow(test.NewTempApp(t), Deps{}, Opening{})
	t.Cleanup(w.close)
	line := map[string]string{}
	for _, m := range w.win.MainMenu().Items {
		for _, i := range m.Items {
			k, ok := i.Shortcut.(fyne.KeyboardShortcut)
			if !ok {
				continue
			}
			if before := line[keyWords(k)]; before != "" {
				t.Errorf("%s is the key of both %q and %q", keyWords(k), before, i.Label)
			}
			line[keyWords(k)] = i.Label
		}
	}
	if len(line) < 30 {
		t.Errorf("only %d keys were found in the menu", len(line))
	}
}

// F1 lists the keys on every page, as the menu says, by the names that stand on them.
func TestF1ListsTheKeysOnEveryPage(t *testing.T) {
	w := NewWindow(test.NewTempApp(t), Deps{}, Opening{})
	w.win.Resize(fyne.NewSize(1440, 900))
	for i, l := range w.pages {
		w.turnTo(i)
		w.typedKey(fyne.KeyF1)
		top := w.win.Canvas().Overlays().Top()
		if top == nil {
			t.Errorf("F1 does nothing on the page %s", l.name)
			continue
		}
		said := map[string]bool{}
		for _, o := range test.LaidOutObjects(top) {
			if t, ok := o.(*canvas.Text); ok {
				said[t.Text] = true
			}
		}
		if !said["Ctrl+Page Down"] || said["Ctrl+Next"] || !said[l.name] {
			t.Errorf("page %s: the list doesn't say Ctrl+Page Down, or not the page's keys", l.name)
		}
		w.typedKey(fyne.KeyEscape)
		if w.win.Canvas().Overlays().Top() != nil {
			t.Errorf("page %s: Escape doesn't close the list", l.name)
		}
	}
	w.close()
}

// What lies over the Bench takes the keys: the photo under it, which can't be seen, stays.
func TestKeysDoNothingUnderAnExplanation(t *testing.T) {
	w := NewWindow(test.NewTempApp(t), Deps{Deps: bench.Deps{Photos: uitest.NewReader(), Solve: model.Solve}}, Opening{})
	defer w.close()
	w.win.Resize(fyne.NewSize(1440, 900))
	w.bench.Open(port.Source{Name: "one.jpg", Data: []byte{1}}, port.Source{Name: "two.jpg", Data: []byte{2}})
	shown := w.bench.Title()
	w.bench.ShowGlossary()
	w.win.Canvas().Unfocus() // as after a press beside the words
	w.typedKey(fyne.KeyPageDown)
	if got := w.bench.Title(); got != shown {
		t.Errorf("Page Down under the words turned from %s to %s", shown, got)
	}
	w.typedKey(fyne.KeyEscape)
	if w.win.Canvas().Overlays().Top() != nil {
		t.Fatal("Escape leaves the words")
	}
	w.typedKey(fyne.KeyPageDown)
	if got := w.bench.Title(); got == shown {
		t.Errorf("Page Down shows %s still", got)
	}
}

// What a start is told of the job card changes that and no more of the card used last.
func TestAFlagChangesNoMoreOfTheLastCardThanItSays(t *testing.T) {
	app := test.NewTempApp(t)
	last := model.JobCard{Name: "bracket", BoreMM: 10, ChamferMM: 0.25, HalfAngle: 0.5, ThicknessMM: 12, ToleranceMM: 0.05, Zone: model.SquareZone, Flip: model.FlipAboutX}
	start := func(given *model.JobCard) model.JobCard {
		w := NewWindow(app, Deps{}, Opening{Card: given})
		defer w.close()
		return w.bench.Card()
	}
	start(&last)
	want := last
	for _, tt := range []struct {
		given *model.JobCard
		say   func()
	}{
		{nil, func() {}},
		{&model.JobCard{ShowInch: true}, func() { want.ShowInch = true }},
		{&model.JobCard{ToleranceMM: 0.1, Zone: model.RoundZone}, func() { want.ToleranceMM, want.Zone = 0.1, model.RoundZone }},
		{&model.JobCard{BoreMM: 8, PlusX: 1}, func() { want.BoreMM, want.PlusX = 8, 1 }},
		{nil, func() { want.PlusX = 0 }}, // a photo's
	} {
		tt.say()
		if got := start(tt.given); got != want {
			t.Errorf("started with %+v the card is %+v, want %+v", tt.given, got, want)
		}
	}
}
