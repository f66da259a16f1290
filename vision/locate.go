package vision

import (
	"math"

	"evenrim/model"
)

// ringRadius is the bore radius in pixels that the ring is examined at: larger
// holes are reduced first, which costs nothing, as the tracing proper goes back
// to the photo's own pixels.
const ringRadius = 450

// locate reads the ring round a guess as the rims of a hole.
func locate(p *Photo, guess model.Circle, job model.JobCard) (hole, bool) {
	s := newStrip(p, guess, max(1, int(guess.R/ringRadius)))
	if s.n < leastSamples {
		return hole{}, false
	}
	g := newRing(s, 2.5)
	cs := g.circles()
	if len(cs) == 0 {
		return hole{}, false
	}
	e := expect(job)
	m := newRegionMap(s, s.even, g)
	best, score := m.best(cs, e)
	seen := m.evidence(best, s, e)
	if seen.outerFaint() {
		if in, ok := m.furtherIn(best, s, e); ok {
			best, score, seen = in.g, in.s, m.evidence(in.g, s, e)
		}
	}
	fine := newRegionMap(s, s.fine, g)
	exits := fine.sharpestExits(best, []rimGuess{best}, e)
	h := best.circles(s)
	h.score = score
	h.seen = seen
	// From here on the map only compares places of a faint bore edge, which a wall
	// that dips into the dark would draw inwards. The search stays with lines: a
	// parabola takes in a step, and led it astray on path-traced photos.
	m.wall = bent
	h.ring = ringView{m, fine, e, s.f}
	if h.seen.bore < faintBore {
		for _, o := range m.boresElsewhere(best, e) {
			h.others = append(h.others, o.circles(s).bore)
		}
	}
	for _, x := range exits {
		h.exits = append(h.exits, exitPlace{x.g.exitCircle(s.f), x.sharp})
	}
	return h, true
}

// leastSamples is the least width of a ring that rims can be told apart in.
const leastSamples = 12

// circles finds the circles in the ring one after another: each takes its ridges
// with it, so that the next search sees what is left.
func (g *ring) circles() []rimCircle {
	used := make([]bool, len(g.ridges))
	var out []rimCircle
	hunt := circleSearch{x: g.cx, y: g.cy, reach: 0.20 * g.r, pitch: math.Max(2, 0.010*g.r), rMin: 0.65 * g.r, rMax: 1.35 * g.r, bin: math.Max(1.5, 0.008*g.r)}.hunt()
	for range 7 {
		c, ok := hunt.next(g.ridges, used)
		if !ok {
			break
		}
		c = g.refine(c, math.Max(3, 0.012*g.r), used)
		g.take(c, used)
		if c.cover > 0.3 {
			out = append(out, c)
		}
	}
	return out
}
