package chart

import (
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Sweep is a mean error against one thing that was varied.
type Sweep struct {
	Title, XLabel string
	Log           bool // X on a scale of ratios
	X             []float64
	Lines         []SweepLine
}

// SweepLine is one kind of error: its mean and that mean's standard error, px.
type SweepLine struct {
	Name     string
	Mean, SE []float64
}

// leastSweep is the least range of error that is drawn, px: what lies well within
// it is noise of the bench itself.
const leastSweep = 0.05

// most is the largest error to be shown, with its hair.
func (w Sweep) most() float64 {
	most := leastSweep
	for _, l := range w.Lines {
		for i, m := range l.Mean {
			if v := math.Abs(m) + 2*l.SE[i]; v > most && !math.IsInf(v, 0) {
				most = v
			}
		}
	}
	return most
}

// SweepsFigure lays sweeps out two by two, each with its own scale of error.
type SweepsFigure struct {
	Sweeps []Sweep
	YLabel string
	Style  Style
}

// Draw fills c.
func (f *SweepsFigure) Draw(c draw.Canvas) {
	c.SetColor(f.Style.Paper)
	c.Fill(c.Rectangle.Path())
	rows := (len(f.Sweeps) + 1) / 2
	w, h := c.Size().X/2, c.Size().Y/vg.Length(max(rows, 1))
	for i, s := range f.Sweeps {
		x, y := c.Min.X+vg.Length(i%2)*w, c.Max.Y-vg.Length(i/2+1)*h
		box := draw.Canvas{Canvas: c.Canvas, Rectangle: vg.Rectangle{Min: vg.Point{X: x, Y: y}, Max: vg.Point{X: x + w, Y: y + h}}}
		sweepChart(s, f.YLabel, 1.05*s.most(), f.Style).Draw(box)
	}
}

// sweepChart draws one sweep between -most and +most: points with hairs of two
// standard errors of the mean, joined.
func sweepChart(w Sweep, yLabel string, most float64, s Style) *Chart {
	p := newPlot(s, w.Title, w.XLabel, yLabel)
	at := func(x float64) float64 { return x }
	if w.Log {
		at = math.Log10
		p.X.Tick.Marker = ratioTicks{w.X}
	} else {
		p.X.Tick.Marker = ticker{6}
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, x := range w.X {
		lo, hi = math.Min(lo, at(x)), math.Max(hi, at(x))
	}
	pad := math.Max(hi-lo, 1e-6) * 0.06
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = lo-pad, hi+pad, -most, 1.4*most // above, room for the lines' names
	p.Y.Tick.Marker = ticker{5}
	p.Add(grid(s, false, true), layer(func(c draw.Canvas, p *plot.Plot) {
		tx, ty := p.Transforms(&c)
		colours := []color.NRGBA{s.Ink, s.Setup2, s.Setup1}
		for k, l := range w.Lines {
			col := colours[k%len(colours)]
			var path []vg.Point
			for i, x := range w.X {
				if math.IsNaN(l.Mean[i]) {
					continue
				}
				v := vg.Point{X: tx(at(x)), Y: ty(l.Mean[i])}
				path = append(path, v)
				c.StrokeLine2(s.Line(col, 0.8), v.X, ty(math.Max(l.Mean[i]-2*l.SE[i], -most)), v.X, ty(math.Min(l.Mean[i]+2*l.SE[i], most)))
			}
			if len(path) > 1 {
				c.StrokeLines(s.Line(col, 1.2), path)
			}
			for _, v := range path {
				drawMark(&c, mark(k), v, s.Pt(2.6), col, s.Raised, s.Pt(1))
			}
			t := s.Text(Regular, noteSize, col)
			row := c.Max.Y - vg.Length(k+1)*t.Height("Mp")*1.1
			drawMark(&c, mark(k), vg.Point{X: c.Min.X + s.Pt(8), Y: row + t.Height("x")/2}, s.Pt(2.6), col, s.Raised, s.Pt(1))
			c.FillText(t, vg.Point{X: c.Min.X + s.Pt(15), Y: row}, l.Name)
		}
	}))
	return &Chart{Plot: p, Inset: s.Pt(6)}
}

// ratioTicks marks the places that were measured, on a scale of ratios.
type ratioTicks struct{ x []float64 }

func (t ratioTicks) Ticks(float64, float64) []plot.Tick {
	var out []plot.Tick
	for _, x := range t.x {
		out = append(out, plot.Tick{Value: math.Log10(x), Label: fmt.Sprintf("%.3g", x)})
	}
	return out
}
