package vision

import (
	"math"

	"evenrim/model"
)

// rimGuess is a guess at the rims: circles relative to the ring's plane. The
// outer edge and the exit rim are stated relative to the bore edge, in units of
// its radius, since that is where the limits of a real hole are known.
type rimGuess struct {
	bx, by, br float64
	dx, dy, w  float64 // outer centre offset and width, in bore radii
	ex, ey, er float64 // exit centre offset and radius, in bore radii; er = 0: not seen
}

func (g rimGuess) circles(s *strip) hole {
	h := hole{bore: s.toPhoto(g.bx, g.by, g.br), outer: s.toPhoto(g.bx+g.dx*g.br, g.by+g.dy*g.br, g.br*(1+g.w))}
	if g.er > 0 {
		h.exit = g.exitCircle(s.f)
	}
	return h
}

// exitCircle is the exit rim in photo px, on a ring of f photo px a sample.
func (g rimGuess) exitCircle(f float64) model.Circle {
	return model.Circle{X: (g.bx + g.ex*g.br) * f, Y: (g.by + g.ey*g.br) * f, R: g.br * g.er * f}
}

const (
	// sampleShare is one over the number of samples that tool marks, blur and
	// bilinear sampling make agree: a region's samples count for so much less.
	sampleShare = 1.0 / 8
	// extraRegionCost is what a further region must save in each sector to be
	// believed: three numbers (level, slope, spread) at half the log of the number
	// of samples (Schwarz 1978, from memory).
	extraRegionCost = 3 * 0.5 * 3
	// edgeGain is the log-likelihood ratio of an edge that stands out against none.
	edgeGain = 8.0
	// offsetDoubt is what rims as far apart as can be cost: most are nearer.
	offsetDoubt = 200.0
)

// tally holds what each part of a guess costs, so that moving one rim judges
// anew only what lies beside it. Smaller is better.
type tally struct {
	bore, outer, exit [sectors]float64 // where the rims cross the sectors looked at, samples
	face              float64          // of face and chamfer
	inside            float64          // of wall and backing
	unlikely          float64
}

func (v *tally) total() float64 { return v.face + v.inside + v.unlikely }

// score is minus the log-likelihood of the ring under g, smaller is better, with
// what e finds unlikely added. Of the sectors one in every is looked at.
func (m *regionMap) score(g rimGuess, e expectation, every int) float64 {
	var v tally
	m.judge(&v, g, e, every, wholeHole)
	return v.total()
}

// moved says which rims of a guess are new since a tally was made.
type moved int

const (
	exitAlone moved = iota
	outerAlone
	wholeHole
)

// judge brings v up to date with g.
func (m *regionMap) judge(v *tally, g rimGuess, e expectation, every int, what moved) {
	if what == wholeHole {
		m.cross(&v.bore, g.bx, g.by, g.br, every)
	}
	if what >= outerAlone {
		m.cross(&v.outer, g.bx+g.dx*g.br, g.by+g.dy*g.br, g.br*(1+g.w), every)
		v.face = m.costs.Face(&v.bore, &v.outer, every)
	}
	if what != outerAlone {
		var exit *[sectors]float64
		if g.er > 0 {
			exit = &v.exit
			m.cross(exit, g.bx+g.ex*g.br, g.by+g.ey*g.br, g.br*g.er, every)
		}
		v.inside = m.costs.Inside(&v.bore, exit, m.wall.inside(), m.backing.inside(), every)
	}
	v.unlikely = e.unlikely(g)
	if g.er > 0 {
		v.unlikely += sectors * extraRegionCost
	}
}

// cross sets where the circle crosses one sector in every, one after the other, as a
// sample position.
func (m *regionMap) cross(at *[sectors]float64, x, y, r float64, every int) {
	m.costs.Cross(at, x, y, r, every)
}

// unlikely returns a penalty, 0 for what the job card expects; it goes up steeply
// outside what can be in front of a bench camera.
func (e expectation) unlikely(g rimGuess) float64 {
	p := 0.0
	if g.w <= 0 {
		return 1e9
	}
	z := math.Log(g.w/(e.ratio-1)) / e.spread
	p += 20 * z * z
	if math.Abs(z) > 3 {
		p += 2000 * (math.Abs(z) - 3)
	}
	off := math.Hypot(g.dx, g.dy)
	p += offsetDoubt * sq(off/e.maxOffset)
	if off > e.maxOffset {
		p += 20000 * (off - e.maxOffset)
	}
	if g.er > 0 {
		p += 20000 * math.Max(0, math.Max(g.er-e.maxExit, e.minExit-g.er))
		if off := math.Hypot(g.ex, g.ey); off > e.exitOffset {
			p += 20000 * (off - e.exitOffset)
		}
	}
	return p
}
