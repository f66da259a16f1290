package kit_test

import (
	"testing"

	"evenrim/ui/kit"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/test"
)

// shownAt is where an object's words stand in it.
func shownAt(t *testing.T, o fyne.Widget, words string) fyne.Position {
	t.Helper()
	for _, c := range test.WidgetRenderer(o).Objects() {
		if s, ok := c.(*canvas.Text); ok && s.Text == words {
			return s.Position()
		}
	}
	t.Fatalf("%q is not shown", words)
	return fyne.Position{}
}

// A number without a letter before it begins where the words above and below begin.
func TestANumberAloneStandsFlush(t *testing.T) {
	test.NewTempApp(t)
	f := kit.NewFigure("", 1, 3)
	f.Set("99 %", "", "")
	f.Resize(fyne.NewSize(400, 80))
	if x := shownAt(t, f, "99 %").X; x != 0 {
		t.Errorf("99 %% begins %g to the right of the words", x)
	}
	g := kit.NewFigure("X", 1, 3)
	g.Set("+0.020", "mm", "")
	g.Resize(fyne.NewSize(400, 80))
	if x, letter := shownAt(t, g, "+0.020").X, shownAt(t, g, "X").X; x <= letter {
		t.Errorf("X at %g, its number at %g", letter, x)
	}
}

// Centred words on something tall enough for a finger stand in its middle.
func TestCentredWordsStandInTheMiddle(t *testing.T) {
	test.NewTempApp(t)
	for _, tall := range []float32{0, 13, 40} {
		p := kit.NewProse("About Y", 1, kit.Ink).Centred()
		p.Resize(fyne.NewSize(200, 0))
		p.Resize(fyne.NewSize(200, p.MinSize().Height+tall))
		if y := shownAt(t, p, "About Y").Y; y < tall/2-1 || y > tall/2 {
			t.Errorf("%g to spare: %g above the words", tall, y)
		}
	}
}

// What is typed into a field tall enough for a finger stands in its middle, the first
// line of a field of several at its top.
func TestTypedWordsStandInTheMiddle(t *testing.T) {
	test.NewTempApp(t)
	above := func(e *kit.Entry, spare float32) float32 {
		win := test.NewTempWindow(t, e)
		win.SetPadded(false)
		e.SetText("80 mm")
		win.Resize(fyne.NewSize(200, e.MinSize().Height+spare))
		y := float32(-1)
		for _, o := range test.LaidOutObjects(e) {
			if s, ok := o.(*canvas.Text); ok && s.Text == "80 mm" {
				y = fyne.CurrentApp().Driver().AbsolutePositionForObject(s).Y
			}
		}
		if y < 0 {
			t.Fatal("what was typed is not shown")
		}
		return y
	}
	if low, tall := above(kit.NewEntry(), 0), above(kit.NewEntry(), 12); tall != low+6 {
		t.Errorf("12 to spare move the words from %g to %g, want half of it", low, tall)
	}
	if low, tall := above(kit.NewLines(), 0), above(kit.NewLines(), 12); tall != low {
		t.Errorf("in a field of several lines 12 to spare move the words from %g to %g", low, tall)
	}
}
