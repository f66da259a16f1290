package chart

import (
	"math"

	"evenrim/model/plan"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// SightChart shows which chamfer shows a mismatch of the tolerance: over the
// chamfer's width, the smallest mismatch that the eye catches (band: 95 %), what
// the camera leaves open, and the tolerance. Widths that serve both are marked
// along the tolerance.
func SightChart(o plan.Sight, u Unit, s Style) *Chart {
	p := newPlot(s, "", "chamfer width, "+u.String(), "mismatch, "+u.String())
	last := o.Curve[len(o.Curve)-1].WidthMM
	p.X.Min, p.X.Max = 0, u.Of(last)
	p.Y.Min, p.Y.Max = 0, u.Of(1.9*o.See.ToleranceMM)
	p.X.Tick.Marker, p.Y.Tick.Marker = ticker{6}, ticker{5}
	d := sightDrawing{o, u, s}
	p.Add(grid(s, true, true), layer(d.gone), layer(d.eye), layer(d.camera), layer(d.tolerance))
	return &Chart{Plot: p, Inset: s.Pt(5)}
}

type sightDrawing struct {
	o plan.Sight
	u Unit
	s Style
}

// gone is where a mismatch is larger than the chamfer is wide.
func (d sightDrawing) gone(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	top := math.Min(p.X.Max, p.Y.Max)
	c.FillPolygon(alpha(d.s.Ink, 0.07), c.ClipPolygonXY([]vg.Point{{X: x(0), Y: y(0)}, {X: x(top), Y: y(top)}, {X: x(0), Y: y(top)}}))
}

func (d sightDrawing) line(c draw.Canvas, p *plot.Plot, of func(plan.Chamfer) float64) []vg.Point {
	x, y := p.Transforms(&c)
	var out []vg.Point
	for _, q := range d.o.Curve {
		if v := of(q); !math.IsInf(v, 0) {
			// Far beyond the picture lines would leave the page's numbers.
			out = append(out, vg.Point{X: x(d.u.Of(q.WidthMM)), Y: y(math.Min(d.u.Of(v), 20*p.Y.Max))})
		}
	}
	return out
}

func (d sightDrawing) eye(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	zero := vg.Point{X: x(0), Y: y(0)}
	ring := append([]vg.Point{zero}, d.line(c, p, func(q plan.Chamfer) float64 { return q.EyeHighMM })...)
	low := d.line(c, p, func(q plan.Chamfer) float64 { return q.EyeLowMM })
	for i := len(low) - 1; i >= 0; i-- {
		ring = append(ring, low[i])
	}
	c.FillPolygon(alpha(d.s.Setup2, 0.16), c.ClipPolygonXY(ring))
	mid := append([]vg.Point{zero}, d.line(c, p, func(q plan.Chamfer) float64 { return q.EyeMM })...)
	c.StrokeLines(d.s.Line(d.s.Setup2, strong), c.ClipLinesXY(mid)...)
	d.name(c, mid, "the eye catches", d.s.Ink, 0.97)
}

func (d sightDrawing) camera(c draw.Canvas, p *plot.Plot) {
	l := d.line(c, p, func(q plan.Chamfer) float64 { return q.CameraMM })
	if len(l) == 0 {
		return
	}
	c.StrokeLines(d.s.Line(d.s.Setup1, strong, 6, 3), c.ClipLinesXY(l)...)
	d.name(c, l, "a photo leaves open, 95 %", d.s.Ink, 0.97)
}

// name writes words just above a line, ending where the line leaves the picture.
func (d sightDrawing) name(c draw.Canvas, line []vg.Point, words string, col colour, at float64) {
	var last vg.Point
	for _, q := range line {
		if q.Y <= c.Max.Y-d.s.Pt(12) && q.X <= c.Min.X+vg.Length(at)*c.Size().X {
			last = q
		}
	}
	st := d.s.Text(Regular, noteSize, col)
	st.XAlign, st.YAlign = text.XRight, text.YBottom
	w := st.Width(words)
	last.X = max(last.X-d.s.Pt(4), c.Min.X+w+d.s.Pt(4))
	c.FillText(st, vg.Point{X: last.X, Y: last.Y + d.s.Pt(3)}, words)
}

func (d sightDrawing) tolerance(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	tol := y(d.u.Of(d.o.See.ToleranceMM))
	c.StrokeLine2(d.s.Line(d.s.Ink, thin), c.Min.X, tol, c.Max.X, tol)
	st := d.s.Text(Bold, noteSize, d.s.Ink)
	st.XAlign, st.YAlign = text.XRight, text.YBottom
	c.FillText(st, vg.Point{X: c.Max.X - d.s.Pt(4), Y: tol + d.s.Pt(2)}, "tolerance")
	if !d.o.Fits {
		return
	}
	from, to := x(d.u.Of(d.o.LeastMM)), x(d.u.Of(d.o.MostMM))
	from, to = max(from, c.Min.X), min(to, c.Max.X)
	c.StrokeLine2(d.s.Line(d.s.Good, 5), from, tol, to, tol)
	for _, end := range []vg.Length{from, to} {
		c.StrokeLine2(d.s.Line(d.s.Good, thin, 3, 2), end, tol, end, c.Min.Y)
	}
	st = d.s.Text(Bold, noteSize, d.s.Good)
	st.YAlign = text.YTop
	const words = "cut it this wide"
	if w := st.Width(words); to-from > w+d.s.Pt(6) {
		st.XAlign = text.XCenter
		c.FillText(st, vg.Point{X: (from + to) / 2, Y: tol - d.s.Pt(4)}, words)
	}
}
