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
	laterLimit = 2.5
)

// refine traces the rims from circles near them.
func refine(p *Photo, h hole) (model.Trace, error) {
	r := &rims{}
	for k := range nRims {
		r.blur[k] = firstBlur
	}
	r.curve[outer].Circle, r.curve[bore].Circle = h.outer, h.bore
	n := int(math.Min(math.Max(2*math.Pi*h.bore.R/5, 96), 240))
	r.chooseExit(p, h, n)

	// First the curves, from afar and then closer; then the blur, the glints, and
	// the places for good.
	for i, wide := range curveWidening {
		r.widen = wide
		r.moveCurves(p, n, i > 1)
	}
	g, fits := r.arcs(p, n, laterLimit, askBlur)
	for k := range r.present() {
		r.blur[k] = rimBlur(fits, k, r.blur[k])
	}
	for range 2 {
		g, fits = r.arcs(p, n, laterLimit, askGlint)
		for k := range r.present() {
			r.glint[k] = g.rimGlint(fits, k)
			r.shining[k] = shiningArcs(fits, k)
		}
		r.moveCurves(p, n, true)
	}
	g, fits = r.arcs(p, n, laterLimit, askNothing)
	t := model.Trace{WidthPx: p.W, HeightPx: p.H, BlurPx: r.blur[bore],
		Outer: g.points(r, fits, outer), Bore: g.points(r, fits, bore)}
	if r.hasExit {
		t.Exit = g.points(r, fits, exit)
	}
	return t, nil
}

// present is how many rims there are, in the order of the rims' numbers.
func (r *rims) present() int {
	if r.hasExit {
		return nRims
	}
	return exit
}

// arcs fits all arcs at the curves as they are.
func (r *rims) arcs(p *Photo, n int, limit float64, ask question) (*blocks, []arcFit) {
	reach := math.Max(7, 5*slices.Max(r.blur[:]))
	g := collect(p, r, n, reach)
	return g, g.fitArcs(r, reach, limit, ask)
}

// curveWidening is by how much the blur is widened in each step of the curves.
var curveWidening = [...]float64{2.4, 1.7, 1.2, 1}

// moveCurves moves all curves by the step that their arcs together ask for.
func (r *rims) moveCurves(p *Photo, n int, oval bool) {
	reach := math.Max(7, 5*slices.Max(r.blur[:]))
	g := collect(p, r, n, reach)
	fits := g.fitArcs(r, reach, firstLimit, askStep)
	for k := range r.present() {
		// The exit rim is only wanted for its centre, and often seen in part.
		r.curve[k].follow(g.points(r, fits, k), oval && k != exit)
	}
}

const (
	// sureExit is how sharply an exit rim stands out when nothing else does so by
	// chance, as a log-likelihood; maybeExit is what a fading wall can reach.
	sureExit, maybeExit = 100.0, 45.0
)

// chooseExit takes the place for the exit rim that stands out most sharply, or
// none: where the bore's wall fades into the dark, the end of its sparkle looks
// like a rim in a coarse picture, but has no edge. A place in doubt must show an
// edge that its arcs agree on.
func (r *rims) chooseExit(p *Photo, h hole, n int) {
	for _, x := range h.exits {
		t := *r
		t.hasExit = true
		t.curve[exit].Circle = x.circle
		if x.sharp < maybeExit {
			return
		}
		if x.sharp < sureExit {
			for _, wide := range curveWidening {
				t.widen = wide
				t.moveCurves(p, n, false)
			}
			g, fits := t.arcs(p, n, laterLimit, askNothing)
			if !t.support(g, fits, exit).holds() {
				continue
			}
		}
		r.hasExit, r.curve[exit] = true, curve{Circle: x.circle}
		return
	}
}

// support is how well a rim's arcs bear out its curve.
type support struct {
	visible, found int     // arcs in which the edge could be and was found
	scatter        float64 // robust sd of the places about the curve, px
	limit          float64
}

// holds says whether the curve follows an edge rather than noise. Places strewn
// evenly within the limit have a robust sd of 0.74 of it, give or take 1.2 of that
// over the root of their number; an edge is to be three such below.
func (s support) holds() bool {
	if s.found < 24 || s.found < s.visible/4 {
		return false
	}
	return s.scatter < 0.7*s.limit*(1-3.6/math.Sqrt(float64(s.found)))
}

func (r *rims) support(g *blocks, fits []arcFit, k int) support {
	s := support{limit: laterLimit}
	b := &r.curve[bore]
	var off []float64
	for i, f := range fits {
		th := g.angle(i)
		if k == exit {
			rho := r.curve[exit].toward(b.X, b.Y, th)
			if rho == 0 || rho > b.toward(b.X, b.Y, th)-minGap*r.blur[bore] {
				continue
			}
		}
		s.visible++
		if f.found[k] && f.edge[k].sd < strongSD {
			s.found++
			off = append(off, f.edge[k].shift)
		}
	}
	mid := slices.Clone(off)
	slices.Sort(mid)
	for i := range off {
		off[i] -= mid[len(mid)/2]
	}
	s.scatter = 1.4826 * medianAbs(off)
	return s
}

// rimBlur is the weighted median of the arcs' blurs.
func rimBlur(fits []arcFit, k int, before float64) float64 {
	var v, w []float64
	for _, f := range fits {
		if e := f.edge[k]; f.found[k] && e.blurSD > 0 && !e.saturated {
			v = append(v, e.blur)
			w = append(w, 1/sq(e.blurSD))
		}
	}
	if len(v) < 12 {
		return before
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
			return math.Min(math.Max(v[i], 0.45), 8)
		}
	}
	return before
}
