package kit

import (
	"image/color"

	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// Tap makes any content something to press: by pointer, finger, or Space and
// Return once focused.
type Tap struct {
	widget.BaseWidget
	Content  fyne.CanvasObject
	OnTap    func()
	OnHelp   func() // F1, while it has the focus
	OnFocus  func()
	Fill     Tint // nil = the page shows through
	Edge     Tint // nil = none
	Pad      float32
	Selected bool    // raised, with a bar of ink
	BarSide  BarSide // where the bar is

	hovered, focused bool
}

// BarSide is the side on which a Tap shows that it is selected.
type BarSide int

const (
	BarLeft BarSide = iota
	BarTop
	NoBar
)

var (
	_ fyne.Tappable      = (*Tap)(nil)
	_ fyne.Focusable     = (*Tap)(nil)
	_ desktop.Hoverable  = (*Tap)(nil)
	_ desktop.Cursorable = (*Tap)(nil)
)

// NewTap returns content that runs onTap.
func NewTap(content fyne.CanvasObject, onTap func()) *Tap {
	t := &Tap{Content: content, OnTap: onTap, Pad: 8}
	t.ExtendBaseWidget(t)
	return t
}

// Select changes whether it shows as selected.
func (t *Tap) Select(on bool) {
	if t.Selected != on {
		t.Selected = on
		t.Refresh()
	}
}

// Tapped implements fyne.Tappable.
func (t *Tap) Tapped(*fyne.PointEvent) {
	if t.OnTap != nil {
		t.OnTap()
	}
}

// FocusGained implements fyne.Focusable.
func (t *Tap) FocusGained() {
	t.focused = true
	t.Refresh()
	if t.OnFocus != nil {
		t.OnFocus()
	}
}

// FocusLost implements fyne.Focusable.
func (t *Tap) FocusLost() { t.focused = false; t.Refresh() }

// TypedRune implements fyne.Focusable.
func (t *Tap) TypedRune(r rune) { HandOnLetter(t, r) }

// TypedKey implements fyne.Focusable.
func (t *Tap) TypedKey(e *fyne.KeyEvent) {
	switch e.Name {
	case fyne.KeySpace, fyne.KeyReturn, fyne.KeyEnter:
		t.Tapped(nil)
	case fyne.KeyF1:
		if t.OnHelp != nil {
			t.OnHelp()
		} else {
			passOn(t, e)
		}
	default: // Escape lets go, so that the page hears the next one
		HandOn(t, e)
	}
}

// MouseIn implements desktop.Hoverable.
func (t *Tap) MouseIn(*desktop.MouseEvent) { t.hovered = true; t.Refresh() }

// MouseMoved implements desktop.Hoverable.
func (t *Tap) MouseMoved(*desktop.MouseEvent) {}

// MouseOut implements desktop.Hoverable.
func (t *Tap) MouseOut() { t.hovered = false; t.Refresh() }

// Cursor implements desktop.Cursorable.
func (t *Tap) Cursor() desktop.Cursor { return desktop.PointerCursor }

// CreateRenderer implements fyne.Widget.
func (t *Tap) CreateRenderer() fyne.WidgetRenderer {
	r := &tapRenderer{t: t, back: canvas.NewRectangle(color.Transparent), over: canvas.NewRectangle(color.Transparent), bar: canvas.NewRectangle(color.Transparent)}
	r.paint()
	return r
}

type tapRenderer struct {
	t               *Tap
	back, over, bar *canvas.Rectangle
}

func (r *tapRenderer) Layout(s fyne.Size) {
	r.back.Resize(s)
	r.over.Resize(s)
	switch r.t.BarSide {
	case BarLeft:
		r.bar.Resize(fyne.NewSize(4, s.Height))
	case BarTop:
		r.bar.Resize(fyne.NewSize(s.Width, 4))
	}
	p := r.t.Pad
	r.t.Content.Move(fyne.NewPos(p, p))
	r.t.Content.Resize(fyne.NewSize(s.Width-2*p, s.Height-2*p))
}

func (r *tapRenderer) MinSize() fyne.Size {
	m := r.t.Content.MinSize()
	return fyne.NewSize(m.Width+2*r.t.Pad, m.Height+2*r.t.Pad)
}

func (r *tapRenderer) Refresh() {
	r.paint()
	r.Layout(r.t.Size())
	r.back.Refresh()
	r.over.Refresh()
	r.bar.Refresh()
	r.t.Content.Refresh()
}

func (r *tapRenderer) paint() {
	p := look.Now()
	r.back.FillColor, r.back.StrokeWidth = color.Transparent, 0
	if r.t.Fill != nil {
		r.back.FillColor = r.t.Fill(p)
	}
	if r.t.Edge != nil {
		r.back.StrokeColor, r.back.StrokeWidth = r.t.Edge(p), 1
	}
	r.bar.FillColor = color.Transparent
	if r.t.Selected {
		r.back.FillColor = p.Raised
		if r.t.BarSide != NoBar {
			r.bar.FillColor = p.Ink
		} else {
			r.back.StrokeColor, r.back.StrokeWidth = p.Ink, 2
		}
	}
	r.over.FillColor, r.over.StrokeWidth = color.Transparent, 0
	if r.t.hovered {
		r.over.FillColor = look.Fade(p.Ink, 0.06)
	}
	if r.t.focused {
		r.over.StrokeColor, r.over.StrokeWidth = p.Setup1, 2
	}
	r.back.CornerRadius, r.over.CornerRadius = 3, 3
}

func (r *tapRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.back, r.t.Content, r.over, r.bar}
}
func (r *tapRenderer) Destroy() {}

// PassedBy is something to press for pointer and finger alone: the Tab key goes past it.
// What it does must be reached by a key in another way.
func PassedBy(content fyne.CanvasObject, onTap func()) fyne.CanvasObject {
	p := &passedBy{content: content, onTap: onTap}
	p.ExtendBaseWidget(p)
	return p
}

type passedBy struct {
	widget.BaseWidget
	content fyne.CanvasObject
	onTap   func()
}

// Tapped implements fyne.Tappable.
func (p *passedBy) Tapped(*fyne.PointEvent) { p.onTap() }

// Cursor implements desktop.Cursorable.
func (p *passedBy) Cursor() desktop.Cursor { return desktop.PointerCursor }

// CreateRenderer implements fyne.Widget.
func (p *passedBy) CreateRenderer() fyne.WidgetRenderer { return widget.NewSimpleRenderer(p.content) }
