package state_test

import (
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/ui/port"
	"evenrim/ui/state"
	"evenrim/ui/uitest"
)

// A card left over from the last job is nobody's word on a photo that was kept by its own:
// the photo's own counts. One that was typed for it counts, and the change is told.
func TestALeftOverCardGivesWayToThePhotosOwn(t *testing.T) {
	own := uitest.Bracket().Card()
	left := own
	left.BoreMM, left.ChamferMM = 8, 0.3
	kept := port.Kept{ID: "7"}
	for _, tt := range []struct {
		name  string
		typed func(b *state.Bench, open func())
		bore  float64
		said  string
	}{
		{"nothing typed", func(_ *state.Bench, open func()) { open() }, own.BoreMM, "Its job card and +X were taken over from there."},
		{"typed before", func(b *state.Bench, open func()) { b.Edit(state.Bore, "9 mm"); open() }, 9, "It is read by another job card now: bore 10 mm to 9 mm, chamfer"},
		{"typed after", func(b *state.Bench, open func()) { open(); b.Edit(state.Bore, "9 mm") }, 9, "bore 10 mm to 9 mm"},
		{"a kept card taken", func(b *state.Bench, open func()) { b.TakeCard(model.JobCard{BoreMM: 9}); open() }, 9, "bore 10 mm to 9 mm"},
		{"asked for at the start", func(b *state.Bench, open func()) { b.Chosen(); open() }, 8, "bore 10 mm to 8 mm"},
		{"typed for another photo", func(b *state.Bench, open func()) {
			readPhoto(t, b, "first.jpg")
			b.Edit(state.Bore, "9 mm")
			open()
		}, own.BoreMM, "taken over from there."},
	} {
		b := state.NewBench(left)
		var p *state.Photo
		tt.typed(b, func() { p = b.Add(port.Source{Path: "/photos/a.jpg"})[0] })
		run := b.Begin(p.ID)
		b.Opened(p.ID, run, model.Photo{Name: "a.jpg", WidthPx: 100, HeightPx: 100}, nil)
		b.Recall(p.ID, own, kept)
		if c, _ := b.Form.Card(); p.Card.BoreMM != tt.bore && c.BoreMM != tt.bore {
			t.Errorf("%s: bore %g, in the form %g; want %g", tt.name, p.Card.BoreMM, c.BoreMM, tt.bore)
		}
		if !strings.Contains(p.Recalled, tt.said) {
			t.Errorf("%s: said %q, want %q", tt.name, p.Recalled, tt.said)
		}
		if b.CardIsLeftOver(p.ID) {
			t.Errorf("%s: its card is still taken for left over", tt.name)
		}
	}
}

// Photos of a turn set under way have the set's card.
func TestATurnSetKeepsItsCard(t *testing.T) {
	b := state.NewBench(uitest.Bracket().Card())
	readPhoto(t, b, "one.jpg")
	b.StartTurns(2)
	p := readPhoto(t, b, "two.jpg")
	other := p.Card
	other.BoreMM = 8
	b.Recall(p.ID, other, port.Kept{ID: "7"})
	if p.Card.BoreMM == 8 {
		t.Error("the second photo of a turn set went by another card than the first")
	}
}
