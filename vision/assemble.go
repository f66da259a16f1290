package vision

import (
	"math"

	"evenrim/model"
)

// hole is the three rims as circles in photo pixels: where tracing starts.
type hole struct {
	outer, bore, exit model.Circle
	hasExit           bool
	score             float64
}

// assembly is a way to read a ring's circles as the rims of one hole.
type assembly struct {
	outer, bore, exit int // indices into the circles; exit -1 where none fits
	score             float64
}

// What can be in front of a bench camera: wide limits, soft inside.
const (
	minDistanceMM, maxDistanceMM = 45.0, 600.0
	maxViewSlope                 = 0.30 // 17 degrees: 8 of tilt and a hole far off centre
	maxMismatchMM                = 0.35
)

// expectation is what the job card lets expect, relative to the bore's radius.
type expectation struct {
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
	e := expectation{spread: 0.35}
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

// assemble picks the reading of the circles that explains most: sum of covers,
// less what the job card finds unlikely.
func (e expectation) assemble(cs []rimCircle) (assembly, bool) {
	best := assembly{outer: -1, score: math.Inf(-1)}
	for o := range cs {
		for b := range cs {
			if b == o || cs[b].R >= cs[o].R {
				continue
			}
			ratio := cs[o].R/cs[b].R - 1
			off := math.Hypot(cs[o].X-cs[b].X, cs[o].Y-cs[b].Y) / cs[b].R
			if ratio <= 0 || off > e.maxOffset {
				continue
			}
			z := math.Log(ratio/(e.ratio-1)) / e.spread
			if math.Abs(z) > 3.2 {
				continue
			}
			s := cs[o].cover + cs[b].cover - 0.06*z*z
			exit, gain := -1, 0.0
			for x := range cs {
				if x == o || x == b {
					continue
				}
				q := cs[x].R / cs[b].R
				xoff := math.Hypot(cs[x].X-cs[b].X, cs[x].Y-cs[b].Y) / cs[b].R
				if q < e.minExit || q > e.maxExit || xoff > e.exitOffset {
					continue
				}
				if g := 0.8 * cs[x].cover; g > gain {
					exit, gain = x, g
				}
			}
			s += gain
			if s > best.score {
				best = assembly{o, b, exit, s}
			}
		}
	}
	return best, best.outer >= 0
}
