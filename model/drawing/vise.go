package drawing

import (
	"math"
	"slices"

	"evenrim/model"
	"evenrim/model/chart"

	"gonum.org/v1/plot/vg/draw"
)

// Vise is a part in the vise from above with what its correction does: part zero
// moves along X and Y, the part is turned. Lengths and angles are out of scale;
// the words carry the numbers.
type Vise struct {
	Outline []model.Vec // of the part, mm, not closed
	Holes   []model.Vec // mm
	Setup   int         // whose axes these are; picks the accent
	// X and Y are what to add to the work offset, as words with the sign; "" = leave.
	X, Y string
	// Turn is how far to turn the part, as words; TurnRad its sign, + counter-clockwise.
	Turn    string
	TurnRad float64
	Move    model.Vec // the direction part zero moves, mm
}

// Figure is the drawing in a style.
func (v Vise) Figure(s chart.Style) chart.Figure { return viseFigure{v, s} }

type viseFigure struct {
	v Vise
	s chart.Style
}

// Draw implements chart.Figure.
func (f viseFigure) Draw(c draw.Canvas) { f.v.paint(newSketch(c, f.s)) }

func (v Vise) paint(d *sketch) {
	accent := d.s.Setup2
	if v.Setup == 1 {
		accent = d.s.Setup1
	}
	place := v.place()
	lo, hi := pt{X: math.Inf(1), Y: math.Inf(1)}, pt{X: math.Inf(-1), Y: math.Inf(-1)}
	var ring []pt
	for _, q := range v.Outline {
		p := place(q)
		ring = append(ring, p)
		lo, hi = pt{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y)}, pt{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y)}
	}
	if len(ring) < 3 {
		return
	}
	// Fixed jaw behind, moving jaw in front, both wider than the part.
	jaw := func(y0, y1 float64, name string) {
		a, b := pt{X: 52, Y: y0}, pt{X: 308, Y: y1}
		d.hatch(a, b, wash(d.s.Ink, 0.4), 6, 1)
		d.line(d.s.Ink, normal, a, pt{X: b.X, Y: a.Y}, b, pt{X: a.X, Y: b.Y}, a)
		d.say(name, d.s.Soft, pt{X: 46, Y: (y0 + y1) / 2}, left)
	}
	jaw(hi.Y, hi.Y+16, "fixed")
	jaw(lo.Y-16, lo.Y, "moving")
	closed := append(append([]pt(nil), ring...), ring[0])
	d.fill(d.metal(), ring...)
	d.line(d.s.Ink, normal, closed...)
	for _, h := range v.Holes {
		d.line(d.s.Setup1, normal, circle(place(h), holeR)...)
	}
	mid := lo.Add(hi).Scale(0.5)
	if v.Turn != "" {
		const shown = 5 * math.Pi / 180
		turned := make([]pt, len(closed))
		for i, p := range closed {
			turned[i] = mid.Add(p.Sub(mid).Rotate(math.Copysign(shown, v.TurnRad)))
		}
		d.dashed(accent, normal, turned...)
		r := 0.5*(hi.X-lo.X) + 16
		from, sweep := -24.0, 48.0
		if v.TurnRad < 0 {
			from, sweep = -from, -sweep
		}
		d.turn(accent, heavy, mid, r, r, from, sweep)
		d.bold(v.Turn, accent, pt{X: math.Min(mid.X+r+6, 318), Y: mid.Y + 30}, right)
	}
	zero := place(model.Vec{})
	if zero.X < lo.X || zero.X > hi.X || zero.Y < lo.Y || zero.Y > hi.Y {
		zero = mid
	}
	d.line(d.s.Ink, fine, circle(zero, 3)...)
	d.cross(d.s.Ink, zero, 6)
	const long = 42
	var holes []pt
	for _, h := range v.Holes {
		holes = append(holes, place(h))
	}
	if v.X != "" {
		to := zero.Add(pt{X: math.Copysign(long, v.Move.X)})
		d.arrow(accent, heavy, zero, to)
		beside := zero.Y - lo.Y // on the side away from the arrow for Y
		if v.Move.Y < 0 {
			beside = hi.Y - zero.Y
		}
		tip := label{to.Add(pt{X: math.Copysign(4, v.Move.X)}), right}
		if v.Move.X < 0 {
			tip.side = left
		}
		places := []label{tip}
		if beside > 20 {
			places = []label{{pt{X: (zero.X + to.X) / 2, Y: zero.Y + math.Copysign(11, -v.Move.Y)}, middle}, tip}
		}
		at := d.clearest(v.X, places, holes)
		d.bold(v.X, accent, at.at, at.side)
	}
	if v.Y != "" {
		room := hi.Y - zero.Y // to the jaw, which the words must not reach
		if v.Move.Y < 0 {
			room = zero.Y - lo.Y
		}
		to := zero.Add(pt{Y: math.Copysign(math.Max(math.Min(long*0.8, room-6), 12), v.Move.Y)})
		d.arrow(accent, heavy, zero, to)
		half := (zero.Y + to.Y) / 2
		first := label{to.Add(pt{X: 8, Y: math.Copysign(2, v.Move.Y)}), right}
		other := label{pt{X: to.X - 8, Y: first.at.Y}, left}
		if room < long {
			first.at.Y, other.at.Y = half, half
			if v.X != "" && v.Move.X > 0 {
				first, other = other, first
			}
		}
		places := []label{first, other}
		if room >= long { // lower down the arrow, clear of the words for X
			places = append(places, label{pt{X: first.at.X, Y: half}, first.side}, label{pt{X: other.at.X, Y: half}, other.side})
		}
		at := d.clearest(v.Y, places, holes)
		d.bold(v.Y, accent, at.at, at.side)
	}
	o := pt{X: 316, Y: 12}
	d.arrow(d.s.Soft, normal, o, o.Add(pt{X: 22}))
	d.arrow(d.s.Soft, normal, o, o.Add(pt{Y: 22}))
	d.say("X", d.s.Soft, o.Add(pt{X: 30}), middle)
	d.say("Y", d.s.Soft, o.Add(pt{Y: 30}), middle)
}

// holeR is how large a hole is drawn.
const holeR = 5.0

// label is where words may stand.
type label struct {
	at   pt
	side int
}

// clearest is the first of the places where bold words touch no hole; the first of all
// where there is none.
func (d *sketch) clearest(words string, places []label, holes []pt) label {
	for _, l := range places {
		lo, hi := d.boldBox(words, l.at, l.side)
		if !slices.ContainsFunc(holes, func(h pt) bool {
			near := pt{X: math.Min(math.Max(h.X, lo.X), hi.X), Y: math.Min(math.Max(h.Y, lo.Y), hi.Y)}
			return h.Sub(near).Norm() < holeR+2
		}) {
			return l
		}
	}
	return places[0]
}

// place fits the outline between the jaws.
func (v Vise) place() func(model.Vec) pt {
	lo, hi := model.Vec{X: math.Inf(1), Y: math.Inf(1)}, model.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, q := range v.Outline {
		lo, hi = model.Vec{X: math.Min(lo.X, q.X), Y: math.Min(lo.Y, q.Y)}, model.Vec{X: math.Max(hi.X, q.X), Y: math.Max(hi.Y, q.Y)}
	}
	w, h := math.Max(hi.X-lo.X, 1e-6), math.Max(hi.Y-lo.Y, 1e-6)
	k := math.Min(196/w, 132/h)
	mid := lo.Add(hi).Scale(0.5)
	return func(q model.Vec) pt { return q.Sub(mid).Scale(k).Add(pt{X: 180, Y: boxH / 2}) }
}
