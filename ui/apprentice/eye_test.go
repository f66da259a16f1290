package apprentice_test

import (
	"testing"

	"evenrim/model/practice"

	"fyne.io/fyne/v2"
)

// The whole eye test with an eye that sees 20 % and nothing below 3 %: right keys
// for what it sees, always 12 o'clock for the rest.
func TestEyeTestThroughTheKeys(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	r.SetPerson("Ada")
	r.TurnTo(2)
	r.Settle()
	r.TypedKey(fyne.KeyReturn)
	r.Settle()
	keys := []fyne.KeyName{fyne.KeyUp, fyne.KeyRight, fyne.KeyDown, fyne.KeyLeft}
	n := 0
	for r.EyeRuns() {
		if n++; n > 100 {
			t.Fatal("the test doesn't end")
		}
		if got := r.EyePicture().Size(); got != fyne.NewSize(practice.EyePicturePt, practice.EyePicturePt) {
			t.Fatalf("the picture is shown at %v, want %d points square", got, practice.EyePicturePt)
		}
		q := r.EyeTrial()
		key := fyne.KeyUp
		if q.Share > 0.10 {
			key = keys[q.Wide]
		}
		r.TypedKey(key)
		r.TypedKey(key) // a second press before the next picture stands doesn't count
		r.Settle()
	}
	e := r.diary.entries["Ada"]
	if len(e) != 1 || e[0].Eye == nil || e[0].Eye.Trials != n {
		t.Fatalf("kept %d entries after %d pictures, want one eye test of as many trials", len(e), n)
	}
	if s := e[0].Eye.Share; s < 0.05 || s > 0.2 {
		t.Errorf("the eye's threshold reads %.3f, want near 0.10", s)
	}
	r.says("Your eye catches", "on a 0.010 in chamfer", "95 % sure: between", "points across")
}

// One key held down is no eye: there is no number to read at arm's length.
func TestAnEyeTestThatDoesNotSettleGivesNoNumber(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	r.TurnTo(2)
	r.StartEye()
	r.Settle()
	for n := 0; r.EyeRuns() && n < 100; n++ {
		r.TypedKey(fyne.KeyUp)
		r.Settle()
	}
	r.says("Your answers didn't settle", "or outside what was shown", "do it again")
	r.saysNot("Your eye catches", "points across with a chamfer")
}

func TestEyeTestCanBeLeft(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	r.TurnTo(2)
	r.StartEye()
	r.Settle()
	r.TypedKey(fyne.KeyRight)
	r.TypedKey(fyne.KeyEscape)
	r.Settle()
	r.says("Begin")
	r.saysNot("Your eye catches")
}
