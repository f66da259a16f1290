package drawing

import (
	"image/color"
	"math"

	"evenrim/model"
	"evenrim/model/chart"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// A drawing's own box, units; x to the right, y up. Letters are 11 units high.
const (
	boxW, boxH = 360.0, 220.0
	letter     = 11.0
	fine       = 0.8
	normal     = 1.4
	heavy      = 2.2
)

type pt = model.Vec

// sketch draws in units of the box, which is fitted into a canvas.
type sketch struct {
	c      draw.Canvas
	s      chart.Style
	k      float64 // points per unit
	ox, oy vg.Length
}

func newSketch(c draw.Canvas, s chart.Style) *sketch {
	c.SetColor(s.Raised)
	c.Fill(c.Rectangle.Path())
	size := c.Size()
	k := math.Min(float64(size.X)/boxW, float64(size.Y)/boxH)
	// Letters and lines grow with the drawing, not with the text scale: a larger
	// drawing is asked for instead.
	s.TextScale = k
	return &sketch{c: c, s: s, k: k,
		ox: c.Center().X - vg.Length(k*boxW/2), oy: c.Center().Y - vg.Length(k*boxH/2)}
}

func (d *sketch) at(p pt) vg.Point {
	return vg.Point{X: d.ox + vg.Length(d.k*p.X), Y: d.oy + vg.Length(d.k*p.Y)}
}

func (d *sketch) all(ps []pt) []vg.Point {
	out := make([]vg.Point, len(ps))
	for i, p := range ps {
		out[i] = d.at(p)
	}
	return out
}

func (d *sketch) line(col color.Color, width float64, ps ...pt) {
	d.c.StrokeLines(d.s.Line(col, width), d.all(ps))
}

func (d *sketch) dashed(col color.Color, width float64, ps ...pt) {
	d.c.StrokeLines(d.s.Line(col, width, 5, 3), d.all(ps))
}

func (d *sketch) dotted(col color.Color, width float64, ps ...pt) {
	d.c.StrokeLines(d.s.Line(col, width, 1.5, 2.5), d.all(ps))
}

func (d *sketch) fill(col color.Color, ps ...pt) { d.c.FillPolygon(col, d.all(ps)) }

// wash is a light tint of a colour.
func wash(c color.NRGBA, a float64) color.NRGBA {
	c.A = uint8(a*255 + 0.5)
	return c
}

// metal is the tint of solid material.
func (d *sketch) metal() color.NRGBA { return wash(d.s.Ink, 0.13) }

// ring is a circle's outline as points, closed, from angle a over sweep degrees.
func ring(c pt, r, fromDeg, sweepDeg float64) []pt {
	n := int(math.Max(math.Abs(sweepDeg)/3, 2))
	out := make([]pt, n+1)
	for i := range out {
		a := (fromDeg + sweepDeg*float64(i)/float64(n)) * math.Pi / 180
		out[i] = c.Add(model.Polar(r, a))
	}
	return out
}

func circle(c pt, r float64) []pt { return ring(c, r, 0, 360) }

// hatch fills a box with slanted lines, as a section is drawn.
func (d *sketch) hatch(lo, hi pt, col color.NRGBA, gap, slope float64) {
	w, h := hi.X-lo.X, hi.Y-lo.Y
	for x := -h; x < w; x += gap {
		a, b := pt{X: lo.X + x, Y: lo.Y}, pt{X: lo.X + x + h, Y: hi.Y}
		if slope < 0 {
			a.Y, b.Y = hi.Y, lo.Y
		}
		// Clip to the box along the line.
		if a.X < lo.X {
			t := (lo.X - a.X) / (b.X - a.X)
			a = a.Add(b.Sub(a).Scale(t))
		}
		if b.X > hi.X {
			t := (hi.X - a.X) / (b.X - a.X)
			b = a.Add(b.Sub(a).Scale(t))
		}
		d.line(col, 0.5, a, b)
	}
}

// arrow draws a line with a head at its end.
func (d *sketch) arrow(col color.Color, width float64, from, to pt) {
	d.line(col, width, from, to)
	d.head(col, width, to, to.Sub(from))
}

// headLength is how far the head of a line of that width reaches back from its tip.
func headLength(width float64) float64 { return 5 + 1.5*width }

// head is an open arrow head at tip that points along dir.
func (d *sketch) head(col color.Color, width float64, tip, dir pt) {
	if dir.Norm() == 0 {
		return
	}
	b := dir.Scale(-headLength(width) / dir.Norm())
	d.line(col, width, tip.Add(b.Rotate(0.42)), tip, tip.Add(b.Rotate(-0.42)))
}

// both is a dimension: a line with a head at either end, or where two heads have no room
// between the ends, an arrow to each from outside.
func (d *sketch) both(col color.Color, a, b pt) {
	if l := b.Sub(a).Norm(); l > 0 && l < 2*headLength(fine) {
		u := b.Sub(a).Scale(2 * headLength(fine) / l)
		d.arrow(col, fine, a.Sub(u), a)
		d.arrow(col, fine, b.Add(u), b)
		return
	}
	d.line(col, fine, a, b)
	d.head(col, fine, a, a.Sub(b))
	d.head(col, fine, b, b.Sub(a))
}

// turn is an arc with a head, as part of a circle or flattened to an ellipse.
func (d *sketch) turn(col color.Color, width float64, c pt, rx, ry, fromDeg, sweepDeg float64) {
	unit := ring(pt{}, 1, fromDeg, sweepDeg)
	ps := make([]pt, len(unit))
	for i, u := range unit {
		ps[i] = pt{X: c.X + rx*u.X, Y: c.Y + ry*u.Y}
	}
	d.line(col, width, ps...)
	n := len(ps)
	d.head(col, width, ps[n-1], ps[n-1].Sub(ps[n-3]))
}

// Where words stand relative to their point.
const (
	left   = -1
	middle = 0
	right  = 1
)

// say writes words with their middle height at p: left = the text ends there,
// right = it begins there.
func (d *sketch) say(words string, col color.Color, p pt, side int) {
	d.words(words, col, p, side, letter, chart.Regular)
}

func (d *sketch) bold(words string, col color.Color, p pt, side int) {
	d.words(words, col, p, side, letter, chart.Bold)
}

func (d *sketch) words(words string, col color.Color, p pt, side int, size float64, l chart.Letter) {
	st := d.s.Text(l, size, col)
	st.YAlign = text.YCenter
	st.XAlign = map[int]text.XAlignment{left: text.XRight, middle: text.XCenter, right: text.XLeft}[side]
	d.c.FillText(st, d.at(p), words)
}

// boldBox is the room that bold words take.
func (d *sketch) boldBox(words string, p pt, side int) (lo, hi pt) {
	w := float64(d.s.Text(chart.Bold, letter, d.s.Ink).Width(words)) / d.k
	x := p.X - w*float64(1-side)/2 // left: they end there
	return pt{X: x, Y: p.Y - letter/2}, pt{X: x + w, Y: p.Y + letter/2}
}

// cross marks an axis seen end on.
func (d *sketch) cross(col color.Color, p pt, r float64) {
	d.line(col, fine, p.Add(pt{X: -r}), p.Add(pt{X: r}))
	d.line(col, fine, p.Add(pt{Y: -r}), p.Add(pt{Y: r}))
}

// camera is a camera seen from the side that looks along dir.
func (d *sketch) camera(p, dir pt) {
	u := dir.Scale(1 / dir.Norm())
	n := pt{X: -u.Y, Y: u.X}
	q := func(along, across float64) pt { return p.Add(u.Scale(along)).Add(n.Scale(across)) }
	body := []pt{q(-20, -13), q(-4, -13), q(-4, 13), q(-20, 13), q(-20, -13)}
	lens := []pt{q(-4, -6), q(4, -8), q(4, 8), q(-4, 6)}
	d.fill(d.s.Sunk, body...)
	d.line(d.s.Ink, normal, body...)
	d.fill(d.s.Sunk, lens...)
	d.line(d.s.Ink, normal, lens...)
}
