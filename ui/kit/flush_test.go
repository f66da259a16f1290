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
