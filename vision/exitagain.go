package vision

import (
	"math"

	"evenrim/model"
)

const (
	// maybeExit is how sharply an exit rim must stand out, as a log-likelihood; up
	// to sureExit chance can do as much, and the fit of all rims has to agree.
	maybeExit, sureExit = 50.0, 150.0
	// footInBlurs is how far a blurred edge's dark foot reaches into the bore. On the
	// scale of equal ratios, on which the regions are told apart, it is wide: taken
	// for wall it would pass for a wall that is dark and light, and the best exit rim
	// be the one that parts the two.
	footInBlurs = 2.0
	// sameExit is how far an exit rim may lie from where it was thought to be, px,
	// without being another.
	sameExit = 4.0
	// wellFound is how little the bore edge has moved where it made no difference to
	// an exit rim that was sure, px.
	wellFound = 1.0
)

// takeExit takes the place for the exit rim that stood out most sharply when the
// hole was found, or none.
func (r *rims) takeExit(h hole) {
	if len(h.exits) > 0 {
		r.setExit(h.exits[0])
	}
}

func (r *rims) setExit(x exitPlace) {
	r.exitSharp = x.sharp
	if r.hasExit = x.sharp >= maybeExit; r.hasExit {
		r.curve[exit] = curve{Circle: x.circle}
	}
}

// exitAgain looks for the exit rim once more, now that the bore edge is known: one
// that was a few pixels off left room for an exit rim that only made up for it. It
// says whether the exit rim is another than before.
func (r *rims) exitAgain(h hole) bool {
	edge := r.curve[bore].Circle
	if moved := math.Hypot(math.Hypot(edge.X-h.bore.X, edge.Y-h.bore.Y), edge.R-h.bore.R); moved < wellFound && r.exitSharp >= sureExit {
		return false
	}
	edge.R -= footInBlurs * r.blur[bore]
	v := h.ring
	var known []rimGuess
	for _, x := range h.exits {
		known = append(known, guessOf(r.curve[outer].Circle, edge, x.circle, v.f))
	}
	exits := v.fine.sharpestExits(guessOf(r.curve[outer].Circle, edge, model.Circle{}, v.f), known, v.expect)
	now := exitPlace{}
	if len(exits) > 0 {
		now = exitPlace{exits[0].g.exitCircle(v.f), exits[0].sharp}
	}
	was, before := r.curve[exit], r.hasExit
	r.setExit(now)
	if before && r.hasExit && math.Hypot(was.X-now.circle.X, was.Y-now.circle.Y) < sameExit {
		r.curve[exit] = was // brought to its edge already
		return false
	}
	return before || r.hasExit
}
