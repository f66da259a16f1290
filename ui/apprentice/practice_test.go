package apprentice_test

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/ui/port"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

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
	size := func() float64 { return r.Drill().Quiz().Answer.SizeMM }
	r.Typed('+')
	first := size()
	if first < 0.001 {
		t.Errorf("the first + says %v mm, which shows as nothing", first)
	}
	r.Typed('+')
	r.Typed('-')
	if got := size(); math.Abs(got-first) > 1e-9 {
		t.Errorf("+ and − say %v mm, want the %v mm from before", got, first)
	}
	r.Typed('-')
	if got := size(); got != 0 {
		t.Errorf("− from the least size says %v mm, want none", got)
	}
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
