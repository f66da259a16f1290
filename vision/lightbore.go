package vision

import (
	"math"

	"evenrim/model"
)

const (
	// lightInside is the light in the middle of the hole, as a share of the chamfer's,
	// from which the bore's far end should be seen.
	lightInside = 0.5
	// wideChamfer is how much wider than on the job card a chamfer looks whose bore edge
	// is really the far end.
	wideChamfer = 1.3
)

const sayLightBore = "The chamfer and the bore's wall look alike: what was found inside may be the far end of the bore, not the chamfer's own inner edge. Put dark paper under the part or turn the light until both edges of the chamfer can be seen; if the card's chamfer width is wrong, correct it."

// checkBore refuses rims whose bore edge is likely the bore's far end: where the wall is
// as light as the chamfer and the backing is light too, that is all that shows inside.
// Then the hole is light to its middle without a far end, and the chamfer looks too wide.
// Of 5,923 drawn photos 15 were so, and eight of them 50 to 290 um off, beyond what they
// stated.
func (r *rims) checkBore(p *Photo, job model.JobCard) error {
	o, b := &r.curve[outer].Circle, &r.curve[bore].Circle
	wide := (o.R/b.R - 1) * job.BoreMM / 2
	if r.hasExit || job.ChamferMM == 0 || wide < wideChamfer*job.ChamferMM {
		return nil
	}
	if p.lightBetween(b, 0, 0.4*b.R) < lightInside*p.lightBetween(b, b.R, o.R) {
		return nil
	}
	return refuse(model.Unsure, nil, sayLightBore)
}

// lightBetween is the mean linear light of the photo at distances from to to of c's
// centre, px; of a sample of its pixels.
func (p *Photo) lightBetween(c *model.Circle, from, to float64) float64 {
	step := max(1, int(to/50))
	sum, n := 0.0, 0.0
	for y := max(int(c.Y-to), 0); y <= min(int(c.Y+to), p.H-1); y += step {
		for x := max(int(c.X-to), 0); x <= min(int(c.X+to), p.W-1); x += step {
			if d := math.Hypot(float64(x)-c.X, float64(y)-c.Y); d < from || d > to {
				continue
			}
			if at := y*p.W + x; p.Gray16 != nil {
				sum += float64(tones16.light[p.Gray16[at]])
			} else {
				sum += float64(tones8.light[p.Gray8[at]])
			}
			n++
		}
	}
	return sum / math.Max(n, 1)
}
