package vision

import (
	"math"
	"runtime"
	"slices"

	"evenrim/model"
	"evenrim/vision/columns"
)

// rims is the tracer's picture of a hole: the three curves, which of them are
// there, and the blur.
type rims struct {
	curve     [nRims]curve
	hasExit   bool
	exitSharp float64           // how sharply the exit rim stands out, as a log-likelihood
	blur      [nRims]float64    // sd of each edge, px, the pixel's own width included
	blurTold  bool              // the outer edge's own arcs told its blur
	softDoubt model.Sym2        // of the bore edge's place, px², see shareLens
	shining   [nRims][]bool     // arcs whose bright line is fitted too
	parting   [nRims]bool       // arcs where the bore edge lies beside this rim do not place it
	drawn     []bool            // arcs whose bore edge is the outer edge's softness (drawnout.go); nil = none
	fade      float64           // of the wall's light, as a share of the wall's breadth (fade.go); 0 = even
	lift      float64           // up the wall, as a share of its breadth, where fits of the bore edge begin
	incline   float64           // of the chamfer's light from edge to edge, as a share of it (incline.go); 0 = even
	widen     float64           // factor on the blur while the curves are moved
	leads     []lead            // of every arc, from the last step of all of them
	scratch   []columns.Columns // of each worker, kept from one time to the next
}

func (r *rims) askGlintAt(arc int, ask question) (a [nRims]bool) {
	for k := range nRims {
		a[k] = ask == askGlint || (r.shining[k] != nil && r.shining[k][arc])
	}
	return a
}

// question says what an arc's fit is asked beyond levels and shifts.
type question int

const (
	askNothing question = iota
	askBlur
	askGlint
	// askStep asks for one step from the curve, for moving the curve.
	askStep
	// askWall asks for the fit that begins up the wall (lift), however weak the arc.
	askWall
)

// blocks is the ring of photo pixels within reach of the rims, cut into n short arcs
// about the bore's centre, of which every stride-th is looked at. Each pixel keeps its
// own value: resampling would make neighbours agree and hide how well an edge is known.
type blocks struct {
	n, stride int
	part      float64 // of each arc that is looked at, about its middle
	photo     columns.Photo
	arc       columns.Arc // but for the two rays
}

// glance is how much of an arc is looked at while the curves are only brought near, px:
// in a large photo, a part of what there is.
const glance = 12.0

// blocksAt returns the arcs at the curves as they are; whole, or as much of each as a
// glance takes in.
func (r *rims) blocksAt(p *Photo, n, stride int, whole bool) *blocks {
	tones := &tones8
	if p.Gray16 != nil {
		tones = &tones16
	}
	b := &r.curve[bore]
	g := &blocks{n: n, stride: stride, part: 1, photo: columns.Photo{W: p.W, H: p.H, Gray8: p.Gray8, Gray16: p.Gray16, Light: tones.light, Shadow: tones.shadow},
		arc: columns.Arc{X: b.X, Y: b.Y, Reach: r.reach()}}
	if !whole {
		g.part = r.glancePart(n)
	}
	for k := range r.present() {
		c := &r.curve[k]
		g.arc.Curves = append(g.arc.Curves, columns.Curve{X: c.X, Y: c.Y, R: c.R, Cos2: c.cos2, Sin2: c.sin2})
	}
	return g
}

// glancePart is the share of each of n arcs that a glance takes in.
func (r *rims) glancePart(n int) float64 {
	return math.Min(1, glance*float64(n)/(2*math.Pi*r.curve[bore].R))
}

// reach is how far from the curves pixels are looked at, px.
func (r *rims) reach() float64 { return math.Max(7, 5*slices.Max(r.blur[:])) }

// gather takes the pixels of arc i and returns how many there are.
func (g *blocks) gather(i int, px *columns.Columns) int {
	arc := g.arc
	arc.From, arc.To = g.ray(float64(i)+(1-g.part)/2), g.ray(math.Mod(float64(i)+(1+g.part)/2, float64(g.n)))
	return px.Gather(&g.photo, &arc)
}

// ray is the direction at so many arcs, as a unit vector.
func (g *blocks) ray(arcs float64) [2]float64 {
	s, c := math.Sincos(2 * math.Pi * arcs / float64(g.n))
	return [2]float64{c, s}
}

func (g *blocks) angle(i int) float64 { return 2 * math.Pi * (float64(i) + 0.5) / float64(g.n) }

// arcFit is the outcome of one arc: an edgeFit per rim, valid where found.
type arcFit struct {
	edge  [nRims]edgeFit
	found [nRims]bool
	blur  [nRims]float64 // that the edges were fitted with
	// sliver says that the bore edge lies too near to another rim to be told from it: what
	// was fitted for it may as well be the other's edge, or the sum of both.
	sliver bool
}

// placed says whether the arc tells where rim k lies.
func (f *arcFit) placed(k int) bool { return f.found[k] && !(f.sliver && k == bore) }

// minGap is the distance in blurs below which two edges can't be told apart: the
// joint fit's sd is then eight times that of one edge alone (check value: two
// equal edges at one blur).
const minGap = 1.0

// fitArcs fits the edges of the arcs.
func (g *blocks) fitArcs(r *rims, limit float64, ask question) []arcFit {
	out := make([]arcFit, g.n)
	if workers := runtime.GOMAXPROCS(0); len(r.scratch) < workers {
		r.scratch = make([]columns.Columns, workers)
	}
	if ask == askStep && g.stride == 1 {
		r.leads = make([]lead, g.n)
	}
	spreadEach((g.n+g.stride-1)/g.stride, func(worker, i int) {
		out[i*g.stride] = g.fitArc(r, i*g.stride, limit, ask, &r.scratch[worker])
	})
	return out
}

func (g *blocks) fitArc(r *rims, i int, limit float64, ask question, px *columns.Columns) arcFit {
	fit := arcFit{blur: r.blur}
	th := g.angle(i)
	b := &r.curve[bore]
	var rho [nRims]float64
	for k := range nRims {
		if k == exit && !r.hasExit {
			continue
		}
		rho[k] = r.curve[k].toward(b.X, b.Y, th)
	}
	var present []int
	if rho[outer]-rho[bore] > minGap*r.blur[bore] {
		present = append(present, outer)
	}
	present = append(present, bore)
	if r.hasExit && rho[exit] > 0 && rho[bore]-rho[exit] > minGap*r.blur[bore] {
		present = append(present, exit)
	}
	fit.sliver = r.sliver(&rho) || r.drawn != nil && r.drawn[i]
	g.gather(i, px)
	reach := g.arc.Reach
	for s := 0; s < len(present); {
		e := s + 1
		for e < len(present) && rho[present[e-1]]-rho[present[e]] < 2*reach {
			e++
		}
		group := present[s:e]
		shadows := group[0] == exit
		choice := columns.Choice{Rims: group, Reach: reach, Shadows: shadows}
		// Not the far side of another group's edge: within these.
		for k := range nRims {
			choice.Least[k], choice.Most[k] = math.Inf(-1), math.Inf(1)
		}
		for _, k := range present {
			if k < group[0] {
				choice.Most[k] = -1.5 * r.blur[k]
			} else if k > group[len(group)-1] {
				choice.Least[k] = 1.5 * r.blur[k]
			}
		}
		px.Choose(&choice)
		lim := limit
		for j := 1; j < len(group); j++ {
			lim = math.Min(lim, math.Max(0.45*(rho[group[j-1]]-rho[group[j]]), 0.5))
		}
		m := edgeModel{rims: group, blur: r.blur, limit: lim, askGlint: r.askGlintAt(i, ask), askBlur: ask == askBlur, shadows: shadows, widen: r.widen}
		if r.incline > 0 {
			m.incline = r.incline / math.Max(rho[outer]-rho[bore], reach/2)
		}
		if slices.Contains(group, bore) {
			r.fadeInto(&m, &rho)
		}
		var edges [nRims]edgeFit
		at, ok := r.leadsNear(g, i, ask, &m, &rho)
		if ok {
			edges, ok = m.settleFrom(px, &at)
		}
		if !ok {
			at = edgeState{}
			edges, ok = m.solve(px, ask, r.askGlintAt(i, askNothing), &at)
			r.keepLead(g, i, ask, &m, &rho, &edges, ok, &at)
		}
		if ok {
			for _, k := range group {
				if f := edges[k]; f.sd < worstSD {
					fit.edge[k], fit.found[k] = f, true
				}
			}
		}
		s = e
	}
	return fit
}

// worstSD is from when an arc says nothing about an edge, px.
const worstSD = 6.0

// strongSD is up to where an arc by itself tells one edge from the next, px.
const strongSD = 0.45

// solve moves the edges to where the pixels want them in an arc that is strong
// enough to know, and takes one step from the curve in another: left to itself, a
// weak arc ends at the nearest sparkle, always with a good face.
// Where the step led is left in at.
func (m edgeModel) solve(px *columns.Columns, ask question, shining [nRims]bool, at *edgeState) (out [nRims]edgeFit, ok bool) {
	plain := m
	plain.askBlur = false
	plain.askGlint = shining
	if ask == askWall {
		return m.fit(px)
	}
	if ask != askGlint {
		out, ok = plain.step(px, at)
		if !ok || ask == askStep {
			return out, ok
		}
		for _, k := range m.rims {
			if out[k].sd > strongSD && !out[k].saturated {
				return out, true
			}
		}
	}
	if ask == askNothing && m.near(&out, 1) {
		if moved, found := m.settleFrom(px, at); found {
			return moved, true
		}
	} else if moved, found := m.fit(px); found && m.believes(moved) {
		return moved, true
	}
	if ask == askGlint {
		return plain.step(px, at)
	}
	return out, ok
}

// believes says whether edges that were let go stand out, by their step or by a bright
// line, and are still near where they were looked for. One that ends at its limit is
// believed all the same, unless it is saturated and the light that doesn't show lies
// further out: a step from the curve instead makes as many photos worse as better.
func (m edgeModel) believes(moved [nRims]edgeFit) bool {
	for _, k := range m.rims {
		if f := moved[k]; !f.stands() && !f.shines() || math.Abs(f.shift) > 0.95*m.limit+clippingShift*m.blur[k] {
			return false
		}
	}
	return true
}

// points turns rim k's arcs into positions in the photo.
func (g *blocks) points(r *rims, fits []arcFit, k int) []model.EdgePoint {
	var out []model.EdgePoint
	for i := range fits {
		if fits[i].placed(k) {
			out = append(out, g.point(r, fits, i, k))
		}
	}
	return out
}

// point is where arc i found rim k.
func (g *blocks) point(r *rims, fits []arcFit, i, k int) model.EdgePoint {
	b, c := &r.curve[bore], &r.curve[k]
	th := g.angle(i)
	rho := c.toward(b.X, b.Y, th)
	s, co := math.Sincos(th)
	x, y := b.X+rho*co, b.Y+rho*s
	nx, ny := x-c.X, y-c.Y
	l := fits[i].edge[k].shift / math.Hypot(nx, ny)
	return model.EdgePoint{X: x + l*nx, Y: y + l*ny, SigmaPx: fits[i].edge[k].sd}
}
