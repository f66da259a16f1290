package bench_test

import (
	"testing"

	"evenrim/model"
	"evenrim/ui/state"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
)

// Who came to a button by Tab, or pressed a photo or a row, goes on by keyboard: whatever
// has the focus, the page hears its letters, F1 and Page Down, Escape lets go.
func TestNothingThatHasTheFocusKeepsThePagesKeys(t *testing.T) {
	d := newDesk(t, model.JobCard{})
	hears := func(at string) {
		t.Helper()
		d.Settle()
		for _, dead := range uitest.DeadKeys(d.win, 'u', fyne.KeyPageDown) {
			t.Errorf("%s: %s", at, dead)
		}
	}
	hears("the empty bench")
	d.Type("bore", "10 mm")
	d.Type("name", "Bracket")
	d.KeepCard()
	d.OpenShelf()
	hears("kept job cards")
	d.OpenSample(0)
	hears("the sample")
	d.ToggleKept()
	hears("the kept readings")
	d.ToggleCard()
	d.ToggleHelp()
	d.Type("thickness", "8.1 mm") // to be undone
	hears("the tools")
	d.reader.Refuse("dark.jpg", model.Refuse(model.Underexposed, "The hole is too dark to measure."))
	d.reader.Refuse("holes.jpg", &model.Refusal{Reason: model.Ambiguous, Sentence: "Several holes look alike.",
		Candidates: []model.Circle{{X: 150, Y: 200, R: 60}, {X: 500, Y: 300, R: 90}}})
	d.drop("dark.jpg", "holes.jpg")
	for range 3 {
		d.Step(1)
		hears("one of three photos")
	}
	d.ToggleHelp()
	d.StartTurns()
	hears("a turn set")
}

// A click into the photo gives it the focus; where it asks which hole is meant, the places'
// numbers and all other letters still go to the page.
func TestThePhotoHandsItsLettersOn(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.drop("bracket.jpg")
	d.Settle()
	d.Drag([2]float64{20, 20})
	var heard string
	d.win.Canvas().SetOnTypedRune(func(r rune) { heard += string(r) })
	if d.win.Canvas().Focused() == nil {
		t.Fatal("the photo hasn't the focus")
	}
	for _, r := range "120frg" {
		d.win.Canvas().Focused().TypedRune(r)
	}
	if heard != "120frg" {
		t.Errorf("the page hears %q, want 120frg", heard)
	}
}

// An empty field for the tolerance says what it then is, in the page's unit.
func TestTheTolerancesHintIsInThePagesUnit(t *testing.T) {
	d := newDesk(t, model.JobCard{})
	for _, want := range []struct {
		in   state.Units
		hint string
	}{{state.MM, "0.0254 mm"}, {state.Inch, "0.001 in"}, {state.MM, "0.0254 mm"}} {
		d.ShowIn(want.in)
		if got := d.Hint(state.Tolerance); got != want.hint {
			t.Errorf("in %s the empty tolerance says %q, want %q", want.in, got, want.hint)
		}
	}
}
