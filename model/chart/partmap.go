package chart

import (
	"fmt"
	"math"
	"slices"

	"evenrim/model"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// PartOptions are how a part's drawing looks.
type PartOptions struct {
	Style   Style
	Unit    Unit
	Title   string
	Outline []model.Vec // the part's outline, mm, not closed; nil = a box round holes and walls
	Magnify float64     // of mismatches and steps; 0 = a round factor that fits
}

// PartMap draws a part from above: its holes in setup 1's accent, each with its
// mismatch as an arrow in setup 2's (magnified by a factor that stands in the
// picture) and the 95 % region at its tip, dashed where the rigid fit puts it;
// walls with the step as a bar, outwards = setup 2's half stands proud, and a
// dashed line for the step the fit predicts.
func PartMap(f *model.PartFit, o PartOptions) *Chart {
	s, u := o.Style, o.Unit
	p := newPlot(s, o.Title, "X, "+u.String(), "Y, "+u.String())
	d := newPartDrawing(f, o)
	p.X.Min, p.X.Max = u.Of(d.lo.X), u.Of(d.hi.X)
	p.Y.Min, p.Y.Max = u.Of(d.lo.Y), u.Of(d.hi.Y)
	p.X.Tick.Marker, p.Y.Tick.Marker = ticker{5}, ticker{5}
	p.Add(layer(d.ground), layer(d.walls), layer(d.holes), layer(d.note))
	return &Chart{Plot: p, Equal: true, Inset: s.Pt(5)}
}

// partDrawing is a part laid out, mm.
type partDrawing struct {
	PartOptions
	fit     *model.PartFit
	at      []model.Vec // of each hole; stepped out in a row where places are missing
	placed  bool
	outline []model.Vec
	lo, hi  model.Vec      // shown
	labels  []vg.Rectangle // of the walls, where they were written
}

func newPartDrawing(f *model.PartFit, o PartOptions) *partDrawing {
	d := &partDrawing{PartOptions: o, fit: f, placed: true}
	for _, h := range f.Holes {
		d.placed = d.placed && h.HasPlace
	}
	x := 0.0
	for i, h := range f.Holes {
		at := h.At
		if !d.placed {
			// In a row, as far apart as three bores.
			if i > 0 {
				x += 3 * math.Max(h.Job.BoreMM, 1)
			}
			at = model.Vec{X: x}
		}
		d.at = append(d.at, at)
	}
	d.layOut()
	if d.Magnify <= 0 {
		d.Magnify = d.factor()
	}
	return d
}

// layOut finds outline and range.
func (d *partDrawing) layOut() {
	lo, hi := model.Vec{X: math.Inf(1), Y: math.Inf(1)}, model.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	take := func(v model.Vec, r float64) {
		lo = model.Vec{X: math.Min(lo.X, v.X-r), Y: math.Min(lo.Y, v.Y-r)}
		hi = model.Vec{X: math.Max(hi.X, v.X+r), Y: math.Max(hi.Y, v.Y+r)}
	}
	if d.outline = d.Outline; len(d.outline) == 0 {
		for i, h := range d.fit.Holes {
			take(d.at[i], 1.6*h.Job.BoreMM/2)
		}
		for _, w := range d.fit.Walls {
			take(w.At, 0)
		}
		if lo.X > hi.X {
			take(model.Vec{}, 10)
		}
		least := 0.12 * math.Max(hi.X-lo.X, hi.Y-lo.Y)
		grow := func(lo, hi *float64) {
			if *hi-*lo < 4*least {
				mid := (*lo + *hi) / 2
				*lo, *hi = mid-2*least, mid+2*least
			}
		}
		grow(&lo.X, &hi.X)
		grow(&lo.Y, &hi.Y)
		if len(d.fit.Walls) == 0 { // walls stand on the outline, holes inside of it
			pad := 0.06 * math.Max(hi.X-lo.X, hi.Y-lo.Y)
			lo, hi = lo.Sub(model.Vec{X: pad, Y: pad}), hi.Add(model.Vec{X: pad, Y: pad})
		}
		d.outline = []model.Vec{lo, {X: hi.X, Y: lo.Y}, hi, {X: lo.X, Y: hi.Y}}
	}
	for _, v := range d.outline {
		take(v, 0)
	}
	for i := range d.at {
		take(d.at[i], 0)
	}
	pad := 0.12 * math.Max(hi.X-lo.X, hi.Y-lo.Y)
	if len(d.fit.Walls) > 0 { // their labels stand outside, below the note
		pad *= 1.4
	}
	d.lo, d.hi = lo.Sub(model.Vec{X: pad, Y: pad}), hi.Add(model.Vec{X: pad, Y: pad})
}

// factor is the largest of 1, 2, 5 x 10^k that keeps the longest arrow within a
// fifth of what is shown.
func (d *partDrawing) factor() float64 {
	longest := 0.0
	for _, h := range d.fit.Holes {
		longest = math.Max(longest, h.Mismatch.Norm())
	}
	for _, w := range d.fit.Walls {
		longest = math.Max(longest, math.Abs(w.MeanMM))
	}
	room := math.Max(d.hi.X-d.lo.X, d.hi.Y-d.lo.Y) / 5
	if !(longest > 0) {
		return 1
	}
	most := room / longest
	e := math.Pow(10, math.Floor(math.Log10(most)))
	for _, m := range []float64{5, 2} {
		if m*e <= most {
			return m * e
		}
	}
	return e
}

func (d *partDrawing) to(c *draw.Canvas, p *plot.Plot) func(model.Vec) vg.Point {
	x, y := p.Transforms(c)
	return func(v model.Vec) vg.Point { return vg.Point{X: x(d.Unit.Of(v.X)), Y: y(d.Unit.Of(v.Y))} }
}

func (d *partDrawing) ground(c draw.Canvas, p *plot.Plot) {
	to := d.to(&c, p)
	var ring []vg.Point
	for _, v := range d.outline {
		ring = append(ring, to(v))
	}
	c.FillPolygon(alpha(d.Style.Ink, 0.045), c.ClipPolygonXY(ring))
	grid(d.Style, true, true)(c, p)
	c.StrokeLines(d.Style.Line(d.Style.Ink, thin), c.ClipLinesXY(append(ring, ring[0]))...)
	// Part zero, where shift and rotation refer to.
	if d.placed {
		if zero := to(model.Vec{}); c.Contains(zero) {
			drawMark(&c, cross, zero, d.Style.Pt(3.5), d.Style.Soft, d.Style.Raised, d.Style.Pt(thin))
		}
	}
}

func (d *partDrawing) holes(c draw.Canvas, p *plot.Plot) {
	to := d.to(&c, p)
	s := d.Style
	for i, h := range d.fit.Holes {
		at := to(d.at[i])
		edge := to(d.at[i].Add(model.Vec{X: h.Job.BoreMM / 2}))
		r := max(edge.X-at.X, s.Pt(3))
		ringAround(&c, at, r, s.Setup1, s.Pt(thin))
		col := s.Setup2
		if h.LeftOut {
			col = s.Doubt
		}
		tip := to(d.at[i].Add(h.Mismatch.Scale(d.Magnify)))
		fitted := to(d.at[i].Add(h.Predicted.Scale(d.Magnify)))
		ring := ellipsePath(to, d.at[i].Add(h.Mismatch.Scale(d.Magnify)), h.Cov.Scale(d.Magnify*d.Magnify), factor95)
		c.FillPolygon(alpha(col, 0.25), c.ClipPolygonXY(ring))
		s.arrowLine(c, at, fitted, s.Line(s.Soft, thin, 3, 2))
		s.arrowLine(c, at, tip, s.Line(col, strong))
		drawMark(&c, dot, at, s.Pt(1.4), s.Setup1, s.Raised, 0)

		name := h.Hole
		if h.LeftOut {
			name += " (left out)"
		}
		// The name stands on the side away from the arrow.
		dir := h.Mismatch.Scale(-1)
		if dir.Norm() == 0 {
			dir = model.Vec{X: 1, Y: 1}
		}
		dir = dir.Scale(1 / dir.Norm())
		st := s.Text(Bold, noteSize, s.Ink)
		st.XAlign, st.YAlign = text.XCenter, text.YCenter
		w, ht := st.Width(name), st.Height(name)
		c.FillText(st, vg.Point{
			X: at.X + vg.Length(dir.X)*(r+w/2+s.Pt(3)), Y: at.Y + vg.Length(dir.Y)*(r+ht/2+s.Pt(2)),
		}, name)
	}
}

// arrowLine draws a line with an open head of constant size.
func (s Style) arrowLine(c draw.Canvas, from, to vg.Point, l draw.LineStyle) {
	c.StrokeLine2(l, from.X, from.Y, to.X, to.Y)
	v := model.Vec{X: float64(to.X - from.X), Y: float64(to.Y - from.Y)}
	head := math.Min(float64(s.Pt(5.5)), v.Norm())
	if head < 1 {
		return
	}
	l.Dashes = nil
	back := v.Scale(-head / v.Norm())
	var pts []vg.Point
	for _, turn := range []float64{0.42, 0, -0.42} {
		q := vg.Point{}
		if turn != 0 {
			b := back.Rotate(turn)
			q = vg.Point{X: vg.Length(b.X), Y: vg.Length(b.Y)}
		}
		pts = append(pts, vg.Point{X: to.X + q.X, Y: to.Y + q.Y})
	}
	c.StrokeLines(l, pts)
}

func (d *partDrawing) walls(c draw.Canvas, p *plot.Plot) {
	to := d.to(&c, p)
	s := d.Style
	d.labels = nil // of this drawing
	for _, w := range d.fit.Walls {
		n := model.Polar(1, w.NormalRad)
		along := n.Rotate(math.Pi / 2)
		half := 0.035 * math.Max(d.hi.X-d.lo.X, d.hi.Y-d.lo.Y)
		bar := func(step float64) []vg.Point {
			a, b := w.At.Add(along.Scale(half)), w.At.Sub(along.Scale(half))
			out := n.Scale(step * d.Magnify)
			return []vg.Point{to(a), to(b), to(b.Add(out)), to(a.Add(out))}
		}
		c.FillPolygon(alpha(s.Setup2, 0.75), c.ClipPolygonXY(bar(w.MeanMM)))
		fitted := bar(w.PredictedMM)
		c.StrokeLines(s.Line(s.Soft, thin, 3, 2), c.ClipLinesXY(fitted[2:])...)
		base := bar(0)
		c.StrokeLines(s.Line(s.Setup1, strong), c.ClipLinesXY(base[:2])...)

		dec := d.Unit.Decimals(model.Factor95 * w.UMM)
		words := w.Wall + " " + d.Unit.Signed(w.MeanMM, dec)
		st := s.Text(Regular, noteSize, s.Ink)
		st.XAlign, st.YAlign = text.XCenter, text.YCenter
		wd, ht := st.Width(words), st.Height(words)
		// Beyond the bar; on a wall at the side above it, where words have room, and clear
		// of the part's outline.
		at := to(w.At.Add(n.Scale(math.Max(w.MeanMM, 0) * d.Magnify)))
		if math.Abs(n.X) > math.Abs(n.Y) {
			at = to(w.At.Add(model.Vec{Y: half}))
			n = model.Vec{X: math.Copysign(1, n.X), Y: 1}
		}
		at = vg.Point{
			X: min(max(at.X+vg.Length(n.X)*(wd/2+s.Pt(4)), c.Min.X+wd/2), c.Max.X-wd/2),
			Y: min(max(at.Y+vg.Length(n.Y)*(ht/2+s.Pt(4)), c.Min.Y+ht/2), c.Max.Y-ht/2),
		}
		c.FillText(st, at, words)
		corner := vg.Point{X: wd / 2, Y: ht / 2}
		d.labels = append(d.labels, vg.Rectangle{Min: at.Sub(corner), Max: at.Add(corner)})
	}
}

// note says the magnification and what is drawn how.
func (d *partDrawing) note(c draw.Canvas, p *plot.Plot) {
	s := d.Style
	what := "arrows"
	switch {
	case len(d.fit.Holes) == 0:
		what = "steps"
	case len(d.fit.Walls) > 0:
		what = "arrows and steps"
	}
	words := fmt.Sprintf("%s %g times as long, dashed: as the rigid fit has it", what, d.Magnify)
	st := s.Text(Regular, tickSize, s.Soft)
	st.YAlign = text.YTop
	at := vg.Point{X: c.Min.X + s.Pt(3), Y: c.Max.Y - s.Pt(1)}
	under := func(l vg.Rectangle) bool { return l.Max.Y > at.Y-st.Height(words) && l.Min.X < at.X+st.Width(words) }
	if st.Width(words) > c.Size().X || slices.ContainsFunc(d.labels, under) {
		words = fmt.Sprintf("%s × %g", what, d.Magnify)
	}
	c.FillText(st, at, words)
	if !d.placed {
		at.Y -= st.Height(words) + s.Pt(1)
		c.FillText(st, at, "places not given: holes in a row")
	}
}
