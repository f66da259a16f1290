package synth

import (
	"math"

	"evenrim/model"
)

// marks is one set of tool marks: slopes across arcs about a far centre.
type marks struct {
	centre   model.Vec
	radius   float64 // of the arc through the hole
	perMM    float64 // table nodes a mm
	slope    [2]track
	blend    lattice // which of the two tables, slowly along and across
	wobble   lattice
	wobbleMM float64
	blendPer float64 // lattice cells a mm along the marks
}

// straightRadius stands for straight marks: flat to well below a pixel.
const straightRadius = 2e4

func newMarks(s Scene, use string, dir, radius, coarse, fine float64) *marks {
	if coarse == 0 && fine == 0 {
		return nil
	}
	rng := stream(s.Seed, use)
	if radius == 0 {
		radius = straightRadius
	}
	m := &marks{centre: model.Polar(radius, dir), radius: radius}
	px := 1 / s.PxPerMM
	step := px / 2
	m.perMM = 1 / step
	diag := 1.3 * math.Hypot(float64(s.Width), float64(s.Height)) * px * (1 + math.Hypot(s.OffX, s.OffY)/float64(s.Width))
	n := int(min(diag/step, 20000)) + 16
	feed := s.Face.FeedMM
	for k := range m.slope {
		t := make([]float64, n)
		if coarse > 0 {
			// A row of scallops: the slope runs from - to + across each, with a height of its own.
			for x := 0.0; x < float64(n)*step; {
				w := max(feed*(0.75+0.5*rng.Float64()), 2.5*px)
				h := 0.4 + 1.2*rng.Float64()*rng.Float64()
				for i := int(x / step); i < int((x+w)/step) && i < n; i++ {
					t[i] += h * (2*(float64(i)*step-x)/w - 1)
				}
				x += w
			}
			scaleTo(smoothLine(t, max(0.12*feed, 0.9*px)/step), coarse)
		}
		if fine > 0 {
			f := newTrack(rng, n, 1.3*px/step)
			g := newTrack(rng, n, 4*px/step)
			for i := range t {
				t[i] += fine * (0.75*float64(f[i]) + 0.66*float64(g[i]))
			}
		}
		m.slope[k] = make(track, n)
		for i := range t {
			m.slope[k][i] = float32(t[i])
		}
	}
	m.blend, m.wobble = lattice(rng.Uint64()), lattice(rng.Uint64())
	m.blendPer = 1 / max(6*feed, 60*px)
	m.wobbleMM = 0.25 * feed * rng.Float64()
	return m
}

// smoothLine blurs t in place by a Gaussian of sd nodes and returns it.
func smoothLine(t []float64, sd float64) []float64 {
	reach := int(4*sd) + 1
	k := make([]float64, 2*reach+1)
	var sum float64
	for i := range k {
		d := float64(i-reach) / sd
		k[i] = math.Exp(-d * d / 2)
		sum += k[i]
	}
	src := append([]float64(nil), t...)
	for i := range t {
		t[i] = 0
		for j, w := range k {
			t[i] += w / sum * src[((i+j-reach)%len(t)+len(t))%len(t)]
		}
	}
	return t
}

func scaleTo(t []float64, rms float64) {
	var s2 float64
	for _, x := range t {
		s2 += x * x
	}
	k := rms / math.Sqrt(max(s2/float64(len(t)), 1e-300))
	for i := range t {
		t[i] *= k
	}
}

// at returns the slope at p; across is its direction, towards the arcs' centre.
func (m *marks) at(p model.Vec) float64 {
	q := p.Sub(m.centre)
	rho := length(q) - m.radius
	// Along the arcs, near enough: the part of p square to the centre's direction.
	along := (q.X*m.centre.Y - q.Y*m.centre.X) / m.radius
	far := along * m.blendPer
	x := (rho + m.wobbleMM*m.wobble.at(far*1.7, rho*m.blendPer*0.5)) * m.perMM
	w := smooth(0.5 + 0.9*m.blend.at(far, rho*m.blendPer*2))
	// The table reaches beyond the picture on both sides; past its ends the last
	// value holds.
	t0, t1 := m.slope[0], m.slope[1]
	i, f := cell(x+float64(len(t0)/2), len(t0))
	a := float64(t0[i])*(1-f) + float64(t0[i+1])*f
	b := float64(t1[i])*(1-f) + float64(t1[i+1])*f
	return a*(1-w) + b*w
}

// across returns the unit direction across the marks at p.
func (m *marks) across(p model.Vec) model.Vec {
	q := m.centre.Sub(p)
	return q.Scale(1 / length(q))
}
