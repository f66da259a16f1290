package model

import (
	"fmt"
	"math"
)

// A chamfer that comes out wider or narrower than on the job card was either milled so, or one
// of its edges lies out of place over a part of the rim, which moves the mismatch as well. How likely
// which is, the scatter of the bore edge tells: of 4,797 drawn photos the width is off by more than
// 1.2 px in one of two hundred whose bore edge scatters by 0.2 px or less, in 6 of a hundred at 0.4 to 0.6,
// in 22 at 0.6 to 0.9, and in 39 above.

const (
	// outOfPlace times the square of the bore edge's scatter in px is the chance of an edge out of
	// place, mostOutOfPlace at most: the figures above.
	outOfPlace, mostOutOfPlace = 0.35, 0.4
	// outOfPlacePx is the mean size of what that does to the width, px: of those photos.
	outOfPlacePx = 2.5
	// stretchMoves is what it does to the mismatch, along each axis and as a share of what it does to
	// the width, for a stretch of a quarter of the rim up to all of it, each as likely. A stretch of share
	// s out by h makes the width h s wider and the first wave 2 h sin(pi s)/pi: the root of the mean of
	// half the square of 2 sin(pi s)/(pi s) from s = 1/4 to 1.
	stretchMoves = 0.76
	// stretchScatters is the most that it does, along each axis, as a share of the scatter that is
	// left about the fitted rim, where the stretch is half of the rim: 2/pi to the root of
	// 1/4 - 2/pi², by the root of two.
	stretchScatters = 2.07
)

// widthLine is what the width's departure from the job card says against the mismatch.
func (f *rimFit) widthLine() BudgetLine {
	q := f.fit.P
	scale := q[qScale]
	off, scatter := (q[qWidth]-f.job.ChamferMM)*scale, f.scatter(boreRim)
	card := f.job.WidthDensity(q[qWidth], f.widthU()) / scale
	p := outOfPlaceChance(off, scatter, card)
	u := math.Sqrt(p) * math.Min(stretchMoves*math.Abs(off), stretchScatters*scatter)
	return BudgetLine{Source: SourceWidth, Value: fmt.Sprintf("%.3f mm", q[qWidth]), Distribution: "normal", U: u, Unit: "px",
		Cov: Sym2{1, 0, 1}.Scale(sq(u / scale)), Follows: FollowsCamera,
		Why: "Where this isn't the job card's width, the chamfer was milled otherwise, or one of its edges was taken for another over a part of the hole: the likelier, the more the bore edge scatters."}
}

// outOfPlaceChance is the probability that an edge out of place, and no wrong card and no
// chance, made the chamfer wider than the card's by off px (narrower where negative): Bayes' rule.
// scatter is the bore edge's, px, and card how likely such a width is by the card, per px.
func outOfPlaceChance(off, scatter, card float64) float64 {
	prior := math.Min(outOfPlace*sq(scatter), mostOutOfPlace)
	out := prior * math.Exp(-math.Abs(off)/outOfPlacePx) / (2 * outOfPlacePx)
	return out / (out + (1-prior)*card)
}
