package chart

import (
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Run is plain data for a chart over parts in the order they were made: single
// values with their limits, moving ranges, T-squared, EWMA. Values and limits
// are drawn as given; unit and decimals only name the axis.
type Run struct {
	Title, XLabel, YLabel string
	Values                []float64 // NaN = missing
	U95                   []float64 // half width of each value's 95 % interval; nil = not drawn
	Labels                []string  // of the parts; nil = 1, 2, 3
	Centre                []float64 // centre line: nil none, one value, or one a part
	Lower, Upper          []float64 // limits: nil none, one value, or one a part
	Out                   []bool    // called out; nil = none
	Groups                []int     // mark and colour of each value; nil = all 0
	Breaks                []int     // a new phase starts before this part: the line is cut
}

// RunChart draws r. Points called out get a ring, so that they show in grey too.
func RunChart(r Run, s Style) *Chart {
	p := newPlot(s, r.Title, r.XLabel, r.YLabel)
	n := len(r.Values)
	lo, hi := r.span()
	p.X.Min, p.X.Max = 0.5, float64(max(n, 1))+0.5
	p.Y.Min, p.Y.Max = lo, hi
	p.X.Tick.Marker = partTicks{r.Labels, n}
	p.Y.Tick.Marker = ticker{4}
	d := runDrawing{s, r}
	p.Add(grid(s, false, true), layer(d.limits), layer(d.line), layer(d.marks))
	return &Chart{Plot: p, Inset: s.Pt(5)}
}

func (r Run) span() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	take := func(v float64) {
		if finite(v) {
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
	}
	for i, v := range r.Values {
		take(v)
		if i < len(r.U95) {
			take(v - r.U95[i])
			take(v + r.U95[i])
		}
	}
	for _, l := range [][]float64{r.Centre, r.Lower, r.Upper} {
		for _, v := range l {
			take(v)
		}
	}
	if lo > hi {
		return 0, 1
	}
	pad := 0.08 * (hi - lo)
	if pad == 0 {
		pad = math.Max(math.Abs(hi)*0.1, 1e-6)
	}
	return lo - pad, hi + pad
}

// partTicks label the parts, as many as there is room for.
type partTicks struct {
	labels []string
	n      int
}

func (t partTicks) Ticks(lo, hi float64) []plot.Tick {
	step := 1
	for _, s := range []int{1, 2, 5, 10, 20, 50, 100, 200, 500, 1000} {
		if step = s; t.n <= 12*s {
			break
		}
	}
	if t.n > 12*step {
		step = t.n / 10
	}
	var out []plot.Tick
	for i := 1; i <= t.n; i++ {
		// Number 1 and whole steps, as one counts: 1, 5, 10, 15.
		if i%step != 0 && i != 1 || i == 1 && step > 1 && t.n > 5*step {
			if t.n <= 60 {
				out = append(out, plot.Tick{Value: float64(i)})
			}
			continue
		}
		label := number(float64(i), 0)
		if i <= len(t.labels) {
			label = t.labels[i-1]
		}
		out = append(out, plot.Tick{Value: float64(i), Label: label})
	}
	return out
}

type runDrawing struct {
	s Style
	r Run
}

// limits draws centre and limits, the latter named at the end that the parts leave freer.
func (d runDrawing) limits(c draw.Canvas, p *plot.Plot) {
	d.level(c, p, d.r.Centre, d.s.Line(d.s.Ink, hair), "")
	dashed := d.s.Line(d.s.Ink, thin, 5, 3)
	d.level(c, p, d.r.Upper, dashed, "upper limit")
	d.level(c, p, d.r.Lower, dashed, "lower limit")
}

func (d runDrawing) level(c draw.Canvas, p *plot.Plot, v []float64, l draw.LineStyle, name string) {
	if len(v) == 0 {
		return
	}
	x, y := p.Transforms(&c)
	var line []vg.Point
	if len(v) == 1 {
		line = []vg.Point{{X: c.Min.X, Y: y(v[0])}, {X: c.Max.X, Y: y(v[0])}}
	} else {
		// Steps: a limit belongs to its part.
		for i, q := range v {
			if !finite(q) {
				continue
			}
			line = append(line, vg.Point{X: x(float64(i) + 0.5), Y: y(q)}, vg.Point{X: x(float64(i) + 1.5), Y: y(q)})
		}
	}
	c.StrokeLines(l, c.ClipLinesXY(line)...)
	if name == "" {
		return
	}
	st := d.s.Text(Regular, tickSize, d.s.Soft)
	w, h, off := st.Width(name), st.Height(name), d.s.Pt(1)
	var best vg.Rectangle
	free := vg.Length(-1)
	for _, end := range []struct {
		level float64
		left  vg.Length
	}{{v[len(v)-1], c.Max.X - d.s.Pt(2) - w}, {v[0], c.Min.X + d.s.Pt(4)}} {
		if !finite(end.level) {
			continue
		}
		for _, low := range []vg.Length{y(end.level) + off, y(end.level) - off - h} {
			r := vg.Rectangle{Min: vg.Point{X: end.left, Y: low}, Max: vg.Point{X: end.left + w, Y: low + h}}
			if r.Max.Y > c.Max.Y || r.Min.Y < c.Min.Y || crossed(line, r) {
				continue
			}
			if room := min(d.room(r, x, y), d.s.Pt(6)); room > free {
				best, free = r, room
			}
		}
	}
	if free >= 0 {
		st.YAlign = text.YBottom
		c.FillText(st, best.Min, name)
	}
}

// crossed says that a line of level and upright pieces runs through r.
func crossed(line []vg.Point, r vg.Rectangle) bool {
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		if min(a.X, b.X) < r.Max.X && max(a.X, b.X) > r.Min.X && min(a.Y, b.Y) < r.Max.Y && max(a.Y, b.Y) > r.Min.Y {
			return true
		}
	}
	return false
}

// room is how far the nearest part's mark, bar or line is from r.
func (d runDrawing) room(r vg.Rectangle, x, y func(float64) vg.Length) vg.Length {
	nearest := vg.Length(math.Inf(1))
	gap := func(lo, hi, a, b vg.Length) vg.Length { return max(0, lo-b, a-hi) } // between [lo, hi] and [a, b]
	for i, v := range d.r.Values {
		if !finite(v) {
			continue
		}
		at, u := x(float64(i+1)), 0.0
		if i < len(d.r.U95) && finite(d.r.U95[i]) {
			u = d.r.U95[i]
		}
		mark := d.s.Pt(3)
		if i < len(d.r.Out) && d.r.Out[i] {
			mark = d.s.Pt(7) // its ring
		}
		lo, hi := min(y(v-u), y(v)-mark), max(y(v+u), y(v)+mark)
		nearest = min(nearest, vg.Length(math.Hypot(float64(gap(r.Min.X, r.Max.X, at-mark, at+mark)), float64(gap(r.Min.Y, r.Max.Y, lo, hi)))))
	}
	return nearest
}

func (d runDrawing) line(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	cut := map[int]bool{}
	for _, b := range d.r.Breaks {
		cut[b] = true
		c.StrokeLine2(d.s.Line(d.s.Soft, hair, 1.5, 2), x(float64(b)+0.5), c.Min.Y, x(float64(b)+0.5), c.Max.Y)
	}
	var line []vg.Point
	flush := func() {
		c.StrokeLines(d.s.Line(alpha(d.s.Ink, 0.45), thin), c.ClipLinesXY(line)...)
		line = nil
	}
	for i, v := range d.r.Values {
		if cut[i] || !finite(v) {
			flush()
		}
		if finite(v) {
			line = append(line, vg.Point{X: x(float64(i + 1)), Y: y(v)})
		}
	}
	flush()
}

func (d runDrawing) marks(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	n := len(d.r.Values)
	r := d.s.Pt(3)
	if n > 60 {
		r = d.s.Pt(1.8)
	}
	for i, v := range d.r.Values {
		if !finite(v) {
			continue
		}
		at := vg.Point{X: x(float64(i + 1)), Y: y(v)}
		look := d.s.group(0)
		if i < len(d.r.Groups) {
			look = d.s.group(d.r.Groups[i])
		}
		if i < len(d.r.U95) && d.r.U95[i] > 0 {
			c.StrokeLine2(d.s.Line(alpha(look.color, 0.55), thin), at.X, y(v-d.r.U95[i]), at.X, y(v+d.r.U95[i]))
		}
		drawMark(&c, look.mark, at, r, look.color, d.s.Raised, d.s.Pt(1.1))
		if i < len(d.r.Out) && d.r.Out[i] {
			ringAround(&c, at, r*2.1, d.s.Bad, d.s.Pt(1.3))
		}
	}
}
