package planner_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"evenrim/model/practice"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/planner"
	"evenrim/ui/planner/draft"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

// eyes is a shop whose eyes were tested.
type eyes struct {
	list []practice.Threshold
	err  error
}

func (e eyes) Thresholds(context.Context) ([]practice.Threshold, error) { return e.list, e.err }

type desk struct {
	*planner.Page
	t   *testing.T
	win fyne.Window
}

func newDesk(t *testing.T, deps planner.Deps) *desk {
	t.Helper()
	app := test.NewTempApp(t)
	app.Settings().SetTheme(&look.Theme{Mode: look.AlwaysDay})
	d := &desk{t: t, win: test.NewTempWindow(t, nil)}
	if deps.Prefs == nil {
		deps.Prefs = app.Preferences()
	}
	deps.Version, deps.Now = "test", func() time.Time { return time.Date(2026, 6, 1, 9, 0, 0, 0, time.UTC) }
	d.Page = planner.New(d.win, deps)
	d.win.SetContent(d.Content())
	d.win.Resize(fyne.NewSize(1280, 800))
	d.Settle()
	t.Cleanup(func() { d.Page.Close(); d.Settle() })
	return d
}

func (d *desk) says(words ...string) {
	d.t.Helper()
	all := d.Words()
	for _, w := range words {
		if !strings.Contains(all, w) {
			d.t.Errorf("the page doesn't say %q; it says:\n%s", w, all)
		}
	}
}

func (d *desk) saysNot(words ...string) {
	d.t.Helper()
	for _, w := range words {
		if strings.Contains(d.Words(), w) {
			d.t.Errorf("the page says %q and shouldn't", w)
		}
	}
}

func (d *desk) typed(key, text string) {
	d.Entry(key).SetText(text)
	d.Settle()
}

// Who has chosen from a list goes on by keyboard, and what goes out of sight keeps no keys.
func TestTheKeysWorkAfterAChoiceFromAList(t *testing.T) {
	d := newDesk(t, planner.Deps{})
	c := d.win.Canvas()
	c.SetOnTypedRune(d.Typed)
	material := d.List("material")
	test.Tap(material)
	for top := c.Overlays().Top(); top != nil; top = c.Overlays().Top() {
		top.Hide()
		c.Overlays().Remove(top)
	}
	c.Focus(material)
	test.Type(material, "4")
	d.Settle()
	if d.Section() != draft.PickUp {
		t.Errorf("4 after a choice leaves the page on section %v", d.Section())
	}
	if c.Focused() != nil {
		t.Errorf("a list that is gone has the focus")
	}
}

func TestAllSectionsAnswerAtOnce(t *testing.T) {
	d := newDesk(t, planner.Deps{})
	d.Show()
	d.Settle()
	d.says("It holds", "parts cut by simulation", "Common practice, no source", "Worst at", "Halve it", "sacrificial carrier", "passes", "hand on the feed hold")
	d.Typed('2')
	d.Settle()
	d.says("Cut it this wide", "No eye was tested", "Which chamfer, on which bore")
	d.Typed('3')
	d.Settle()
	d.says("110", "from lens to part", "four, part turned")
	d.TypedKey(fyne.KeyPageDown)
	d.Settle()
	d.says("not your offset", "Check before cutting", "ball's centre", "Touches", "hand on the feed hold")
	d.TypedKey(fyne.KeyPageDown)
	if d.Section() != draft.Flip {
		t.Errorf("after the last section comes %s", d.Section())
	}
}

// The two buttons below can be seen to be buttons, and are no wider than they must.
func TestTheButtonsBelowLookLikeButtons(t *testing.T) {
	d := newDesk(t, planner.Deps{})
	picture := d.win.Canvas().Capture()
	k := float32(picture.Bounds().Dx()) / d.win.Canvas().Size().Width
	found := 0
	for _, o := range test.LaidOutObjects(d.Content()) {
		b, ok := o.(*kit.Button)
		if !ok {
			continue
		}
		found++
		at := fyne.CurrentApp().Driver().AbsolutePositionForObject(b)
		y := int((at.Y + b.Size().Height/2) * k)
		if inside, beside := picture.At(int((at.X+6)*k), y), picture.At(int((at.X-3)*k), y); inside == beside {
			t.Errorf("%q can't be told from what is beside it: %v", b.Text, inside)
		}
		if b.Size().Width > b.MinSize().Width+54 {
			t.Errorf("%q is %g wide and needs %g", b.Text, b.Size().Width, b.MinSize().Width)
		}
	}
	if found != 2 {
		t.Errorf("%d buttons below, want the sheet's and the units'", found)
	}
}

// What tells a machine to move has its cautions right below, before drawing and tables.
func TestCautionsStandWithTheMove(t *testing.T) {
	d := newDesk(t, planner.Deps{})
	d.TurnTo(draft.PickUp)
	d.Settle()
	all := d.Words()
	move, caution, table := strings.Index(all, "Turn the coordinate system"), strings.Index(all, "hand on the feed hold"), strings.Index(all, "off the face found")
	drawing := strings.Index(all, "Faces, touches and the new feature")
	if move < 0 || caution < move || caution > drawing || caution > table {
		t.Errorf("the move stands at %d, its cautions at %d, the drawing at %d, the table at %d of:\n%s", move, caution, drawing, table, all)
	}
	d.TurnTo(draft.Flip) // a question, not a move
	d.Settle()
	all = d.Words()
	if strings.Index(all, "hand on the feed hold") < strings.Index(all, "Where setup 2 lands") {
		t.Error("the flip's cautions stand before its drawing")
	}
}

func TestWhatIsTypedCountsAtOnceAndIsTheShopsOwn(t *testing.T) {
	d := newDesk(t, planner.Deps{})
	d.typed("form", "0.2 mm") // a sawn edge
	d.says("It does not hold", "1. Form and finish", "Your figure.")
	d.typed("form", "0.2 furlongs")
	d.says("Something to mend first", "Form and finish of faces:")
	if d.Answered() {
		t.Error("an answer stands beside a field that cannot be read")
	}
	d.typed("form", "0.002 mm")
	d.says("It holds")
	d.saysNot("Something to mend")
}

func TestEyeFromTheApprenticePage(t *testing.T) {
	d := newDesk(t, planner.Deps{Eyes: eyes{list: []practice.Threshold{{Person: "Mo", Share: 0.05, Low95: 0.04, High95: 0.07, Trials: 40, At: time.Now()}}}})
	d.TurnTo(draft.Chamfer)
	d.Settle()
	d.says("No eye was tested")
	d.Show()
	d.Settle()
	d.says("Mo's eye", "up to 0.50 mm wide")
	d.saysNot("No eye was tested")
	e := newDesk(t, planner.Deps{Eyes: eyes{err: errors.New("the record is locked")}})
	e.Show()
	e.Settle()
	e.says("the record is locked", "It holds")
}

func TestThePlannerSaysHowFarToMove(t *testing.T) {
	d := newDesk(t, planner.Deps{})
	d.TurnTo(draft.Photo)
	d.typed("distance", "400")
	d.says("Move to")
	d.Choose("camera", "Bench camera, 25 mm lens")
	d.typed("distance", "")
	d.says("Hold the lens here")
	if got := d.Entry("lens").Text; got != "25" {
		t.Errorf("the lens reads %q", got)
	}
}

func TestThePlannerSwapsToInches(t *testing.T) {
	d := newDesk(t, planner.Deps{})
	d.Typed('u')
	d.Settle()
	d.says("0.001 in", "3.14961 in")
	if got := d.UnitsShown(); got != "in" {
		t.Errorf("the units' button says %q, want the unit as on the other pages", got)
	}
	d.TurnTo(draft.PickUp)
	d.Settle()
	d.says("X +3.937")
}

// Tab on and on: the field with the cursor is always in sight.
func TestTheFieldWithTheCursorIsInSight(t *testing.T) {
	d := newDesk(t, planner.Deps{})
	c := d.win.Canvas()
	for _, key := range []string{"proud", "features", "length"} { // the last of a long form, its middle, its first
		e := d.Entry(key)
		c.Focus(e)
		place := fyne.CurrentApp().Driver().AbsolutePositionForObject(e)
		if place.Y < 0 || place.Y+e.Size().Height > c.Size().Height {
			t.Errorf("%s stands at %v of a window %v high", key, place, c.Size().Height)
		}
	}
}

func TestSetupSheetIsWritten(t *testing.T) {
	d := newDesk(t, planner.Deps{})
	path := filepath.Join(t.TempDir(), "sheet.pdf")
	d.SaveSheet(path)
	d.Settle()
	data, err := os.ReadFile(path)
	if err != nil || !strings.HasPrefix(string(data), "%PDF") {
		t.Fatalf("%d bytes, %v", len(data), err)
	}
	d.says("Setup sheet written: sheet.pdf.")
	d.SaveSheet(filepath.Join(t.TempDir(), "no", "such", "sheet.pdf"))
	d.Settle()
	d.says("could not be written")
}

func TestTypedIsRemembered(t *testing.T) {
	app := test.NewTempApp(t)
	prefs := app.Preferences()
	d := newDesk(t, planner.Deps{Prefs: prefs})
	d.typed("jaw", "0.03 mm")
	d.Page.Close()
	e := newDesk(t, planner.Deps{Prefs: prefs})
	if got := e.Entry("jaw").Text; got != "0.03 mm" {
		t.Errorf("next time the jaw reads %q", got)
	}
}

// What was typed is there after the program was killed, too.
func TestTypedIsRememberedWithoutClosing(t *testing.T) {
	app := test.NewTempApp(t)
	prefs := app.Preferences()
	d := newDesk(t, planner.Deps{Prefs: prefs})
	d.typed("jaw", "0.03 mm")
	for until := time.Now().Add(10 * time.Second); prefs.String("planner.typed") == "" && time.Now().Before(until); d.Settle() {
		time.Sleep(20 * time.Millisecond)
	}
	if got := prefs.String("planner.typed"); !strings.Contains(got, "0.03 mm") {
		t.Errorf("remembered: %q", got)
	}
}

func TestEverythingFits(t *testing.T) {
	for _, scale := range []float32{1, 1.5, 2} {
		d := newDesk(t, planner.Deps{})
		fyne.CurrentApp().Settings().SetTheme(&look.Theme{Mode: look.AlwaysDay, Scale: scale})
		d.win.Resize(uitest.Room(scale))
		for range 2 { // in mm and in inch
			for _, s := range draft.Sections {
				d.TurnTo(s)
				d.Settle()
				for _, cut := range uitest.Misfits(d.win) {
					t.Errorf("%s at %g %%: %s", s, scale*100, cut)
				}
			}
			d.Typed('u')
		}
	}
}
