package apprentice_test

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"evenrim/assets"
	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/practice"
	"evenrim/ui/apprentice/study"
	"evenrim/ui/port"
	"evenrim/ui/state"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/test"
)

var ordinary = fyne.NewSize(1280, 820)

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

// The keys that the page names work after the mouse, too: a slider that was pulled, and a
// clock that Tab has come to, keep only what moves them.
func TestTheKeysWorkAfterTheMouse(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	c := r.win.Canvas()
	c.SetOnTypedRune(r.Typed)
	c.SetOnTypedKey(func(k *fyne.KeyEvent) { r.TypedKey(k.Name) })
	r.TurnTo(1)
	r.Settle()
	c.Focus(r.Clock())
	r.Clock().TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight})
	s := r.Sliders()[0]
	test.TapAt(s, fyne.NewPos(s.Size().Width/3, s.Size().Height/2))
	if c.Focused() != s {
		t.Fatalf("pulled, the slider has no focus: %v has it", c.Focused())
	}
	test.Type(s, "n")
	c.Focus(r.Clock())
	test.Type(r.Clock(), "b")
	if m := r.Drill().Quiz().Missing(); m != "" {
		t.Fatalf("after n and b the page asks %q", m)
	}
	r.Clock().TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	r.Settle()
	r.says("of 100", "Next photo")
	c.Focus(r.Button("Next photo")) // wherever the focus is that goes out of sight
	r.Typed('3')
	if c.Focused() != nil {
		t.Errorf("on the next part the focus is on %T of the last", c.Focused())
	}
}

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

// answer says what the key says, so that everything is right.
func (r *room) answerRight() {
	r.t.Helper()
	v := r.Drill()
	k := v.Quiz().Key
	v.Say(func(q *study.Quiz) {
		if k.Even {
			q.SetEven()
		} else {
			q.SetWhere(k.ScreenRad)
			q.Answer.SizeMM = k.Mismatch.Norm()
			q.SetSlider(q.Slider())
		}
		q.SetVerdict(k.Verdict)
		q.SetCause(k.Cause)
	})
}

func TestPracticeByHand(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	r.TurnTo(1)
	r.Settle()
	r.says("Photo 1, level 1 of 8", "Point to where it is wide", "not said yet")
	r.saysNot("of 100")
	c := r.Clock()
	size := c.Size()
	test.TapAt(c, fyne.NewPos(size.Width*0.9, size.Height/2)) // 3 o'clock
	r.says("wide at 3 o'clock", "Say how far off it is.")
	c.TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight})
	r.says("wide at half past 3")
	r.Sliders()[0].SetValue(0.5)
	r.says("% of the chamfer", "Say whether it conforms.")
	if b := r.Button("Show what is so"); !b.Disabled() {
		t.Error("the answer can be shown before all is answered")
	}
	r.Drill().Reveal()
	r.saysNot("of 100")
	test.Tap(r.Tap("Does not conform"))
	test.Tap(r.Tap("The setups are apart"))
	r.saysNot("Point to", "Say ")
	test.Tap(r.Button("Show what is so"))
	r.Settle()
	r.says("of 100", "Where it is wide", "How far off", "exact, because drawn", "Next photo")
	if !r.Drill().HasRims() {
		t.Error("no rims are laid over the photo")
	}
	if len(r.diary.entries) != 0 {
		t.Error("something was kept though nobody gave a name")
	}
	test.Tap(r.Button("Next photo"))
	r.Settle()
	r.says("Photo 2, level 1 of 8")
	if r.Drill().HasRims() {
		t.Error("the rims of the last photo lie over the new one")
	}
}

func TestPracticeByKeys(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	r.TurnTo(1)
	r.Settle()
	r.TypedKey(fyne.KeyRight)
	r.says("wide at 12 o'clock")
	r.TypedKey(fyne.KeyRight)
	r.says("wide at half past 12")
	r.Typed('+')
	r.Typed('+')
	r.Typed('n')
	r.TypedKey(fyne.KeyReturn) // too early
	r.saysNot("of 100")
	r.Typed('b')
	r.TypedKey(fyne.KeyReturn)
	r.Settle()
	r.says("of 100")
	r.Typed('0') // too late
	r.TypedKey(fyne.KeyReturn)
	r.Settle()
	r.says("Photo 2, level 1 of 8", "not said yet")
}

func TestPracticeGetsHarderAndIsKept(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	r.SetPerson("Ada")
	r.TurnTo(1)
	r.Settle()
	for range 3 {
		r.answerRight()
		r.Drill().Reveal()
		r.Next()
		r.Settle()
	}
	r.says("Photo 4, level 2 of 8")
	if got := len(r.diary.entries["Ada"]); got != 3 {
		t.Fatalf("%d entries kept, want 3", got)
	}
	if s := r.diary.entries["Ada"][0].Exercise.Score; math.Abs(s-1) > 1e-9 {
		t.Errorf("a right answer scores %.3f, want 1", s)
	}
	// The same series gives the same photos again.
	first := r.diary.entries["Ada"][0].Exercise
	if again := practice.NewExercise(first.Seed, first.N, first.Level); again.Key.Mismatch != first.Key.Mismatch {
		t.Errorf("series %d photo %d gave %v, now %v", first.Seed, first.N, first.Key.Mismatch, again.Key.Mismatch)
	}
	r.SetSeries("77")
	r.Settle()
	r.says("Photo 1, level 2 of 8")
	r.SetSeries("seven")
	r.says("A series is a whole number")

	r.TurnTo(4)
	r.Settle()
	r.says("Ada: level 2 of 8", "3 photos judged", "100 of 100", "Eye not measured yet")
	r.Forget("Ada")
	r.Settle()
	r.says("Today, without a name", "No photo judged yet")
	if len(r.diary.entries["Ada"]) != 0 || r.Person() != "" {
		t.Error("Ada was not forgotten")
	}
}

func TestPracticeOnOwnRecords(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	r.TurnTo(1)
	r.OwnPhotos()
	r.Settle()
	r.says("There is no kept reading")
	r.saysNot("Photo 1", "Drawing: bore") // of the photo that is gone
	scene := uitest.Bracket()
	reading, err := model.Solve(scene.Trace(), scene.Card())
	if err != nil {
		t.Fatal(err)
	}
	reading.Photo = model.Photo{Name: "bearing.jpg", WidthPx: scene.W, HeightPx: scene.H}
	if _, err := r.record.Keep(context.Background(), reading, port.Source{Name: "bearing.jpg", Data: []byte{1}}); err != nil {
		t.Fatal(err)
	}
	r.Next()
	r.Settle()
	r.says("bearing.jpg", "Where is it wide?")
	r.answerRight()
	r.Drill().Reveal()
	r.says("100 of 100", "±")
}

// A bare number of the drawing counts in the units shown, and keeps its meaning when
// they are changed, here or on another page.
func TestReadAlongTakesBareNumbersInTheUnitsShown(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	r.ShowIn(chart.Inch) // while another part of the page is open
	r.TurnTo(3)
	bore := r.AlongEntry(state.Bore)
	if bore.PlaceHolder != "0.4 in" {
		t.Errorf("the field's example reads %q", bore.PlaceHolder)
	}
	bore.SetText("0.5")
	r.ShowIn(chart.MM)
	if got := r.AlongBore(); got != 12.7 || bore.Text != "0.5 in" || bore.PlaceHolder != "10 mm" {
		t.Errorf("0.5 typed in inches is %g mm, reads %q, example %q; want 12.7, 0.5 in, 10 mm", got, bore.Text, bore.PlaceHolder)
	}
}

func TestReadAlongKeepsQuietUntilAnswered(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	r.TurnTo(3)
	r.OpenAlong(port.Source{Name: "mine.jpg", Data: []byte{1}})
	r.Settle()
	r.says("Say the bore and the chamfer's width first")
	if r.TurnTo(1); r.Dropped([]fyne.URI{storage.NewFileURI("/photos/dropped.jpg")}) {
		t.Error("practice took a dropped photo: that is for the bench")
	}
	r.TurnTo(3)
	r.TrySample()
	r.Settle()
	r.says("sample.jpg", "Predict first")
	v := r.Along()
	if v.HasRims() {
		t.Fatal("the rims are shown before the prediction")
	}
	v.Say(func(q *study.Quiz) {
		q.SetWhere(-0.36) // the bracket's mismatch is (0.040, -0.015)
		q.Answer.SizeMM = 0.043
		q.SetSlider(q.Slider())
		q.SetVerdict(model.DoesNotConform)
		q.SetCause(practice.Apart)
	})
	v.Reveal()
	r.says("100 of 100", "± ")
	if !v.HasRims() {
		t.Error("no rims are laid over the photo")
	}
	// A photo dropped on the page is the next one.
	if !r.Dropped([]fyne.URI{storage.NewFileURI("/photos/dropped.jpg")}) {
		t.Error("a dropped photo was not taken")
	}
	r.Settle()
	r.says("dropped.jpg", "Predict first")
	// A photo that gives no reading says why, and no mark is made up.
	r.reader.Refuse("sample.jpg", model.Refuse(model.NoHole, "No hole was found: get nearer."))
	r.TrySample()
	r.Settle()
	v.Say(func(q *study.Quiz) { q.SetEven(); q.SetVerdict(model.Conforms); q.SetCause(practice.Agree) })
	v.Reveal()
	r.says("No hole was found: get nearer.")
	r.saysNot("of 100")
}

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

func TestTrainersSheetIsWritten(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	r.TurnTo(1)
	r.Settle()
	path := filepath.Join(t.TempDir(), "sheet.pdf")
	r.WriteSheet(path)
	r.Settle()
	r.says("saved sheet.pdf")
	if b, err := os.ReadFile(path); err != nil || !strings.HasPrefix(string(b), "%PDF-") {
		t.Errorf("%d bytes, %v; want a PDF", len(b), err)
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
