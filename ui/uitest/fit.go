package uitest

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"evenrim/ui/kit"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// Misfits are the words in a window, or on the dialog that lies over it, that don't
// fit their places: shortened, wider or higher than their box, over the edge of
// window or scroller, broken within a word, or over other words. Pictures that are
// painted whole, plots and photos, can't be looked into.
func Misfits(win fyne.Window) []string {
	c := win.Canvas()
	// A real screen lays out anew whatever has another least size than before; this one
	// does when the window changes.
	for range 2 {
		size := c.Size()
		win.Resize(size.AddWidthHeight(1, 1))
		win.Resize(size)
	}
	root := c.Content()
	if top := c.Overlays().Top(); top != nil {
		root = top
	}
	f := &fitting{}
	f.walk(root, root.Position(), rect{0, 0, c.Size().Width, c.Size().Height}, 0)
	f.overlaps()
	return f.out
}

// longWord is how many letters a word may have that must never be broken: longer ones
// are names of files and the like.
const longWord = 17

// slack is what rounding may cost, in layout pixels.
const slack = 1

type rect struct{ left, top, right, bottom float32 }

func (r rect) and(o rect) rect {
	return rect{max(r.left, o.left), max(r.top, o.top), min(r.right, o.right), min(r.bottom, o.bottom)}
}

// boundless is a side that scrolls.
const boundless = 1e6

type placed struct {
	words string
	at    rect
	sheet int // words on different scrollers' sheets don't get in each other's way
}

type fitting struct {
	out    []string
	text   []placed
	sheets int
}

func (f *fitting) say(what, words string) {
	f.out = append(f.out, fmt.Sprintf("%s: %q", what, words))
}

func (f *fitting) walk(o fyne.CanvasObject, at fyne.Position, clip rect, sheet int) {
	if o == nil || !o.Visible() {
		return
	}
	size := o.Size()
	if strip, ok := words(o); ok && size.Width < strip.Width-slack {
		f.say(fmt.Sprintf("%T has %.0f of %.0f", o, size.Width, strip.Width), wordsOf(o))
		return
	}
	switch w := o.(type) {
	case *canvas.Text:
		f.place(w, at, clip, sheet)
	case *kit.Line:
		if shown := f.textOf(w); shown != nil && shown.Text != w.Text && !slices.Contains(w.Shorter, shown.Text) {
			f.say("shortened", w.Text)
			return
		}
	case *kit.Prose:
		f.broken(w)
	case *container.Scroll:
		f.sheets++
		sheet = f.sheets
		clip = clip.and(rect{at.X, at.Y, at.X + size.Width, at.Y + size.Height})
		if w.Direction != container.ScrollVerticalOnly {
			clip.left, clip.right = -boundless, boundless
		}
		if w.Direction != container.ScrollHorizontalOnly {
			clip.top, clip.bottom = -boundless, boundless
		}
		f.walk(w.Content, at.Add(w.Content.Position()), clip, sheet)
		return
	}
	var inner []fyne.CanvasObject
	switch w := o.(type) {
	case *fyne.Container:
		inner = w.Objects
	case fyne.Widget:
		inner = test.WidgetRenderer(w).Objects()
	}
	for _, c := range inner {
		f.walk(c, at.Add(c.Position()), clip, sheet)
	}
}

// words is the least room for widgets of one line that cut their words, or whose
// words leave them, without a sign.
func words(o fyne.CanvasObject) (fyne.Size, bool) {
	switch w := o.(type) {
	case *widget.Button, *kit.Button, *widget.Check, *kit.Check, *widget.Hyperlink:
		return o.MinSize(), true
	case *widget.Select, *kit.Select:
		return fyne.NewSize(measured(wordsOf(o)).Width+2*theme.InnerPadding()+theme.IconInlineSize(), 0), true
	case *kit.Entry:
		return hint(&w.Entry)
	case *widget.Entry:
		return hint(w)
	}
	return fyne.Size{}, false
}

func chosen(s *widget.Select) string {
	if s.Selected != "" {
		return s.Selected
	}
	return s.PlaceHolder
}

// hint is the room that an empty field's hint needs; what is typed scrolls.
func hint(e *widget.Entry) (fyne.Size, bool) {
	if e.Text != "" || e.PlaceHolder == "" || e.MultiLine {
		return fyne.Size{}, false
	}
	w := measured(e.PlaceHolder).Width + 2*theme.InnerPadding()
	if e.ActionItem != nil {
		w += theme.IconInlineSize()
	}
	return fyne.NewSize(w, 0), true
}

func measured(s string) fyne.Size {
	return fyne.MeasureText(s, theme.TextSize(), fyne.TextStyle{})
}

func wordsOf(o fyne.CanvasObject) string {
	switch w := o.(type) {
	case *widget.Button:
		return w.Text
	case *kit.Button:
		return w.Text
	case *widget.Check:
		return w.Text
	case *kit.Check:
		return w.Text
	case *widget.Select:
		return chosen(w)
	case *kit.Select:
		return chosen(&w.Select)
	case *kit.Entry:
		return w.PlaceHolder
	case *widget.Entry:
		return w.PlaceHolder
	}
	return ""
}

func (f *fitting) textOf(l *kit.Line) *canvas.Text {
	t, _ := test.WidgetRenderer(l).Objects()[0].(*canvas.Text)
	return t
}

// broken finds words that stand in two lines.
func (f *fitting) broken(p *kit.Prose) {
	if n := p.Most; n > 0 && len(kit.Wrap(p.Text, p.Size().Width, func(s string) float32 { return p.Measure(s).Width })) > n {
		f.say("shortened", p.Text)
		return
	}
	whole := map[string]bool{}
	for _, w := range strings.Fields(p.Text) {
		whole[w] = true
	}
	for _, o := range test.WidgetRenderer(p).Objects() {
		for _, w := range strings.Fields(o.(*canvas.Text).Text) {
			if !whole[w] && wordIn(p.Text, w) < longWord {
				f.say("broken", p.Text)
				return
			}
		}
	}
}

// wordIn is how long the word is that a piece is part of.
func wordIn(text, piece string) int {
	for _, w := range strings.Fields(text) {
		if strings.Contains(w, piece) {
			return utf8.RuneCountInString(w)
		}
	}
	return 0
}

func (f *fitting) place(t *canvas.Text, at fyne.Position, clip rect, sheet int) {
	if strings.TrimSpace(t.Text) == "" {
		return
	}
	need, has := t.MinSize(), t.Size()
	if need.Width > has.Width+slack || need.Height > has.Height+slack {
		f.say(fmt.Sprintf("has %v of %v", has, need), t.Text)
		return
	}
	x := at.X
	switch t.Alignment {
	case fyne.TextAlignCenter:
		x += (has.Width - need.Width) / 2
	case fyne.TextAlignTrailing:
		x += has.Width - need.Width
	}
	y := at.Y + (has.Height-need.Height)/2
	r := rect{x, y, x + need.Width, y + need.Height}
	if r.left < clip.left-slack || r.right > clip.right+slack || r.top < clip.top-slack || r.bottom > clip.bottom+slack {
		f.say(fmt.Sprintf("over the edge, at %v of %v", r, clip), t.Text)
		return
	}
	f.text = append(f.text, placed{t.Text, r, sheet})
}

// overlaps finds words over words. Boxes of text may touch: their tops and bottoms
// are empty.
func (f *fitting) overlaps() {
	for i, a := range f.text {
		for _, b := range f.text[:i] {
			common := a.at.and(b.at)
			high := min(a.at.bottom-a.at.top, b.at.bottom-b.at.top)
			if a.sheet == b.sheet && common.right-common.left > slack && common.bottom-common.top > 0.25*high {
				f.say("over "+b.words, a.words)
			}
		}
	}
}
