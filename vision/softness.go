package vision

import (
	"math"

	"evenrim/model"
)

// beyondSharp is how far, in the distance between an edge fitted as soft as it looks
// and as sharp as the lens makes it, the true edge lies beyond the sharp fit where the
// light of the wall falls off: TestABoreEdgeLiesBeyondItsSharpFit works it out.
const beyondSharp = 2.0

// shareLens keeps the bore edge from being softer than the outer edge: the lens makes
// both alike. What is softer at the bore edge is light that falls off down the wall,
// and an edge fitted as soft as that lies in the wall; fitted as sharp as the outer
// edge it lies nearer to the truth. By how much the two fits differ, once round the
// rim, is what softness leaves open of the rim's place: a plain step they place alike.
// blurred are the arcs that were asked for their blur.
func (r *rims) shareLens(p *Photo, n int, blurred []arcFit) {
	r.blur[bore] = math.Min(r.blur[bore], r.blur[outer])
	g, sharp := r.arcs(p, n, fewArcs, laterLimit, askNothing)
	_, move := g.between(sharp, blurred, bore)
	// Which way is the slant's and the light's to say, and nobody asks them: both axes
	// are in doubt alike. What makes the edge soft may also be its own rounding, with the truth
	// where the sharp fit is: anything up to that far beyond is as likely, a third of its square.
	v := sq(beyondSharp*move.Norm()) / 3 / 2
	r.softDoubt = model.Sym2{XX: v, YY: v}
}

// between returns by how much rim k of the arcs of b lies outside that of a, and how
// far its centre is off, px in photo axes.
func (g *blocks) between(a, b []arcFit, k int) (outwards float64, move model.Vec) {
	const (
		sure  = 1.0 // px: an arc that is less sure of itself is no witness
		floor = 0.1 // px: no arc is surer than this of how edges differ
	)
	var normal [9]float64
	var right [3]float64
	for i := range a {
		if !a[i].found[k] || !b[i].found[k] || a[i].edge[k].sd > sure {
			continue
		}
		s, c := math.Sincos(g.angle(i))
		row := [3]float64{1, c, s}
		w := 1 / (sq(a[i].edge[k].sd) + sq(floor))
		d := math.Max(math.Min(b[i].edge[k].shift-a[i].edge[k].shift, 2), -2)
		for x := range row {
			for y := range row {
				normal[3*x+y] += w * row[x] * row[y]
			}
			right[x] += w * row[x] * d
		}
	}
	x, ok := solveSmall(normal[:], right[:], 3)
	if !ok {
		return 0, model.Vec{}
	}
	return x[0], model.Vec{X: x[1], Y: x[2]}
}
