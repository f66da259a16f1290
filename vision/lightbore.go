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
	// at its edge as in its middle, and no darker than the chamfer; in half of these it has to
	// be lighter than the chamfer.
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
	if wide && middle >= lightInside*chamfer || r.isOpen(p, middle) {
		return refuse(model.Unsure, nil, sayLightBore)
	}
	return nil
}

// isOpen says whether the bore is just within its edge nearly as light as in its middle, as if
// it had no wall, and not darker than the chamfer: in most of the directions in which the
// chamfer is broad enough to show its light between its edges' blurs. Under a slant the far end
// hides on one side behind the near one, and what lies there is as light as the middle, too.
func (r *rims) isOpen(p *Photo, middle float64) bool {
	const (
		directions = 120
		fewest     = 0.25 // of the directions
		lighter    = 1.1
		darker     = 0.9
		nearly     = 0.6
		within     = 0.05 // of the radius
	)
	b, clear := &r.curve[bore], math.Max(3*r.blur[bore], 3) // px, beyond the edges' blur
	open, plain, broad := 0, 0, 0
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
		outside := r.curve[outer].toward(b.X, b.Y, math.Atan2(s, c)) - math.Max(2*r.blur[outer], 1.5)
		if outside < b.R+clear/2+1 {
			continue
		}
		broad++
		inside, chamfer := along(b.R-clear-within*b.R, b.R-clear), along(b.R+clear/2, outside)
		if inside < nearly*middle || inside < darker*chamfer {
			continue
		}
		open++
		if inside > lighter*chamfer {
			plain++
		}
	}
	return float64(broad) >= fewest*directions && float64(open) >= openBore*float64(broad) && float64(plain) >= openBore/2*float64(broad)
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
