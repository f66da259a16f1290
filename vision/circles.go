package vision

import (
	"cmp"
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

// centreOnGrid is a centre that is looked at, and how many directions the best circle
// about it was found to have ridges in.
type centreOnGrid struct{ ix, iy, score, bin int }

// before puts the centre of the better circle first, and of equals the one met first row by
// row.
func (c centreOnGrid) before(o centreOnGrid) bool {
	return cmp.Or(cmp.Compare(o.score, c.score), cmp.Compare(c.iy, o.iy), cmp.Compare(c.ix, o.ix)) < 0
}

// circleHunt looks for one circle after another, while ridges are taken away. What a centre
// had is the most that it can still have, so that after the first time few are looked at.
type circleHunt struct {
	circleSearch
	bins    int
	centres []centreOnGrid
}

func (cs circleSearch) hunt() *circleHunt {
	h := &circleHunt{circleSearch: cs, bins: int((cs.rMax-cs.rMin)/cs.bin) + 2}
	steps := int(cs.reach/cs.pitch + 0.5)
	for iy := -steps; iy <= steps; iy++ {
		for ix := -steps; ix <= steps; ix++ {
			if ix*ix+iy*iy <= steps*steps {
				h.centres = append(h.centres, centreOnGrid{ix: ix, iy: iy, score: directions})
			}
		}
	}
	return h
}

// spot is where a ridge lies from the hunt's middle, and its direction as a bit of two words.
type spot struct {
	x, y float32
	word uint8
	bit  uint64
}

// next returns the circle with the unused ridges in the most directions. For each centre
// the ridges' distances from it fall into radius bins, each with a bit for every
// direction: exhaustive, and no chance decides.
func (h *circleHunt) next(ridges []ridge, used []bool) (rimCircle, bool) {
	spots := make([]spot, 0, len(ridges))
	for i, e := range ridges {
		if !used[i] {
			d := e.direction()
			spots = append(spots, spot{float32(e.x - h.x), float32(e.y - h.y), uint8(d >> 6), 1 << (d & 63)})
		}
	}
	slices.SortFunc(h.centres, func(a, b centreOnGrid) int { return cmp.Compare(b.score, a.score) })
	best := centreOnGrid{}
	for from := 0; from < len(h.centres) && h.centres[from].score >= best.score; {
		// Those that may be as good are looked at together, as many as keep all processors busy.
		alike := h.centres[from:min(from+centresAtOnce, len(h.centres))]
		spread(len(alike), func(lo, hi int) {
			seen := make([][2]uint64, h.bins)
			for i := lo; i < hi; i++ {
				h.look(&alike[i], spots, seen)
			}
		})
		for _, c := range alike {
			if c.before(best) {
				best = c
			}
		}
		from += len(alike)
	}
	return rimCircle{Circle: model.Circle{X: h.x + float64(best.ix)*h.pitch, Y: h.y + float64(best.iy)*h.pitch,
		R: h.rMin + float64(best.bin)*h.bin}}, best.score > directions/4
}

// centresAtOnce is how many centres are looked at before it is asked whether others can
// still be better.
const centresAtOnce = 64

// look finds the best circle about c; seen is scratch space.
func (h *circleHunt) look(c *centreOnGrid, spots []spot, seen [][2]uint64) {
	rMin, perBin := float32(h.rMin), float32(1/h.circleSearch.bin)
	cx, cy := float32(float64(c.ix)*h.pitch), float32(float64(c.iy)*h.pitch)
	clear(seen)
	for i := range spots {
		e := &spots[i]
		dx, dy := e.x-cx, e.y-cy
		b := int((float32(math.Sqrt(float64(dx*dx+dy*dy))) - rMin) * perBin)
		// Bins overlap by half: an edge between two bins counts in both.
		if uint(b) < uint(len(seen)-1) {
			seen[b][e.word&1] |= e.bit
			seen[b+1][e.word&1] |= e.bit
		}
	}
	c.score, c.bin = 0, 0
	for b := 1; b < len(seen)-1; b++ {
		if n := ones(seen[b]); n > c.score {
			c.score, c.bin = n, b
		}
	}
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
			if !used[i] && math.Abs(math.Hypot(e.x-c.X, e.y-c.Y)-c.R) < b {
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
