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

// CurveOptions are how a width curve looks.
type CurveOptions struct {
	Style Style
	Unit  Unit
	Title string
	Bare  bool // no words in the picture
}

// WidthCurve draws the chamfer's width round the hole as the photo shows it,
// clockwise from 12 o'clock: measured widths (dots, with one hair of two
// standard deviations), those not used (crosses), the fitted wave with its 95 %
// band, widest and narrowest in words.
func WidthCurve(r *model.Reading, o CurveOptions) *Chart {
	s, u := o.Style, o.Unit
	p := newPlot(s, o.Title, "o'clock in the photo", "width, "+u.String())
	d := newCurveData(r)
	lo, hi := d.span()
	p.X.Min, p.X.Max = 0, 12
	p.Y.Min, p.Y.Max = u.Of(lo), u.Of(hi)
	p.X.Tick.Marker = clockTicks{}
	p.Y.Tick.Marker = ticker{5}
	v := curveDrawing{s: s, u: u, d: d, r: r}
	p.Add(grid(s, true, true), layer(v.band), layer(v.points), layer(v.wave))
	f := &Chart{Plot: p, Inset: s.Pt(5)}
	if !o.Bare {
		p.Add(layer(v.words))
		// The words stand between title and data, clear of the wave.
		if o.Title == "" {
			f.Head = s.Pt(curveHead)
		} else {
			p.Title.Padding += s.Pt(curveHead)
		}
	}
	return f
}

// curveHead is the room for the words above a width curve, points.
const curveHead = 18.0

// clockTicks mark the hours: labels each three, as on a watch.
type clockTicks struct{}

func (clockTicks) Ticks(lo, hi float64) []plot.Tick {
	var t []plot.Tick
	for h := 0; h <= 12; h++ {
		mark := plot.Tick{Value: float64(h)}
		if h%3 == 0 {
			mark.Label = fmt.Sprint(h)
			if h == 0 {
				mark.Label = "12"
			}
		}
		t = append(t, mark)
	}
	return t
}

// curveData is a reading's curve over the clock, mm.
type curveData struct {
	points []curveAt
	wave   []curveAt // fit and its standard uncertainty, every 2.5 degrees
	mean   float64
}

type curveAt struct {
	hour, width, sigma float64
	used               bool
}

func newCurveData(r *model.Reading) curveData {
	plusX := r.PlusXInPhoto()
	d := curveData{mean: r.WidthMM}
	for _, c := range r.Curve {
		if finite(c.WidthMM) {
			d.points = append(d.points, curveAt{hourOf(r, c.AngleRad), c.WidthMM, c.SigmaMM, c.Used})
		}
	}
	solid := r.Solid()
	const n = 144
	for i := range n + 1 {
		h := 12 * float64(i) / n
		a := math.Pi/2 - plusX - 2*math.Pi*h/12
		dir := model.Polar(1, a)
		// Width along a direction = width + mismatch along it, to first order.
		v := r.Cov.XX*dir.X*dir.X + 2*r.Cov.XY*dir.X*dir.Y + r.Cov.YY*dir.Y*dir.Y + r.WidthUMM*r.WidthUMM
		d.wave = append(d.wave, curveAt{h, solid.WidthAt(a), math.Sqrt(math.Max(v, 0)), true})
	}
	return d
}

// hourOf is a direction in part axes on the photo's clock, [0, 12).
func hourOf(r *model.Reading, angleRad float64) float64 {
	h := math.Mod((math.Pi/2-r.PlusXInPhoto()-angleRad)/(2*math.Pi)*12, 12)
	if h < 0 {
		h += 12
	}
	return h
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// span is the range of widths shown, mm: all of the wave, the used points but for
// the few that stray furthest, unused points as far as a third beyond. What lies
// outside is marked on the border.
func (d curveData) span() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	take := func(v float64) { lo, hi = math.Min(lo, v), math.Max(hi, v) }
	for _, w := range d.wave {
		take(w.width - 2*w.sigma)
		take(w.width + 2*w.sigma)
	}
	var used []float64
	for _, p := range d.points {
		if p.used {
			used = append(used, p.width)
		}
	}
	slices.Sort(used)
	if n := len(used); n > 0 {
		stray := n / 50 // 2 % at either end
		take(used[stray])
		take(used[n-1-stray])
	}
	room := hi - lo
	ulo, uhi := lo, hi
	for _, p := range d.points {
		ulo, uhi = math.Min(ulo, math.Max(p.width, lo-0.3*room)), math.Max(uhi, math.Min(p.width, hi+0.3*room))
	}
	// Never so close that noise looks like a wave: at least a twentieth of the
	// width or ten microns are shown.
	least := math.Max(0.05*math.Abs(d.mean), 0.01)
	if pad := least - (uhi - ulo); pad > 0 {
		ulo, uhi = ulo-pad/2, uhi+pad/2
	}
	room = uhi - ulo
	return ulo - 0.10*room, uhi + 0.10*room
}

type curveDrawing struct {
	s Style
	u Unit
	d curveData
	r *model.Reading
}

// band is the wave's 95 % band, and the zero line where it is in sight.
func (v curveDrawing) band(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	if p.Y.Min < 0 && p.Y.Max > 0 {
		below := []vg.Point{{X: c.Min.X, Y: c.Min.Y}, {X: c.Max.X, Y: c.Min.Y}, {X: c.Max.X, Y: y(0)}, {X: c.Min.X, Y: y(0)}}
		c.FillPolygon(alpha(v.s.Ink, 0.06), below)
		c.StrokeLine2(v.s.Line(v.s.Setup1, thin), c.Min.X, y(0), c.Max.X, y(0))
		st := v.s.Text(Regular, noteSize, v.s.Setup1)
		st.YAlign = text.YTop
		const words = "no chamfer below this line"
		if y(0)-c.Min.Y > st.Height(words)+v.s.Pt(3) {
			// Under the widest place, far from the wave.
			w := st.Width(words)
			at := x(hourOf(v.r, v.r.Widest().AngleRad)) - w/2
			at = min(max(at, c.Min.X+v.s.Pt(3)), c.Max.X-w-v.s.Pt(3))
			c.FillText(st, vg.Point{X: at, Y: y(0) - v.s.Pt(2)}, words)
		}
	}
	var ring []vg.Point
	for _, w := range v.d.wave {
		ring = append(ring, vg.Point{X: x(w.hour), Y: y(v.u.Of(w.width + model.Factor95*w.sigma))})
	}
	for i := len(v.d.wave) - 1; i >= 0; i-- {
		w := v.d.wave[i]
		ring = append(ring, vg.Point{X: x(w.hour), Y: y(v.u.Of(w.width - model.Factor95*w.sigma))})
	}
	c.FillPolygon(alpha(v.s.Setup2, 0.18), c.ClipPolygonXY(ring))
}

func (v curveDrawing) points(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	n := len(v.d.points)
	r := v.s.Pt(1.5)
	if n > 200 {
		r = v.s.Pt(1.0)
	}
	var dots vg.Path
	for _, q := range v.d.points {
		at := vg.Point{X: x(q.hour), Y: y(v.u.Of(q.width))}
		inside := at.Y >= c.Min.Y && at.Y <= c.Max.Y
		if !q.used {
			// Beyond the picture it is marked on the border.
			at.Y = min(max(at.Y, c.Min.Y+2*r), c.Max.Y-2*r)
			drawMark(&c, cross, at, r*1.5, v.s.Doubt, v.s.Raised, v.s.Pt(0.9))
			continue
		}
		if !inside { // a small caret points to where it lies
			up := vg.Length(1)
			if at.Y < c.Min.Y {
				up = -1
			}
			tip := vg.Point{X: at.X, Y: min(max(at.Y, c.Min.Y), c.Max.Y)}
			c.StrokeLines(v.s.Line(alpha(v.s.Ink, 0.6), hair), []vg.Point{
				{X: tip.X - r*1.4, Y: tip.Y - up*r*2}, tip, {X: tip.X + r*1.4, Y: tip.Y - up*r*2},
			})
			continue
		}
		if q.sigma > 0 && n <= 200 {
			top, bottom := y(v.u.Of(q.width+2*q.sigma)), y(v.u.Of(q.width-2*q.sigma))
			c.StrokeLine2(v.s.Line(alpha(v.s.Ink, 0.28), hair), at.X, min(top, c.Max.Y), at.X, max(bottom, c.Min.Y))
		}
		dots.Move(vg.Point{X: at.X + r, Y: at.Y})
		dots.Arc(at, r, 0, 2*math.Pi)
		dots.Close()
	}
	if len(dots) > 0 {
		c.SetColor(alpha(v.s.Ink, 0.62))
		c.Fill(dots)
	}
}

func (v curveDrawing) wave(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	mean := y(v.u.Of(v.d.mean))
	if mean > c.Min.Y && mean < c.Max.Y {
		c.StrokeLine2(v.s.Line(v.s.Soft, hair, 4, 3), c.Min.X, mean, c.Max.X, mean)
	}
	// Dashed where the tool never touched: the wave goes on, the chamfer doesn't.
	var line []vg.Point
	cut := true
	flush := func() {
		l := v.s.Line(v.s.Setup2, strong)
		if !cut {
			l = v.s.Line(v.s.Setup2, thin, 4, 3)
		}
		c.StrokeLines(l, c.ClipLinesXY(line)...)
	}
	for _, w := range v.d.wave {
		at := vg.Point{X: x(w.hour), Y: y(v.u.Of(w.width))}
		if now := w.width > 0; now != cut {
			line = append(line, at)
			flush()
			line, cut = nil, now
		}
		line = append(line, at)
	}
	flush()
}

// words say widest and narrowest above the wave, or that it is even.
func (v curveDrawing) words(c draw.Canvas, p *plot.Plot) {
	st := v.s.Text(Regular, noteSize, v.s.Ink)
	st.YAlign = text.YTop
	top := c.Max.Y + v.s.Pt(curveHead-1)
	dec := v.u.Decimals(model.Factor95 * v.r.WidthUMM)
	if v.r.IsEven() {
		st.XAlign = text.XCenter
		c.FillText(st, vg.Point{X: c.Center().X, Y: top},
			"even within what can be told: mean width "+v.u.Format(v.d.mean, dec)+" ± "+v.u.FormatU(model.Factor95*v.r.WidthUMM, dec)+" "+v.u.String())
		return
	}
	x, _ := p.Transforms(&c)
	for _, e := range []struct {
		name string
		at   model.Extreme
	}{{"widest", v.r.Widest()}, {"narrowest", v.r.Narrowest()}} {
		h := hourOf(v.r, e.at.AngleRad)
		txt := e.name + " " + v.u.Format(e.at.WidthMM, dec) + " ± " + v.u.FormatU(model.Factor95*v.d.sigmaAt(h), dec) + ", " + e.at.Clock
		if e.at.WidthMM <= 0 {
			txt = "no chamfer about " + e.at.Clock
		}
		w := st.Width(txt)
		if room := c.Size().X/2 - v.s.Pt(6); w > room {
			txt = e.name + ", " + e.at.Clock
			w = st.Width(txt)
		}
		left := min(max(x(h)-w/2, c.Min.X), c.Max.X-w)
		c.FillText(st, vg.Point{X: left, Y: top}, txt)
		// A short tick says which direction is meant.
		c.StrokeLine2(v.s.Line(v.s.Ink, thin), x(h), c.Max.Y+v.s.Pt(1), x(h), c.Max.Y+v.s.Pt(5))
	}
}

// sigmaAt is the wave's standard uncertainty at an hour.
func (d curveData) sigmaAt(hour float64) float64 {
	i := int(hour/12*float64(len(d.wave)-1) + 0.5)
	return d.wave[min(max(i, 0), len(d.wave)-1)].sigma
}
