package vision

import (
	"math"

	"evenrim/model"
)

// hole is the three rims as circles in photo pixels: where tracing starts.
type hole struct {
	outer, bore, exit model.Circle
	exits             []exitPlace    // where the exit rim may be, likeliest first
	others            []model.Circle // other places for a faint bore edge
	ring              ringView
	score             float64
	seen              evidence
}

// ringView is the ring as the finder saw it, for judging other rims by it.
type ringView struct {
	regions *regionMap
	fine    *regionMap // not smoothed: a wall that sparkles ends where the sparkle does
	expect  expectation
	f       float64 // photo px a sample
}

// exitPlace is a place for the exit rim and how sharply it stands out, as a
// log-likelihood.
type exitPlace struct {
	circle model.Circle
	sharp  float64
}

// What can be in front of a bench camera: wide limits, soft inside.
const (
	minDistanceMM, maxDistanceMM = 45.0, 600.0
	maxViewSlope                 = 0.30 // 17 degrees: 8 of tilt and a hole far off centre
	maxMismatchMM                = 0.35
)

// expectation is what the job card lets expect, relative to the bore's radius.
type expectation struct {
	job        model.JobCard
	ratio      float64 // (radius + width)/radius; 0 = width not known
	spread     float64 // sd of ln(width)
	maxOffset  float64 // largest centre distance of outer and bore edge
	minExit    float64 // smallest exit rim radius
	maxExit    float64
	exitOffset float64
}

func expect(job model.JobCard) expectation {
	r := job.BoreMM / 2
	w := job.ChamferMM
	e := expectation{job: job, spread: 0.35}
	if w == 0 {
		// Not known: edge breaks run from 1 to 20 % of the radius.
		w, e.spread = 0.05*r, 0.9
	}
	e.ratio = 1 + w/r
	e.maxOffset = (maxMismatchMM + w*maxViewSlope) / r
	t, tMax := job.ThicknessMM, job.ThicknessMM
	if t == 0 {
		t, tMax = 0.3*r, 8*r
	}
	e.maxExit = 1 / (1 + t/maxDistanceMM)
	e.minExit = 1 / (1 + tMax/minDistanceMM)
	e.exitOffset = maxViewSlope * tMax / r
	return e
}

// cardWidth is the ratio to which the card's width must be met where it has to tell a chamfer from
// what is none: chamfers cut with a tool that is set right come within it.
const cardWidth = 1.15

// asOnCard says that the chamfer is as wide as on the card.
func (e expectation) asOnCard(g rimGuess) bool {
	return math.Abs(math.Log(g.w/(e.ratio-1))) < math.Log(cardWidth)
}
