package chart

import (
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Text sizes and line widths, points at TextScale 1.
const (
	titleSize = 10.5
	labelSize = 9.0
	tickSize  = 8.5
	noteSize  = 8.5
	hair      = 0.5
	thin      = 0.9
	strong    = 1.6
)

// Pt is a length that grows with the text.
func (s Style) Pt(points float64) vg.Length { return vg.Points(points * s.scale()) }

// Text is a style of letters in this palette.
func (s Style) Text(l Letter, size float64, c color.Color) text.Style {
	return text.Style{
		Color: c, Font: l.font(s.Pt(size)), Handler: letters,
		XAlign: text.XLeft, YAlign: text.YBottom,
	}
}

// Line is a style of lines, width and dashes in points at TextScale 1.
func (s Style) Line(c color.Color, width float64, dash ...float64) draw.LineStyle {
	l := draw.LineStyle{Color: c, Width: s.Pt(width)}
	for _, d := range dash {
		l.Dashes = append(l.Dashes, s.Pt(d))
	}
	return l
}

// newPlot is an empty plot in the style's paper and ink. Grid lines belong to
// the ticks and are drawn by grid.
func newPlot(s Style, title, xLabel, yLabel string) *plot.Plot {
	p := plot.New()
	p.TextHandler = letters
	p.BackgroundColor = s.Raised
	p.Title.Text = title
	p.Title.TextStyle = s.Text(Bold, titleSize, s.Ink)
	p.Title.TextStyle.XAlign, p.Title.TextStyle.YAlign = text.XCenter, text.YTop
	p.Title.Padding = s.Pt(5)
	p.Legend.TextStyle = s.Text(Regular, noteSize, s.Ink)
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Color, a.Width = s.Soft, s.Pt(hair)
		a.Padding = 0
		a.Label.TextStyle = s.Text(Regular, labelSize, s.Soft)
		a.Label.TextStyle.XAlign, a.Label.TextStyle.YAlign = text.XCenter, text.YBottom
		a.Label.Padding = s.Pt(2)
		a.Tick.Label = s.Text(Regular, tickSize, s.Soft)
		a.Tick.LineStyle = s.Line(s.Soft, hair)
		a.Tick.Length = s.Pt(3)
	}
	p.X.Tick.Label.XAlign, p.X.Tick.Label.YAlign = text.XCenter, text.YTop
	p.Y.Tick.Label.XAlign, p.Y.Tick.Label.YAlign = text.XRight, text.YCenter
	p.X.Label.Text, p.Y.Label.Text = xLabel, yLabel
	return p
}

// ticker marks an axis at 1-2-5 steps, at most about n of them, all with the
// same decimals.
type ticker struct{ n int }

func (t ticker) Ticks(lo, hi float64) []plot.Tick {
	step, decimals := niceStep((hi - lo) / float64(max(t.n, 1)))
	var out []plot.Tick
	eps := (hi - lo) * 1e-9
	for k := math.Ceil((lo - eps) / step); k*step <= hi+eps; k++ {
		out = append(out, plot.Tick{Value: k * step, Label: number(k*step, decimals)})
	}
	return out
}

// niceStep is the smallest of 1, 2, 5 x 10^k that isn't below least, and how
// many decimals it needs.
func niceStep(least float64) (step float64, decimals int) {
	if !(least > 0) || math.IsInf(least, 0) {
		return 1, 0
	}
	e := math.Floor(math.Log10(least))
	for _, m := range []float64{1, 2, 5, 10} {
		step = m * math.Pow(10, e)
		if step >= least*(1-1e-9) {
			if m == 10 {
				e++
			}
			break
		}
	}
	return step, max(0, int(-e))
}

// layer makes a function a plotter.
type layer func(c draw.Canvas, p *plot.Plot)

func (f layer) Plot(c draw.Canvas, p *plot.Plot) { f(c, p) }

// grid draws a line at each labelled tick.
func grid(s Style, vertical, horizontal bool) layer {
	return func(c draw.Canvas, p *plot.Plot) {
		x, y := p.Transforms(&c)
		l := s.Line(s.Rule, hair)
		if vertical {
			for _, t := range p.X.Tick.Marker.Ticks(p.X.Min, p.X.Max) {
				if !t.IsMinor() {
					c.StrokeLine2(l, x(t.Value), c.Min.Y, x(t.Value), c.Max.Y)
				}
			}
		}
		if horizontal {
			for _, t := range p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max) {
				if !t.IsMinor() {
					c.StrokeLine2(l, c.Min.X, y(t.Value), c.Max.X, y(t.Value))
				}
			}
		}
	}
}

// mark is a shape that tells groups apart without colour.
type mark int

const (
	dot mark = iota
	triangle
	square
	diamond
	cross
	nMarks
)

// drawMark draws m about at with half size r; open marks keep the ground inside.
func drawMark(c *draw.Canvas, m mark, at vg.Point, r vg.Length, col, ground color.Color, width vg.Length) {
	var p vg.Path
	poly := func(n int, turn, k float64) {
		for i := range n {
			a := turn + 2*math.Pi*float64(i)/float64(n)
			q := vg.Point{X: at.X + r*vg.Length(k*math.Cos(a)), Y: at.Y + r*vg.Length(k*math.Sin(a))}
			if i == 0 {
				p.Move(q)
			} else {
				p.Line(q)
			}
		}
		p.Close()
	}
	switch m {
	case dot:
		p.Move(vg.Point{X: at.X + r, Y: at.Y})
		p.Arc(at, r, 0, 2*math.Pi)
		p.Close()
		c.SetColor(col)
		c.Fill(p)
		return
	case triangle:
		poly(3, math.Pi/2, 1.3)
	case square:
		poly(4, math.Pi/4, 1.25)
	case diamond:
		poly(4, 0, 1.35)
	default:
		c.SetLineStyle(draw.LineStyle{Color: col, Width: width})
		for _, d := range []vg.Length{r, -r} {
			p.Move(vg.Point{X: at.X - r, Y: at.Y - d})
			p.Line(vg.Point{X: at.X + r, Y: at.Y + d})
		}
		c.Stroke(p)
		return
	}
	c.SetColor(ground)
	c.Fill(p)
	c.SetLineStyle(draw.LineStyle{Color: col, Width: width})
	c.Stroke(p)
}
