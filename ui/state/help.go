package state

import (
	"math"
	"slices"

	"evenrim/model"
	"evenrim/ui/port"
)

// PointOut takes a circle that a person drew on the hole of the photo shown.
func (b *Bench) PointOut(c model.Circle) Effects {
	return b.helped(func(h *port.Help) { h.Hole, h.Candidate = &c, 0 })
}

// Choose takes one of the places that look alike, counted from 1.
func (b *Bench) Choose(n int) Effects {
	p := b.Selected()
	if p == nil || n < 1 || n > len(p.Spots) {
		return Effects{}
	}
	c := p.Spots[n-1]
	return b.helped(func(h *port.Help) { h.Hole, h.Candidate = &c, n })
}

// Brush leaves out an arc of the rims, directions on the screen.
func (b *Bench) Brush(a model.Arc) Effects {
	if a.WidthRad < leastBrush {
		a.WidthRad = leastBrush
	}
	return b.helped(func(h *port.Help) { h.LeaveOut = append(slices.Clone(h.LeaveOut), a) })
}

// leastBrush is the least arc that a stroke takes out: a finger is no needle.
const leastBrush = 3 * math.Pi / 180

// WithoutHelp gives the photo back to the finder.
func (b *Bench) WithoutHelp() Effects {
	return b.helped(func(h *port.Help) { *h = port.Help{} })
}

func (b *Bench) helped(change func(*port.Help)) Effects {
	p := b.Selected()
	if p == nil {
		return Effects{}
	}
	h := p.Help
	change(&h)
	b.remember("")
	return b.setHelp(p, h)
}

// setHelp takes new help and says which work follows: other rims only where the
// hole was pointed out anew.
func (b *Bench) setHelp(p *Photo, h port.Help) Effects {
	if sameHelp(p.Help, h) {
		return Effects{}
	}
	before := p.Help
	p.Help = h
	if !sameHole(before.Hole, h.Hole) || p.Whole() == nil {
		return Effects{Trace: []int{p.ID}}
	}
	p.trim()
	if p.Trace == nil {
		return Effects{}
	}
	return Effects{Solve: []int{p.ID}}
}

// Whole is the rims as the finder gave them, before anything was brushed out.
func (p *Photo) Whole() *model.Trace {
	if p.whole == nil {
		return p.Trace
	}
	return p.whole
}

// trim makes the rims to use from those found; too little left is a refusal.
func (p *Photo) trim() {
	whole := p.Whole()
	t, err := whole.Without(p.Help.LeaveOut)
	p.whole, p.Trace = whole, &t
	if err != nil {
		p.Stage, p.Trace, p.Reading, p.Kept, p.FromOld = Refused, nil, nil, "", false
		p.Reason, p.Problem = Explain(err)
		p.solve++
	}
}

func sameHole(a, b *model.Circle) bool { return a == b || a != nil && b != nil && *a == *b }

func sameHelp(a, b port.Help) bool {
	return sameHole(a.Hole, b.Hole) && a.Candidate == b.Candidate && slices.Equal(a.LeaveOut, b.LeaveOut)
}

// HoleOf is the circle that stands for the photo's hole: as pointed out, or the
// outer edge as traced.
func HoleOf(p *Photo) (model.Circle, bool) {
	if w := p.Whole(); w != nil {
		return w.OuterCircle()
	}
	if p.Help.Hole != nil {
		return *p.Help.Hole, true
	}
	return model.Circle{}, false
}

// Pulled is a circle whose rim was pulled at one side, from one point to another:
// the opposite side stays where it is.
func Pulled(c model.Circle, from, to model.Vec) model.Circle {
	u := from.Sub(model.Vec{X: c.X, Y: c.Y})
	if u.Norm() == 0 {
		return c
	}
	u = u.Scale(1 / u.Norm())
	d := to.Sub(from).Dot(u)
	// Along the rim's normal it grows, across it it moves.
	across := to.Sub(from).Sub(u.Scale(d))
	r := math.Max(c.R+d/2, 4)
	centre := model.Vec{X: c.X, Y: c.Y}.Add(u.Scale(r - c.R)).Add(across)
	return model.Circle{X: centre.X, Y: centre.Y, R: r}
}

// DirectionFrom is the direction on the screen from a circle's centre to a point.
func DirectionFrom(c model.Circle, p model.Vec) float64 { return math.Atan2(c.Y-p.Y, p.X-c.X) }

// SpotAt returns the place (from 1) that a point means: the smallest circle it
// lies in, or the nearest centre within twice its radius; 0 = none.
func SpotAt(spots []model.Circle, at model.Vec) int {
	best, rank := 0, math.Inf(1)
	for i, c := range spots {
		d := math.Hypot(at.X-c.X, at.Y-c.Y)
		r := c.R
		if d > c.R {
			r += 1e6 + d
		}
		if d <= 2*c.R && r < rank {
			best, rank = i+1, r
		}
	}
	return best
}
