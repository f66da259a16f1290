package apprentice

import (
	"image/color"
	"math"
	"strconv"

	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// clockFace is where a person points to the wide side: tap or drag towards an
// hour. Focused, the arrow keys move the hand by half an hour.
type clockFace struct {
	widget.BaseWidget
	onPoint func(screenRad float64)

	set     bool    // the hand is shown
	rad     float64 // where it points, rad on the screen
	truth   *float64
	locked  bool
	focused bool
}

var (
	_ fyne.Tappable      = (*clockFace)(nil)
	_ fyne.Draggable     = (*clockFace)(nil)
	_ fyne.Focusable     = (*clockFace)(nil)
	_ desktop.Cursorable = (*clockFace)(nil)
)

func newClockFace(onPoint func(float64)) *clockFace {
	c := &clockFace{onPoint: onPoint}
	c.ExtendBaseWidget(c)
	return c
}

// show puts the hand; truth, if not nil, is a second hand of another make.
func (c *clockFace) show(set bool, rad float64, truth *float64, locked bool) {
	c.set, c.rad, c.truth, c.locked = set, rad, truth, locked
	c.Refresh()
}

const halfHour = math.Pi / 12

// point moves the hand to the half hour next to a place on the face.
func (c *clockFace) point(p fyne.Position) {
	s := c.Size()
	dx, dy := float64(p.X-s.Width/2), float64(s.Height/2-p.Y)
	if c.locked || math.Hypot(dx, dy) < 6 {
		return
	}
	c.onPoint(math.Round(math.Atan2(dy, dx)/halfHour) * halfHour)
}

// Tapped implements fyne.Tappable.
func (c *clockFace) Tapped(e *fyne.PointEvent) { c.point(e.Position) }

// Dragged implements fyne.Draggable.
func (c *clockFace) Dragged(e *fyne.DragEvent) { c.point(e.Position) }

// DragEnd implements fyne.Draggable.
func (c *clockFace) DragEnd() {}

// FocusGained implements fyne.Focusable.
func (c *clockFace) FocusGained() { c.focused = true; c.Refresh() }

// FocusLost implements fyne.Focusable.
func (c *clockFace) FocusLost() { c.focused = false; c.Refresh() }

// TypedRune implements fyne.Focusable.
func (c *clockFace) TypedRune(r rune) { kit.HandOnLetter(c, r) }

// TypedKey implements fyne.Focusable.
func (c *clockFace) TypedKey(e *fyne.KeyEvent) {
	at := c.rad
	if !c.set {
		at = math.Pi / 2
	}
	switch {
	case c.locked:
		kit.HandOn(c, e)
	case e.Name == fyne.KeyRight || e.Name == fyne.KeyDown:
		c.onPoint(at - halfHour)
	case e.Name == fyne.KeyLeft || e.Name == fyne.KeyUp:
		c.onPoint(at + halfHour)
	default:
		kit.HandOn(c, e)
	}
}

// Cursor implements desktop.Cursorable.
func (c *clockFace) Cursor() desktop.Cursor { return desktop.PointerCursor }

// CreateRenderer implements fyne.Widget.
func (c *clockFace) CreateRenderer() fyne.WidgetRenderer {
	r := &clockRenderer{c: c, face: canvas.NewCircle(nil), bore: canvas.NewCircle(nil), hand: newHand(), truth: newHand()}
	for i := range 12 {
		r.ticks = append(r.ticks, canvas.NewLine(nil))
		h := i
		if h == 0 {
			h = 12
		}
		r.hours = append(r.hours, canvas.NewText(strconv.Itoa(h), nil))
	}
	r.paint()
	return r
}

type hand struct{ shaft, left, right *canvas.Line }

func newHand() hand { return hand{canvas.NewLine(nil), canvas.NewLine(nil), canvas.NewLine(nil)} }

func (h hand) lines() []*canvas.Line { return []*canvas.Line{h.shaft, h.left, h.right} }

func (h hand) draw(centre fyne.Position, length float32, rad float64, width float32, col color.Color, on bool) {
	at := func(r float32, a float64) fyne.Position {
		return fyne.NewPos(centre.X+r*float32(math.Cos(a)), centre.Y-r*float32(math.Sin(a)))
	}
	tip := at(length, rad)
	ends := [][2]fyne.Position{{centre, tip}, {tip, at(length*0.8, rad+0.13)}, {tip, at(length*0.8, rad-0.13)}}
	for i, l := range h.lines() {
		l.Position1, l.Position2 = ends[i][0], ends[i][1]
		l.StrokeWidth, l.StrokeColor, l.Hidden = width, col, !on
	}
}

type clockRenderer struct {
	c           *clockFace
	face, bore  *canvas.Circle
	ticks       []*canvas.Line
	hours       []*canvas.Text
	hand, truth hand
}

func (r *clockRenderer) MinSize() fyne.Size {
	d := 168 * min(look.Zoom(), 1.35)
	return fyne.NewSize(d, d)
}

func (r *clockRenderer) Layout(fyne.Size) { r.paint() }

func (r *clockRenderer) paint() {
	p, s := look.Now(), r.c.Size()
	half := min(s.Width, s.Height) / 2
	centre := fyne.NewPos(s.Width/2, s.Height/2)
	ring := func(c *canvas.Circle, radius float32) {
		c.Move(fyne.NewPos(centre.X-radius, centre.Y-radius))
		c.Resize(fyne.NewSize(2*radius, 2*radius))
	}
	radius := max(half-3, 1)
	ring(r.face, radius)
	r.face.FillColor, r.face.StrokeColor, r.face.StrokeWidth = p.Raised, p.Setup2, 2
	if r.c.focused {
		r.face.StrokeWidth = 4
	}
	ring(r.bore, radius*0.34)
	r.bore.FillColor, r.bore.StrokeColor, r.bore.StrokeWidth = p.Sunk, p.Setup1, 2
	text := min(0.92*look.Text(), radius*0.24)
	for i := range 12 {
		a := math.Pi/2 - float64(i)*math.Pi/6
		at := func(k float32) fyne.Position {
			return fyne.NewPos(centre.X+k*radius*float32(math.Cos(a)), centre.Y-k*radius*float32(math.Sin(a)))
		}
		t := r.ticks[i]
		t.Position1, t.Position2, t.StrokeColor, t.StrokeWidth = at(0.92), at(1), p.Soft, 1.5
		h := r.hours[i]
		h.Color, h.TextSize = p.Ink, text
		m := h.MinSize()
		h.Resize(m)
		c := at(0.78)
		h.Move(fyne.NewPos(c.X-m.Width/2, c.Y-m.Height/2))
	}
	truth := 0.0
	if r.c.truth != nil {
		truth = *r.c.truth
	}
	r.truth.draw(centre, radius*0.64, truth, 5, p.Setup2, r.c.truth != nil)
	r.hand.draw(centre, radius*0.64, r.c.rad, 3, p.Ink, r.c.set)
}

func (r *clockRenderer) Refresh() {
	r.paint()
	canvas.Refresh(r.c)
}

func (r *clockRenderer) Objects() []fyne.CanvasObject {
	o := []fyne.CanvasObject{r.face, r.bore}
	for i := range 12 {
		o = append(o, r.ticks[i], r.hours[i])
	}
	for _, h := range []hand{r.truth, r.hand} {
		for _, l := range h.lines() {
			o = append(o, l)
		}
	}
	return o
}
func (r *clockRenderer) Destroy() {}
