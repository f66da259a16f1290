package bench_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"evenrim/model"
	"evenrim/ui/look"
	"evenrim/ui/port"
	"evenrim/ui/state"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
)

// Everything that the page can show, in the smallest window, at every text size, in both
// units: no word is cut, broken, over an edge or over another.
func TestEveryThingOnThePageFits(t *testing.T) {
	walkThePage(t, 1, state.MM)
	walkThePage(t, 1.5, state.Inch)
	walkThePage(t, 2, state.MM)
	walkThePage(t, 2, state.Inch)
}

// A name as cameras and shops give them.
const longName = "crosshead bracket hole B 2026-11-26.jpg"

func walkThePage(t *testing.T, scale float32, units state.Units) {
	d := newDesk(t, model.JobCard{})
	fyne.CurrentApp().Settings().SetTheme(&look.Theme{Mode: look.AlwaysDay, Scale: scale})
	d.win.Resize(uitest.Room(scale))
	d.ShowIn(units)
	look := func(at string) { // as it is, and with the drawer open and shut, or shut and open
		t.Helper()
		for range 2 {
			d.Settle()
			for _, cut := range uitest.Misfits(d.win) {
				t.Errorf("%s at %g %% in %s: %s", at, scale*100, units, cut)
			}
			if d.win.Canvas().Overlays().Top() != nil {
				return
			}
			d.ToggleCard()
		}
	}
	over := func(at string) { // what lies over the page, and takes it away
		t.Helper()
		look(at)
		d.win.Canvas().Overlays().Top().Hide()
		d.Escape()
	}
	look("the empty bench")
	d.Type("bore", "ten")
	d.Type("tolerance", "-3")
	d.ToggleCard() // from now on it stays open, or shut, as it was put
	d.ToggleCard()
	look("a wrong job card")
	d.Type("bore", "10 mm")
	d.Type("tolerance", "0.02 mm")
	d.Type("name", "Crosshead bracket, second operation")
	d.KeepCard()
	d.Duplicate(0)
	d.OpenShelf()
	look("kept job cards")
	d.OpenShelf()

	d.OpenSample(0)
	look("the sample")
	for _, topic := range []state.Topic{state.AboutMismatch, state.AboutUncertainty, state.AboutVerdict, state.AboutMoves,
		state.AboutWidth, state.AboutView, state.AboutScale, state.AboutRims} {
		d.Explain(topic)
		over("where " + string(topic) + " comes from")
	}
	for _, f := range []state.Field{state.Bore, state.Chamfer, state.Angle, state.Thickness, state.Tolerance, state.PlusX, state.ZoneField, state.FlipField, state.CardName} {
		d.ExplainField(f)
		over("help on " + string(f))
	}
	d.ShowGlossary()
	over("the glossary")
	d.ShowKeys([][2]string{{"Ctrl+Shift+X", "+X along the nearest edge"}, {"Ctrl+Shift+W", "Take all off the bench"}})
	over("the keys")
	d.PickFlip()
	over("the flip axis")
	d.DrawHole()
	look("the tools")
	d.ToggleHelp()

	d.reader.Refuse("dark.jpg", model.Refuse(model.Underexposed, "The hole is too dark to measure: give more light or a longer exposure, so that the face looks mid-grey."))
	d.reader.Refuse("holes.jpg", &model.Refusal{Reason: model.Ambiguous, Sentence: "Several holes look alike: click the one to measure, or take the photo with one hole in the middle.",
		Candidates: []model.Circle{{X: 150, Y: 200, R: 60}, {X: 500, Y: 300, R: 90}}})
	d.drop("dark.jpg", "holes.jpg", longName)
	look("three more photos")
	for range 3 {
		d.Step(1)
		look("the next of them")
	}
	d.RemoveAll()

	second := uitest.Bracket()
	second.Camera.PlusX = math.Pi
	d.reader.Know("two "+longName, second)
	d.StartTurns()
	look("a turn set without a photo")
	d.drop(longName)
	look("a turn set's first photo")
	d.drop("two " + longName)
	look("a joined turn set")
	d.says("joined")
	for _, topic := range []state.Topic{state.AboutMismatch, state.AboutUncertainty, state.AboutVerdict, state.AboutMoves} {
		d.Explain(topic)
		over("where a turn set's " + string(topic) + " comes from")
	}
	d.ToggleKept()
	d.says("Turn set of 2")
	look("the kept readings")
	d.Remove()
	look("a turn set's photo taken off")
	d.drop("two " + longName)
	d.Settle()
	d.reader.Know("two "+longName, uitest.Bracket())
	d.SetTurns(4)
	look("a turn set of four")
	d.EndTurns()

	s := uitest.Bracket()
	r, err := model.Solve(s.Trace(), s.Card())
	if err != nil {
		t.Fatal(err)
	}
	r.Photo = model.Photo{Name: longName, WidthPx: s.W, HeightPx: s.H}
	r.Warnings = append(r.Warnings, "One lamp from the side: rounded edges seem to move by up to half a pixel.")
	id, err := d.record.Keep(context.Background(), r, port.Source{Name: longName, Data: []byte{1}})
	if err != nil {
		t.Fatal(err)
	}
	d.Reopen(id)
	look("a reopened reading")
	d.record.Full = fmt.Errorf("The reading could not be kept: the disk is full.")
	d.drop("one more.jpg")
	look("a full disk")
}
