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
	// openBore is the share of directions in which a bore without a far end may be as light
	// at its edge as in its middle, and lighter than the chamfer.
	openBore = 0.7
)

const sayLightBore = "What is chamfer and what is the bore's wall can't be told apart here: what was found inside may be the far end of the bore, not the chamfer's own inner edge. Put dark paper under the part or turn the light until both edges of the chamfer can be seen; if the card's chamfer width is wrong, correct it."

// checkBore refuses rims whose bore edge is likely the bore's far end, where the backing is
// light and no far end was seen.
//
// Where the wall is as light as the chamfer that is all that shows inside: the hole is light
// to its middle, and the chamfer looks too wide. Of 5,923 drawn photos 15 were so, and eight
// of them 50 to 290 um off, beyond what they stated. And where the chamfer is as light as the
// face the wall passes for it: the hole is at once as light as in its middle, as if it had no
// wall. Evenly lit scenes drawn for it were read 40 to 230 um off. Of 5,909 drawn photos with
// texture ten are refused for it, and the four of them looked at had been read right, to
// 12 um: they look the same.
func (r *rims) checkBore(p *Photo, job model.JobCard) error {
	if r.hasExit {
		return nil
	}
	o, b := &r.curve[outer].Circle, &r.curve[bore].Circle
	middle, chamfer := p.lightBetween(b, 0, 0.4*b.R), p.lightBetween(b, b.R, o.R)
	wide := job.ChamferMM > 0 && (o.R/b.R-1)*job.BoreMM/2 >= wideChamfer*job.ChamferMM
	if wide && middle >= lightInside*chamfer || r.openShare(p, middle) >= openBore {
		return refuse(model.Unsure, nil, sayLightBore)
	}
	return nil
}

// openShare is the share of directions in which the bore is just within its edge nearly as
// light as in its middle, and lighter than the chamfer there.
func (r *rims) openShare(p *Photo, middle float64) float64 {
	const (
		directions = 120
		lighter    = 1.1
		nearly     = 0.6
		within     = 0.05 // of the radius
	)
	b, clear := &r.curve[bore], math.Max(3*r.blur[bore], 3) // px, beyond the edges' blur
	open := 0
	for i := range directions {
		s, c := math.Sincos(2 * math.Pi * float64(i) / directions)
		along := func(from, to float64) float64 {
			const samples = 6
			sum := 0.0
			for j := range samples {
				d := from + (to-from)*(float64(j)+0.5)/samples
				x := min(max(int(math.Round(b.X+d*c)), 0), p.W-1)
				y := min(max(int(math.Round(b.Y+d*s)), 0), p.H-1)
				sum += p.lightAt(x, y) / samples
			}
			return sum
		}
		outside := r.curve[outer].toward(b.X, b.Y, math.Atan2(s, c)) - clear/2
		inside := along(b.R-clear-within*b.R, b.R-clear)
		if inside > lighter*along(b.R+clear/2, math.Max(outside, b.R+clear/2+1)) && inside > nearly*middle {
			open++
		}
	}
	return float64(open) / directions
}

// lightAt is the linear light of a pixel.
func (p *Photo) lightAt(x, y int) float64 {
	if at := y*p.W + x; p.Gray16 != nil {
		return float64(tones16.light[p.Gray16[at]])
	}
	return float64(tones8.light[p.Gray8[y*p.W+x]])
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
			sum += p.lightAt(x, y)
			n++
		}
	}
	return sum / math.Max(n, 1)
}
