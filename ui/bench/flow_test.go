package bench_test

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/ui/state"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

// shelfOfCards is a port.Cards in memory.
type shelfOfCards struct{ cards []model.JobCard }

func (s *shelfOfCards) All() ([]model.JobCard, error) { return s.cards, nil }
func (s *shelfOfCards) Delete(name string) error {
	for i, c := range s.cards {
		if c.Name == name {
			s.cards = append(s.cards[:i:i], s.cards[i+1:]...)
			return nil
		}
	}
	return nil
}
func (s *shelfOfCards) Save(c model.JobCard) error {
	s.Delete(c.Name)
	s.cards = append(s.cards, c)
	return nil
}

func TestJobCardsAreMadePickedAndCopied(t *testing.T) {
	d := newDesk(t, model.JobCard{})
	d.KeepCard()
	if len(d.cards.cards) != 0 {
		t.Fatal("a card without a bore was kept")
	}
	d.says("Type the bore diameter")
	d.Type("bore", "8")
	d.Type("tolerance", "2 thou")
	d.KeepCard()
	d.says("Give the card a name")
	d.Type("name", "Valve rod bracket")
	d.KeepCard()
	d.says("Kept as Valve rod bracket", "1 kept card")
	if c := d.cards.cards[0]; c.BoreMM != 8 || c.ToleranceMM != 0.0508 || c.PlusX != 0 {
		t.Errorf("kept %+v", c)
	}
	d.Duplicate(0)
	d.Duplicate(0)
	if n := len(d.cards.cards); n != 3 || d.cards.cards[2].Name != "Valve rod bracket copy 2" {
		t.Errorf("%d cards, the last %q", n, d.cards.cards[n-1].Name)
	}
	d.Type("bore", "20 mm")
	d.Take(0)
	if c := d.Card(); c.BoreMM != 8 || c.Name != "Valve rod bracket" {
		t.Errorf("after picking it: %+v", c)
	}
	d.Undo()
	if c := d.Card(); c.BoreMM != 20 {
		t.Errorf("after undo: bore %g, want 20", c.BoreMM)
	}
}

func TestEveryNumberSaysWhereItComesFrom(t *testing.T) {
	d := newDesk(t, model.JobCard{})
	d.OpenSample(0)
	d.Settle()
	for topic, want := range map[state.Topic]string{
		state.AboutMismatch: "÷ 2 =", state.AboutUncertainty: "edge points", state.AboutVerdict: "likely within",
		state.AboutMoves: "Setup 2:", state.AboutWidth: "mean", state.AboutView: "tilt", state.AboutScale: "px across", state.AboutRims: "bore edge (setup 1)",
	} {
		d.Explain(topic)
		d.Settle()
		all := strings.Join(d.DialogWords(), "\n")
		if !strings.Contains(all, want) || strings.Contains(all, "NaN") {
			t.Errorf("%s: want %q in:\n%s", topic, want, all)
		}
		d.Escape()
		if len(d.DialogWords()) > 0 {
			t.Fatalf("%s: Escape doesn't close it", topic)
		}
	}
	for _, f := range []state.Field{state.Bore, state.Chamfer, state.Angle, state.Thickness, state.Tolerance, state.PlusX, state.FlipField, state.CardName} {
		d.ExplainField(f)
		if len(d.DialogWords()) < 1 {
			t.Errorf("no help on %s", f)
		}
		d.Escape()
	}
	d.ShowGlossary()
	d.Settle()
	if all := strings.Join(d.DialogWords(), "\n"); !strings.Contains(all, "mismatch") || !strings.Contains(all, "turn set") {
		t.Errorf("glossary: %s", all)
	}
	d.Escape()
}

func TestReportAndPicturesAreWritten(t *testing.T) {
	d := newDesk(t, model.JobCard{})
	d.OpenSample(0)
	d.Settle()
	dir := t.TempDir()
	d.WriteReport(filepath.Join(dir, "r.pdf"))
	d.WritePlots(dir)
	d.Settle()
	if b, err := os.ReadFile(filepath.Join(dir, "r.pdf")); err != nil || !strings.HasPrefix(string(b), "%PDF") {
		t.Errorf("report: %v, %d bytes", err, len(b))
	}
	pngs, _ := filepath.Glob(filepath.Join(dir, "*.png"))
	if len(pngs) != 4 {
		t.Errorf("pictures %v, want four", pngs)
	}
}

// Photos that come and go leave no goroutine and no open picture behind. Memory is
// measured in the real window (cmd/evenrim, TestMemoryStaysFlatOverManyPhotosOnAScreen):
// the toolkit's test driver never forgets a widget.
func TestPhotosLeaveNothingBehind(t *testing.T) {
	const photos = 200
	d := newDesk(t, uitest.Bracket().Card())
	before := 0
	for i := range photos {
		d.drop(strings.Repeat("x", 1+i) + ".jpg")
		d.Settle()
		d.Remove()
		d.Settle()
		if i == 3 {
			before = runtime.NumGoroutine()
		}
	}
	time.Sleep(50 * time.Millisecond)
	if now := runtime.NumGoroutine(); now > before+2 {
		t.Errorf("%d goroutines after %d photos, %d after 4", now, photos, before)
	}
	if d.reader.Opened != d.reader.Closed {
		t.Errorf("%d photos opened, %d closed", d.reader.Opened, d.reader.Closed)
	}
}

// BenchmarkInputToResult is from a change of the job card to its new result in
// every view: design's target is a frame, 16 ms.
func BenchmarkInputToResult(b *testing.B) {
	d := newDesk(b, uitest.Bracket().Card())
	d.drop("bracket.jpg")
	d.Settle()
	i := 0
	for b.Loop() {
		i++
		d.Type("tolerance", []string{"0.03 mm", "0.02 mm"}[i%2]) // rims stay
		d.Solved()
	}
}

// pressed sends a key to what has the focus, as the window does.
func (d *desk) pressed(k fyne.KeyName) {
	d.t.Helper()
	f := d.win.Canvas().Focused()
	if f == nil {
		d.t.Fatalf("%s: nothing has the focus", k)
	}
	f.TypedKey(&fyne.KeyEvent{Name: k})
}

// Escape closes every sheet that lies over the page, with the focus on each thing of it
// that can have the focus.
func TestEscapeClosesASheetWhereverTheFocusIs(t *testing.T) {
	d := newDesk(t, model.JobCard{})
	d.OpenSample(0)
	d.Settle()
	d.Type("name", "Bracket")
	d.KeepCard()
	over := d.win.Canvas().Overlays()
	for name, show := range map[string]func(){
		"open": d.AskOpen, "save": d.SaveReport, "folder": d.SavePlots, "explanation": func() { d.Explain(state.AboutVerdict) },
		"help on a field": func() { d.ExplainField(state.Bore) }, "glossary": d.ShowGlossary, "flip axis": d.PickFlip,
		"delete a card": func() { d.AskDelete(0) }, "words": func() { d.ShowKeys(nil) },
	} {
		for stop := 0; ; stop++ {
			show()
			if over.Top() == nil {
				t.Fatalf("%s: no sheet", name)
			}
			for range stop {
				d.win.Canvas().FocusNext()
			}
			where := d.win.Canvas().Focused()
			d.pressed(fyne.KeyEscape)
			if over.Top() != nil {
				t.Errorf("%s: Escape doesn't close it from %T", name, where)
				d.win.Canvas().Overlays().Top().Hide()
			}
			if stop > 5 {
				break // round all of it
			}
		}
	}
	if len(d.cards.cards) != 1 {
		t.Error("Escape deleted the card")
	}
}

// Tab goes from field to field; F1 says what the one with the cursor means.
func TestTabGoesFromFieldToFieldAndF1Explains(t *testing.T) {
	d := newDesk(t, model.JobCard{})
	d.drop("bracket.jpg")
	d.Settle() // the bore is asked for
	test.Type(d.win.Canvas().Focused(), "10")
	for i, words := range []string{"diameter of the through-hole", "nominal width of the edge break", "chamfer's angle", "How thick the part is", "How far the two setups"} {
		d.pressed(fyne.KeyF1)
		if all := strings.Join(d.DialogWords(), "\n"); !strings.Contains(all, words) {
			t.Errorf("F1 in field %d: want %q in:\n%s", i+1, words, all)
		}
		d.pressed(fyne.KeyEscape)
		if d.win.Canvas().Overlays().Top() != nil {
			t.Fatal("the help stays")
		}
		d.win.Canvas().FocusNext()
	}
	d.pressed(fyne.KeyF1) // the zone, which is two fields to press
	if all := strings.Join(d.DialogWords(), "\n"); !strings.Contains(all, "Round: the mismatch") {
		t.Errorf("F1 on the zone: %s", all)
	}
	d.pressed(fyne.KeyReturn)
}

func TestPlacesAreChosenByTheirNumbers(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.reader.Refuse("two.jpg", &model.Refusal{Reason: model.Ambiguous, Sentence: "Two holes look alike: choose one.",
		Candidates: []model.Circle{{X: 150, Y: 200, R: 60}, {X: 500, Y: 300, R: 90}}})
	d.drop("two.jpg")
	d.Settle()
	if d.ChoosePlace(3) {
		t.Error("took a third place of two")
	}
	if !d.ChoosePlace(2) {
		t.Fatal("the second place isn't taken")
	}
	d.Settle()
	if len(d.reader.Helps) != 1 || d.reader.Helps[0].Hole.X != 500 {
		t.Errorf("helps %+v, want the hole at 500", d.reader.Helps)
	}
	if d.ChoosePlace(1) {
		t.Error("a number is still taken for a place")
	}
}

// The sample's job card is not the next photo's: a number by another bore would be a
// wrong one. What was typed over it is the user's own and stays.
func TestTheSamplesCardIsTheSamplesAlone(t *testing.T) {
	d := newDesk(t, model.JobCard{Name: "valve rod", BoreMM: 12}.WithDefaults())
	d.OpenSample(0)
	d.Settle()
	if c := d.Page.Card(); c.Name != "valve rod" || c.BoreMM != 12 {
		t.Errorf("remembered for the next start: %+v", c)
	}
	d.drop("own.jpg")
	d.Settle()
	if c := d.SelectedCard(); c.Name != "valve rod" || c.BoreMM != 12 {
		t.Errorf("an own photo is read by the card %+v", c)
	}
	d.OpenSample(0)
	d.Settle()
	if c := d.SelectedCard(); c.BoreMM != uitest.Bracket().Card().BoreMM {
		t.Errorf("the sample is read by the card %+v", c)
	}
	d.Type("bore", "9 mm")
	d.drop("another.jpg")
	d.Settle()
	if c := d.SelectedCard(); c.BoreMM != 9 {
		t.Errorf("after typing over the sample's card the next photo has %+v", c)
	}
}
