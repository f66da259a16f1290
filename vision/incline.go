package vision

import "evenrim/model"

// A chamfer may be lighter at one of its edges than at the other: near the face it mirrors
// what stands beyond the hole, further in the chamfer across. Where it is about as light as
// the face, a fit of even light takes that for a step and places the outer edge up to 2 px
// inside, on one side of the hole more than on the other. Nothing in a picture tells light
// that changes across the chamfer from a chamfer that begins elsewhere, and letting it change
// makes as many photos worse as better (docs/tried.md): both are likely, and how far apart
// they place a rim is in doubt.

// acrossChamfer is by how much of its light a chamfer may change from edge to edge, as one
// standard deviation: path-traced ones are 0.90 to 1.34 times as light in their inner half
// as in their outer, and their edges differ by twice as much: a range of some four of these.
const acrossChamfer = 0.2

// inclineDoubt returns how far outer and bore edge, in this order, may have been moved by
// light that changes across the chamfer, px²: the curves are moved on, to where they rest if it
// may. The truth is as likely anywhere on the way: a third of the square.
func (r *rims) inclineDoubt(p *Photo, n int) (doubt [exit]model.Sym2) {
	const still, mostMoves = 0.02, 16 // px; it is a long way where the chamfer is as light as the face
	inclined := *r
	inclined.incline = acrossChamfer
	inclined.rest(p, n, still, mostMoves)
	for k := range doubt {
		from, to := r.curve[k], inclined.curve[k]
		doubt[k] = model.Vec{X: to.X - from.X, Y: to.Y - from.Y}.Outer().Scale(1.0 / 3)
	}
	return doubt
}
