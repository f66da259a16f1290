package vision

import (
	"cmp"
	"math"
	"slices"

	"evenrim/model"
)

// attempt is the rims brought to edges from one place of the bore edge, and how
// much speaks for them.
type attempt struct {
	rims     *rims
	evidence float64
	odds     float64 // of it, by evidence and card, as a logarithm
}

const (
	// sharpShare is what the sharpness of the edges, as Fisher information on their
	// places in px^-2, counts beside the finder's log-likelihood.
	sharpShare = 0.2
	// edgeFloor keeps one plain arc from outweighing many faint ones, px.
	edgeFloor = 0.3
	// faintBore is the gain of the bore edge, as evidence has it, below which other
	// places are tried.
	faintBore = 17.0
	// doubtScale is the difference of evidence over which odds fall to 1/e: the
	// evidence counts each fact several times over.
	doubtScale = 25.0
	// worthIt is the evidence by which an attempt may lag after the first steps.
	worthIt = 120.0
	// samePlace is the distance of two curves that are one, px.
	samePlace = 0.4
)

// settle brings the rims to their edges, from every place where the bore edge may
// be, and returns those that most speaks for, with the covariance, px² in photo
// axes, by which the other places leave the outer and the bore edge in doubt.
func settle(p *Photo, h hole, n int) (*rims, [nRims]model.Sym2) {
	tried := h.attempts(p, n)
	if len(tried) == 1 {
		tried[0].rims.finish(p, n)
		return tried[0].rims, [nRims]model.Sym2{}
	}
	for i := range tried {
		a := &tried[i]
		a.rims.finish(p, n)
		a.rims.calm(p, n)
		_, fits := a.rims.arcs(p, n, 1, laterLimit, askNothing)
		a.evidence = h.evidenceFor(a.rims, fits, 1)
		a.odds = a.evidence/doubtScale + a.rims.logWidth(h.ring.expect.job)
	}
	top := slices.MaxFunc(tried, func(a, b attempt) int { return cmp.Compare(a.odds, b.odds) })
	return top.rims, doubtAmong(tried, top)
}

// attempts brings the rims near their edges, from every place where the bore edge
// may be, and returns those that are worth finishing.
func (h hole) attempts(p *Photo, n int) []attempt {
	first := h.rimsAt(h.bore)
	first.approach(p, n)
	tried := []attempt{{rims: first}}
	for _, c := range h.others {
		r := h.rimsAt(c)
		r.approach(p, n)
		if !slices.ContainsFunc(tried, func(b attempt) bool { return r.near(b.rims) }) {
			tried = append(tried, attempt{rims: r})
		}
	}
	if len(tried) == 1 {
		return tried
	}
	best := math.Inf(-1)
	for i := range tried {
		a := &tried[i]
		_, fits := a.rims.arcs(p, n, fewArcs, laterLimit, askStep)
		a.evidence = h.evidenceFor(a.rims, fits, fewArcs)
		best = max(best, a.evidence)
	}
	return slices.DeleteFunc(tried, func(a attempt) bool { return a.evidence < best-worthIt })
}

// doubtAmong is the spread of the attempts' outer and bore edges about those of
// top, each with its odds.
func doubtAmong(tried []attempt, top attempt) (doubt [nRims]model.Sym2) {
	odds, sum := make([]float64, len(tried)), 0.0
	for i, a := range tried {
		odds[i] = math.Exp(a.odds - top.odds)
		sum += odds[i]
	}
	for i, a := range tried {
		for k := outer; k <= bore; k++ {
			c, t := a.rims.curve[k], top.rims.curve[k]
			doubt[k] = doubt[k].Add(model.Vec{X: c.X - t.X, Y: c.Y - t.Y}.Outer().Scale(odds[i] / sum))
		}
	}
	return doubt
}

// logWidth is how likely the job card makes the chamfer's width, as a logarithm. A place for the
// bore edge some px up or down the wall is one for a chamfer of another width.
func (r *rims) logWidth(job model.JobCard) float64 {
	const known = 1.0 // px, each edge being found to less
	b := r.curve[bore].R
	perPx := job.BoreMM / 2 / b
	return math.Log(job.WidthDensity((r.curve[outer].R-b)*perPx, known*perPx))
}

// rimsAt returns the rims with the bore edge at c, before a pixel is looked at.
func (h hole) rimsAt(c model.Circle) *rims {
	r := &rims{}
	for k := range nRims {
		r.blur[k] = firstBlur
	}
	r.curve[outer].Circle, r.curve[bore].Circle = h.outer, c
	r.takeExit(h)
	return r
}

// calm moves the curves on until they stay: from afar two moves are not enough, and
// two attempts on their way to one place would pass for two.
func (r *rims) calm(p *Photo, n int) { r.rest(p, n, 0.05, 6) }

// rest moves the curves on until outer and bore edge stay within still px, some times at
// most.
func (r *rims) rest(p *Photo, n int, still float64, mostMoves int) {
	for range mostMoves {
		before := *r
		r.moveCurves(p, n, 1, true)
		if r.within(still, &before) {
			return
		}
	}
}

// near says that two attempts have come to the same edges.
func (r *rims) near(o *rims) bool { return r.within(samePlace, o) }

// within says that outer and bore edge lie within px of o's.
func (r *rims) within(px float64, o *rims) bool {
	for k := outer; k <= bore; k++ {
		a, b := r.curve[k], o.curve[k]
		if math.Hypot(math.Hypot(a.X-b.X, a.Y-b.Y), a.R-b.R) > px {
			return false
		}
	}
	return true
}

// evidenceFor weighs how well the rims part the ring into face, chamfer, wall and
// backing, and how sharply the picture's edges lie on them. fits are those of
// every stride-th arc.
func (h hole) evidenceFor(r *rims, fits []arcFit, stride int) float64 {
	sharp := 0.0
	for _, f := range fits {
		for k := outer; k <= bore; k++ {
			if f.found[k] {
				sharp += 1 / (sq(f.edge[k].sd) + sq(edgeFloor))
			}
		}
	}
	g := guessOf(r.curve[outer].Circle, r.curve[bore].Circle, h.exit, h.ring.f)
	return sharpShare*sharp*float64(stride) - h.ring.regions.score(g, h.ring.expect, 1)
}

// guessOf is a guess with these circles, photo px, on a ring of f photo px a
// sample.
func guessOf(outer, bore, exit model.Circle, f float64) rimGuess {
	g := rimGuess{bx: bore.X / f, by: bore.Y / f, br: bore.R / f,
		dx: (outer.X - bore.X) / bore.R, dy: (outer.Y - bore.Y) / bore.R, w: outer.R/bore.R - 1}
	if exit.R > 0 {
		g.ex, g.ey, g.er = (exit.X-bore.X)/bore.R, (exit.Y-bore.Y)/bore.R, exit.R/bore.R
	}
	return g
}
