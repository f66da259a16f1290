package kit

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// The toolkit's sliders, lists and boxes take the focus when they are pressed and would swallow
// every letter from then on. These keep the keys that move them and hand on the rest.

// Slider is the toolkit's slider that Up and Down move, too.
type Slider struct{ widget.Slider }

// NewSlider returns a slider from least to most.
func NewSlider(least, most float64) *Slider {
	s := &Slider{}
	s.Min, s.Max, s.Step = least, most, 1
	s.Orientation = widget.Horizontal
	s.ExtendBaseWidget(s)
	return s
}

// TypedKey implements fyne.Focusable.
func (s *Slider) TypedKey(k *fyne.KeyEvent) {
	switch k.Name {
	case fyne.KeyLeft, fyne.KeyDown:
		s.Slider.TypedKey(&fyne.KeyEvent{Name: fyne.KeyLeft})
	case fyne.KeyRight, fyne.KeyUp:
		s.Slider.TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight})
	default:
		HandOn(s, k)
	}
}

// TypedRune implements fyne.Focusable.
func (s *Slider) TypedRune(r rune) { HandOnLetter(s, r) }

// Select is the toolkit's choice from a list.
type Select struct{ widget.Select }

// NewSelect returns a list with one of its options chosen; then hears of the next choice.
func NewSelect(options []string, chosen string, then func(string)) *Select {
	s := &Select{}
	s.Options = options
	s.ExtendBaseWidget(s)
	s.SetSelected(chosen)
	s.OnChanged = then
	return s
}

// TypedKey implements fyne.Focusable.
func (s *Select) TypedKey(k *fyne.KeyEvent) {
	switch k.Name {
	case fyne.KeySpace, fyne.KeyUp, fyne.KeyDown, fyne.KeyLeft, fyne.KeyRight:
		s.Select.TypedKey(k)
	default:
		HandOn(s, k)
	}
}

// TypedRune implements fyne.Focusable.
func (s *Select) TypedRune(r rune) { HandOnLetter(s, r) }

// Check is the toolkit's box to tick, by Return as well.
type Check struct{ widget.Check }

// NewCheck returns a box without a tick; then hears of each change.
func NewCheck(words string, then func(bool)) *Check {
	c := &Check{}
	c.Text, c.OnChanged = words, then
	c.ExtendBaseWidget(c)
	return c
}

// TypedKey implements fyne.Focusable.
func (c *Check) TypedKey(k *fyne.KeyEvent) {
	switch k.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		c.Check.TypedRune(' ')
	case fyne.KeySpace: // comes as a letter too
	default:
		HandOn(c, k)
	}
}

// TypedRune implements fyne.Focusable.
func (c *Check) TypedRune(r rune) {
	if r == ' ' {
		c.Check.TypedRune(r)
		return
	}
	HandOnLetter(c, r)
}

// HandOn lets a key that o has no use for work as if nothing had the focus, but for
// Escape, which takes the focus from o.
func HandOn(o fyne.CanvasObject, k *fyne.KeyEvent) {
	if k.Name == fyne.KeyEscape {
		escape(o)
		return
	}
	passOn(o, k)
}

// HandOnLetter does the same for a letter. The blank is no letter: what has the focus
// is pressed by it.
func HandOnLetter(o fyne.CanvasObject, r rune) {
	if r == ' ' {
		return
	}
	if c := canvasOf(o); c != nil && c.OnTypedRune() != nil {
		c.OnTypedRune()(r)
	}
}
