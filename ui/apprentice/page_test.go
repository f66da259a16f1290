package apprentice_test

import (
	"testing"

	"evenrim/model"
	"evenrim/model/practice"
	"evenrim/ui/apprentice/study"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
)

// After Return in a field the page hears the keys again.
func TestReturnLeavesTheField(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	for section, what := range map[int]string{4: "a nickname will do", 1: ""} {
		r.TurnTo(section)
		r.Settle()
		e := r.FieldThatSays(what)
		r.win.Canvas().Focus(e)
		e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
		if r.Settle(); r.win.Canvas().Focused() != nil {
			t.Errorf("section %d: the cursor stays in the field", section)
		}
	}
}

// At the smallest window and the largest text no word is cut, and the page fits.
func TestFitsSmallWindowsAndLargeText(t *testing.T) {
	for _, c := range []struct {
		size  fyne.Size
		scale float32
	}{{uitest.Room(1), 1}, {uitest.Room(1.5), 1.5}, {uitest.Room(2), 2}, {fyne.NewSize(2400, 1500), 2}} {
		r := newRoom(t, c.size, c.scale)
		for at := range 5 {
			r.TurnTo(at)
			r.Settle()
			if at == 3 {
				r.TrySample()
				r.Settle()
			}
			if m := r.Content().MinSize(); m.Width > 866 || m.Height > 628 {
				t.Errorf("section %d at %.0f %%: asks for %v, want at most 866 x 628", at, 100*c.scale, m)
			}
			if cut := uitest.Misfits(r.win); len(cut) > 0 {
				t.Errorf("section %d in %v at %.0f %%: cut %q", at, c.size, 100*c.scale, cut)
			}
		}
	}
}

// Nor is any while somebody practises: answers given and shown, the eye test under way,
// a person's progress.
func TestFitsWhileSomebodyPractises(t *testing.T) {
	for _, scale := range []float32{1, 1.5, 2} {
		r := newRoom(t, uitest.Room(scale), scale)
		look := func(at string) {
			t.Helper()
			r.Settle()
			for _, cut := range uitest.Misfits(r.win) {
				t.Errorf("%s at %.0f %%: %s", at, 100*scale, cut)
			}
		}
		r.SetPerson("Margarethe from the night shift")
		r.TurnTo(1)
		look("practice")
		v := r.Drill()
		v.Say(func(q *study.Quiz) {
			q.SetWhere(1)
			q.SetSlider(0.5)
			q.SetVerdict(model.Undecided)
			q.SetCause(practice.Agree)
		})
		look("an answer")
		v.Reveal()
		look("what is so")
		r.TurnTo(2)
		look("the eye test")
		r.StartEye()
		look("the eye test under way")
		r.TypedKey(fyne.KeyRight)
		look("an eye's answer")
		r.TypedKey(fyne.KeyEscape)
		r.TurnTo(4)
		look("progress")
		r.Typed('u')
		look("progress in the other unit")
	}
}
