package vision

import (
	"math"
	"math/bits"
	"slices"

	"evenrim/model"
)

// rimCircle is a circle that ridges line up on.
type rimCircle struct {
	model.Circle         // ring pixels
	cover        float64 // share of the directions with a ridge on it
	slope        float64 // median steepness of those ridges
}

// circleSearch says where circles are looked for: centres within reach of the
// ring's centre on a grid of the given pitch, radii from rMin to rMax.
type circleSearch struct {
	x, y, reach, pitch float64
	rMin, rMax         float64
	bin                float64 // width of a radius bin, px
}

// search returns the circle with ridges in the most directions. For each centre
// the ridges' distances from it fall into radius bins, each with a bit for every
// direction: exhaustive, and no chance decides.
func (g *ring) search(cs circleSearch, used []bool) (rimCircle, bool) {
	type spot struct {
		x, y float32 // from the search's middle
		word uint8
		bit  uint64
	}
	spots := make([]spot, 0, len(g.ridges))
	for i, e := range g.ridges {
		if used != nil && used[i] {
			continue
		}
		d := e.direction()
		spots = append(spots, spot{float32(e.x - cs.x), float32(e.y - cs.y), uint8(d >> 6), 1 << (d & 63)})
	}
	nBins := int((cs.rMax-cs.rMin)/cs.bin) + 2
	steps := int(cs.reach/cs.pitch + 0.5)
	type peak struct {
		score, ix, bin int
	}
	peaks := make([]peak, 2*steps+1) // of each row of centres
	rMin, perBin := float32(cs.rMin), float32(1/cs.bin)
	spread(len(peaks), func(lo, hi int) {
		seen := make([][2]uint64, nBins)
		for row := lo; row < hi; row++ {
			iy := row - steps
			best := peak{}
			for ix := -steps; ix <= steps; ix++ {
				if ix*ix+iy*iy > steps*steps {
					continue
				}
				cx, cy := float32(float64(ix)*cs.pitch), float32(float64(iy)*cs.pitch)
				clear(seen)
				for i := range spots {
					e := &spots[i]
					dx, dy := e.x-cx, e.y-cy
					b := int((float32(math.Sqrt(float64(dx*dx+dy*dy))) - rMin) * perBin)
					// Bins overlap by half: an edge between two bins counts in both.
					if uint(b) < uint(nBins-1) {
						seen[b][e.word&1] |= e.bit
						seen[b+1][e.word&1] |= e.bit
					}
				}
				for b := 1; b < nBins-1; b++ {
					if n := ones(seen[b]); n > best.score {
						best = peak{n, ix, b}
					}
				}
			}
			peaks[row] = best
		}
	})
	top := 0
	for i, p := range peaks {
		if p.score > peaks[top].score {
			top = i
		}
	}
	p := peaks[top]
	return rimCircle{Circle: model.Circle{X: cs.x + float64(p.ix)*cs.pitch, Y: cs.y + float64(top-steps)*cs.pitch,
		R: cs.rMin + float64(p.bin)*cs.bin}}, p.score > directions/4
}

// directions is how many directions a circle's cover is counted in.
const directions = 128

// ones counts the bits that are set.
func ones(b [2]uint64) int { return bits.OnesCount64(b[0]) + bits.OnesCount64(b[1]) }

// direction is the number of the ridge's direction.
func (e ridge) direction() int { return e.ray * directions / ringRays }

// refine fits the circle to the ridges near it, dropping those that are off, and
// measures how much of it is covered. band is the half width in px to start with.
func (g *ring) refine(c rimCircle, band float64, used []bool) rimCircle {
	for pass := range 6 {
		b := math.Max(band*math.Pow(0.7, float64(pass)), 1.2)
		var pts []model.Vec
		for i, e := range g.ridges {
			if used != nil && used[i] {
				continue
			}
			if math.Abs(math.Hypot(e.x-c.X, e.y-c.Y)-c.R) < b {
				pts = append(pts, model.Vec{X: e.x, Y: e.y})
			}
		}
		fit, err := model.FitCircle(pts)
		if err != nil || math.Abs(fit.R-c.R) > 3*band || math.Hypot(fit.X-c.X, fit.Y-c.Y) > 3*band {
			break
		}
		c.Circle = fit
	}
	return g.measure(c)
}

// measure sets a circle's cover and slope.
func (g *ring) measure(c rimCircle) rimCircle {
	var seen [directions]bool
	var slopes []float64
	for _, e := range g.ridges {
		if math.Abs(math.Hypot(e.x-c.X, e.y-c.Y)-c.R) < 1.5 {
			seen[e.direction()] = true
			slopes = append(slopes, math.Abs(e.slope))
		}
	}
	n := 0
	for _, s := range seen {
		if s {
			n++
		}
	}
	c.cover, c.slope = float64(n)/directions, 0
	if len(slopes) > 0 {
		slices.Sort(slopes)
		c.slope = slopes[len(slopes)/2]
	}
	return c
}

// take marks the ridges on c as used.
func (g *ring) take(c rimCircle, used []bool) {
	for i, e := range g.ridges {
		if math.Abs(math.Hypot(e.x-c.X, e.y-c.Y)-c.R) < 2 {
			used[i] = true
		}
	}
}
