package vision

import (
	"cmp"
	"math"
	"slices"

	"evenrim/model"
)

const (
	firstBlur  = 1.4 // px; a usual photo's, until the edges tell
	firstLimit = 4.0 // how far the circles may be off an edge, px
	laterLimit = 2.5 // the model judges the scatter of an exit rim by it (maxExitScatterPx)
)

// refine traces the rims from circles near them.
func refine(p *Photo, h hole, job model.JobCard) (model.Trace, error) {
	n := int(math.Min(math.Max(2*math.Pi*h.bore.R/5, 96), 240))
	r, doubt := settle(p, h, n)
	if r.exitAgain(h) {
		r.approach(p, n)
		r.finish(p, n)
	}
	if r.findSlivers(n) {
		r.calm(p, n) // to where the other arcs want them
	}
	g, fits := r.arcs(p, n, 1, laterLimit, askNothing)
	// With the worst arcs gone the rest shows more of them.
	for range 3 {
		if !r.findDrawnOut(g, fits) {
			break
		}
		r.calm(p, n)
		g, fits = r.arcs(p, n, 1, laterLimit, askNothing)
	}
	if err := r.checkBore(p, job); err != nil {
		return model.Trace{}, err
	}
	if err := r.checkParted(g, fits); err != nil {
		return model.Trace{}, err
	}
	t := model.Trace{WidthPx: p.W, HeightPx: p.H, BlurPx: r.blur[bore],
		Outer: g.points(r, fits, outer), Bore: g.points(r, fits, bore)}
	across := r.inclineDoubt(p, n)
	for k := outer; k <= bore; k++ {
		t.Doubt[k] = doubt[k].Add(across[k]).Add(lightDoubt(g.oneSided(fits, k), h.bore.R/(job.BoreMM/2)))
		t.EvenLight[k] = g.litFromOpposite(fits, k)
	}
	t.Doubt[bore] = t.Doubt[bore].Add(r.softDoubt)
	if litFromTheLens(fits) {
		t.Doubt[outer] = t.Doubt[outer].Add(r.leanDoubt(job))
	}
	if r.hasExit {
		t.Exit, t.ExitInDoubt = g.points(r, fits, exit), r.exitSharp < sureExit
	}
	return t, nil
}

// approach moves the curves to the edges near them, from afar and then closer.
func (r *rims) approach(p *Photo, n int) {
	for i, wide := range curveWidening {
		r.widen = wide
		r.moveCurves(p, n, fewArcs, i > 1)
	}
}

// finish finds the blur and where the edges shine, and moves the curves for good.
func (r *rims) finish(p *Photo, n int) {
	blurred, lens := r.findBlur(p, n)
	for again := 1; lens && r.blur[outer] > farBlur && again < mostBlurs; again++ {
		before := r.blur[outer]
		if blurred, lens = r.findBlur(p, n); r.blur[outer] < before*settledBlur {
			break
		}
	}
	r.softDoubt, r.blurTold = model.Sym2{}, lens
	if lens {
		r.shareLens(p, n, blurred)
	}
	_, shining := r.arcs(p, n, fewArcs, laterLimit, askGlint)
	for k := range r.present() {
		r.shining[k] = shiningArcs(shining, fewArcs, k)
	}
	r.rest(p, n, 0.1, 2)
	if r.findFade(p, n) && lens {
		// It was the softness of an even wall.
		_, blurred = r.arcs(p, n, fewArcs, laterLimit, askBlur)
		r.shareLens(p, n, blurred)
	}
}

const (
	// Beyond farBlur, px, a blur isn't told at once: each arc is held to the blur it begins with,
	// and arcs of a faint edge fitted too sharp tell none. It is asked again until it grows by less
	// than a twentieth.
	farBlur, settledBlur, mostBlurs = 1.3 * firstBlur, 1.05, 5
)

// findBlur sets each rim's blur to what its arcs say, which are returned as well; lens says that
// those of the outer edge told it. In a picture far from sharp a rim that doesn't tell has the outer
// edge's: the lens makes all alike.
func (r *rims) findBlur(p *Photo, n int) (blurred []arcFit, lens bool) {
	_, blurred = r.arcs(p, n, fewArcs, laterLimit, askBlur)
	for k := range r.present() {
		b, told := rimBlur(blurred, k)
		switch {
		case told:
			r.blur[k], lens = b, lens || k == outer
		case lens && r.blur[outer] > farBlur:
			r.blur[k] = r.blur[outer]
		}
	}
	return blurred, lens
}

// present is how many rims there are, in the order of the rims' numbers.
func (r *rims) present() int {
	if r.hasExit {
		return nRims
	}
	return exit
}

// fewArcs is the stride while the curves are brought near: a third of the arcs
// tells enough.
const fewArcs = 3

// arcs fits every stride-th arc at the curves as they are.
func (r *rims) arcs(p *Photo, n, stride int, limit float64, ask question) (*blocks, []arcFit) {
	g := r.blocksAt(p, n, stride, stride == 1 && ask == askNothing)
	return g, g.fitArcs(r, limit, ask)
}

// curveWidening is by how much the blur is widened in each step of the curves.
var curveWidening = [...]float64{1.6, 1.3, 1, 1}

// moveCurves moves all curves by the step that their arcs together ask for.
func (r *rims) moveCurves(p *Photo, n, stride int, oval bool) {
	g := r.blocksAt(p, n, stride, false)
	fits := g.fitArcs(r, firstLimit, askStep)
	for k := range r.present() {
		// The exit rim is only wanted for its centre, and often seen in part.
		r.curve[k].follow(g.points(r, fits, k), oval && k != exit)
	}
}

// rimBlur is the weighted median of the arcs' blurs; known says that enough arcs
// tell theirs.
func rimBlur(fits []arcFit, k int) (blur float64, known bool) {
	var v, w []float64
	for _, f := range fits {
		if e := f.edge[k]; f.found[k] && e.blurSD > 0 && !e.saturated {
			v = append(v, e.blur)
			w = append(w, 1/sq(e.blurSD))
		}
	}
	if len(v) < 12 {
		return 0, false
	}
	order := make([]int, len(v))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(v[a], v[b]) })
	half, sum := 0.0, 0.0
	for _, x := range w {
		half += x / 2
	}
	for _, i := range order {
		if sum += w[i]; sum >= half {
			return math.Min(math.Max(v[i], 0.45), 8), true
		}
	}
	return 0, false
}
