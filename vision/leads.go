package vision

import (
	"math"

	"evenrim/vision/columns"
)

// A step of an arc's fit mostly leads so near to its edges that a fit from there takes half
// as long as one from afar. Where the curves have hardly moved since all arcs were last asked
// for a step, that step serves as well as a new one.

// lead is where a step of an arc led: for each group of edges that were fitted together,
// under its outermost rim.
type lead struct {
	rims [nRims]int // in that group; 0 = it led nowhere
	edge [nRims]edgeFit
	at   [nRims]edgeState
	rho  [nRims]float64 // of the curves from the bore's centre
}

// keepLead keeps where the step of a group's fit led, if all arcs are asked for theirs.
func (r *rims) keepLead(g *blocks, arc int, ask question, m *edgeModel, rho *[nRims]float64, edges *[nRims]edgeFit, ok bool, at *edgeState) {
	if ask != askStep || g.stride != 1 {
		return
	}
	if l, first := &r.leads[arc], m.rims[0]; ok {
		l.rims[first], l.at[first] = len(m.rims), *at
		for _, k := range m.rims {
			l.edge[k], l.rho[k] = edges[k], rho[k]
		}
	}
}

// leadsNear returns where a whole arc's fit may begin because the last step led there, seen
// from the curves as they are now; ok says that there is such a place.
func (r *rims) leadsNear(g *blocks, arc int, ask question, m *edgeModel, rho *[nRims]float64) (at edgeState, ok bool) {
	if ask != askNothing || g.stride != 1 || len(r.leads) != g.n {
		return at, false
	}
	l, first := &r.leads[arc], m.rims[0]
	if l.rims[first] != len(m.rims) {
		return at, false
	}
	step := l.edge
	at = l.at[first]
	for i, k := range m.rims {
		moved := l.rho[k] - rho[k]
		at.shift[i] += moved
		step[k].shift += moved
	}
	// The step saw a part of the arc.
	return at, m.near(&step, r.glancePart(g.n))
}

// near says that a step over a part of the pixels has led so near to edges so plain that
// there is nothing to look for further off.
func (m *edgeModel) near(step *[nRims]edgeFit, part float64) bool {
	const plain, within = 0.1, 0.7 // px; blurs
	for _, k := range m.rims {
		if step[k].sd*math.Sqrt(part) > plain || math.Abs(step[k].shift) > within*m.blur[k] {
			return false
		}
	}
	return true
}

// settleFrom fits from at, which is near to where the edges belong, in light that is not
// saturated.
func (m *edgeModel) settleFrom(px *columns.Columns, at *edgeState) (out [nRims]edgeFit, ok bool) {
	out, ok = m.run(px, at, [nRims + 1]float64{}, how{first: 2, passes: mostPasses})
	return out, ok && m.believes(out)
}
