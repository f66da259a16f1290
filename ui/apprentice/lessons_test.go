package apprentice_test

import (
	"testing"

	"evenrim/assets"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

func TestLessonsAreReadOneAfterTheOther(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	r.SetPerson("Ada")
	r.Settle()
	for i, l := range assets.Lessons() {
		r.says(l.Title, l.Paras[0], l.Cautions[0], l.Ask)
		r.saysNot(l.Answer)
		test.Tap(r.Button("Show the answer"))
		r.says(l.Answer)
		if i < 10 {
			test.Tap(r.Button("Next lesson"))
		} else {
			test.Tap(r.Button("To practice"))
		}
		r.Settle()
	}
	r.says("Where is it wide?")
	if got := len(r.diary.entries["Ada"]); got != 11 {
		t.Errorf("%d entries kept, want 11 lessons read", got)
	}
}

// A slider of a live picture changes the picture and the words, and they agree.
func TestLivePictureFollowsItsSlider(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	r.TypedKey(fyne.KeyDown) // half the difference
	r.Settle()
	r.says("Half the difference: 7.1 thou") // 30 % of 0.6 mm
	s := r.Sliders()[0]
	s.SetValue(60)
	r.Settle()
	r.says("60 % of the width", "Half the difference: 14.2 thou")
	r.TypedKey(fyne.KeyDown) // the chamfer vanishes
	r.Settle()
	r.says("bare over", "more than the width of")
}
