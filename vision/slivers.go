package vision

import "math"

// Where the bore edge comes nearer than a blur to the exit rim (a wall seen as a sliver)
// or to the outer edge (a chamfer that all but vanishes), one edge shows, and is neither.

// beside says whether the bore edge lies too near to rim k to be told from it, with the
// rims at these distances from the bore's centre.
func (r *rims) beside(k int, rho *[nRims]float64) bool {
	return rho[k] > 0 && math.Abs(rho[bore]-rho[k]) <= minGap*r.blur[bore]
}

// sliver says whether what is found there for the bore edge may as well be another rim.
func (r *rims) sliver(rho *[nRims]float64) bool {
	return r.parting[outer] && r.beside(outer, rho) || r.parting[exit] && r.beside(exit, rho)
}

// mostSlivers is the share of arcs that may be slivers of chamfer: where there are more,
// its edges have melted together, and whether that is a reading at all is for the fit
// of all rims to say, which wants every point for it.
const mostSlivers = 0.5

// findSlivers sees, now that the rims are where they belong, in which of n arcs the bore
// edge lies too near to another rim, and says whether there are any that are not to place
// it. An exit rim in doubt parts nothing.
func (r *rims) findSlivers(n int) bool {
	var found [nRims]int
	b := &r.curve[bore]
	for i := range n {
		var rho [nRims]float64
		for k := range r.present() {
			rho[k] = r.curve[k].toward(b.X, b.Y, 2*math.Pi*(float64(i)+0.5)/float64(n))
		}
		for k := range r.present() {
			if k != bore && r.beside(k, &rho) {
				found[k]++
			}
		}
	}
	r.parting[outer] = found[outer] > 0 && float64(found[outer]) <= mostSlivers*float64(n)
	r.parting[exit] = found[exit] > 0 && r.exitSharp >= sureExit
	return r.parting[outer] || r.parting[exit]
}
