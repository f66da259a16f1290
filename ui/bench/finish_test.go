package bench_test

import (
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/ui/kit"
	"evenrim/ui/uitest"
)

// The reading that is kept is of rims found by the card as it stands, whichever length of
// it was typed last.
func TestARetypedCardIsTracedAgain(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.drop("a.jpg")
	d.Settle()
	d.Type("thickness", "9 mm")
	d.Settle()
	if last := d.reader.Cards[len(d.reader.Cards)-1]; d.reader.Traced != 2 || last.ThicknessMM != 9 {
		t.Errorf("traced %d times, last by %+v; want once more, by the new thickness", d.reader.Traced, last)
	}
	d.Type("tolerance", "0.1 mm")
	d.Settle()
	if d.reader.Traced != 2 {
		t.Errorf("traced %d times: a tolerance changes no rims", d.reader.Traced)
	}
}

// A card that is put right while the photo is looked at, and refused, has its own look.
func TestACardTypedBeforeARefusalHasItsLook(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.reader.Refuse("a.jpg", model.Refuse(model.NoHole, "No hole was found: move closer."))
	d.reader.Hold = make(chan struct{})
	d.drop("a.jpg")
	d.Deliver()
	d.Type("thickness", "9 mm")
	close(d.reader.Hold)
	d.Settle()
	if n := len(d.reader.Cards); n != 2 || d.reader.Cards[1].ThicknessMM != 9 {
		t.Errorf("traced by %+v, want once more by the card as typed", d.reader.Cards)
	}
	d.says("No hole found")
}

// Whoever takes a photo off, or quits, before the rims have been looked for by the new card
// loses nothing, and what is kept is of the new card's rims.
func TestAPhotoThatLeavesIsReadByItsCard(t *testing.T) {
	for name, leave := range map[string]func(d *desk){
		"taken off": func(d *desk) { d.Remove(); d.Settle() },
		"quit":      func(d *desk) { d.Page.Close(); d.Settle() },
	} {
		d := newDesk(t, uitest.Bracket().Card())
		d.drop("a.jpg")
		d.Settle()
		d.Type("thickness", "9 mm")
		d.Solved()
		d.SaveReport()
		if said := strings.Join(d.DialogWords(), " "); !strings.Contains(said, "is being read by the job card as it is now") {
			t.Errorf("a report of rims by the old card: %q", said)
		}
		kit.Dismiss(d.win.Canvas())
		leave(d)
		r, _, err := d.record.Reopen(t.Context(), "2")
		if err != nil || r.Job.ThicknessMM != 9 {
			t.Errorf("%s: kept %d readings, %v; want the one by the new card", name, d.record.Count(), err)
			continue
		}
		if last := d.reader.Cards[len(d.reader.Cards)-1]; last.ThicknessMM != 9 {
			t.Errorf("%s: the rims were looked for by %+v last", name, last)
		}
		if lost := strings.Join(d.Lost(), " "); lost != "" {
			t.Errorf("%s: %s", name, lost)
		}
	}
}
