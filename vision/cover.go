package vision

import (
	"math"

	"evenrim/model"
)

const (
	// coverBins is how many directions a search circle is checked in: each has its
	// bit in two words.
	coverBins = 96
	// leastCover is the share of them that makes a circle worth a closer look.
	leastCover = 0.3
	// leastRadius is the smallest circle looked for, search pixels.
	leastRadius = 8
)

// coverage finds circles with edges square to them all round. It is scratch space
// for one goroutine.
type coverage struct {
	edges []gradientPixel
	near  []gradientPixel // of these, those that can be square to a circle about the place looked at
	rMax  int
	seen  [][2]uint64 // by radius, a bit for each direction
	sum   []float64
}

func newCoverage(pl *plane, edges []gradientPixel) *coverage {
	rMax := int(0.56 * float64(max(pl.w, pl.h)))
	return &coverage{edges: edges, near: make([]gradientPixel, 0, len(edges)), rMax: rMax, seen: make([][2]uint64, rMax+2), sum: make([]float64, rMax+2)}
}

// best finds the circle about (cx, cy), give or take a few pixels, with edges
// square to it in the most directions.
func (c *coverage) best(cx, cy float64) holeGuess {
	const far = 3
	c.keepNear(float32(cx), float32(cy), far*math.Sqrt2)
	top := holeGuess{}
	for dy := -far; dy <= far; dy += far {
		for dx := -far; dx <= far; dx += far {
			if g := c.about(cx+float64(dx), cy+float64(dy)); g.excess > top.excess {
				top = g
			}
		}
	}
	return top
}

// squareness is the square of the cosine of 20 degrees, within which an edge is square to a
// circle.
const squareness = 0.88

// keepNear keeps the edges that may be square to a circle about a centre up to far from
// (cx, cy): such a step makes the way to the edge shorter, and its part along the gradient
// longer, by no more than itself.
func (c *coverage) keepNear(cx, cy, far float32) {
	cosine := float32(math.Sqrt(squareness))
	slack := 1.01 * far * (1 + cosine)
	c.near = c.near[:0]
	for i := range c.edges {
		e := &c.edges[i]
		x, y := e.x-cx, e.y-cy
		along := x*e.nx + y*e.ny
		if least := cosine*float32(math.Sqrt(float64(x*x+y*y))) - slack; least <= 0 || along*along >= least*least {
			c.near = append(c.near, *e)
		}
	}
}

// about returns, of the edges kept near, the radius about (cx, cy) with edges in the most directions.
func (c *coverage) about(cx, cy float64) holeGuess {
	clear(c.seen)
	far := float32(c.rMax * c.rMax)
	for i := range c.near {
		e := &c.near[i]
		x, y := e.x-float32(cx), e.y-float32(cy)
		r2 := x*x + y*y
		if r2 < leastRadius*leastRadius || r2 >= far {
			continue
		}
		if along := x*e.nx + y*e.ny; along*along < squareness*r2 {
			continue
		}
		bin := int(coverBins*turnOf(x, y)) % coverBins
		word, bit := bin>>6, uint64(1)<<(bin&63)
		// An edge counts for its neighbours' radii too.
		k := int(math.Sqrt(float64(r2)) + 0.5)
		c.seen[k-1][word] |= bit
		c.seen[k][word] |= bit
		c.seen[k+1][word] |= bit
	}
	// The running sum of shares, for the mean over a range of radii.
	best, sum := holeGuess{}, c.sum
	for r := leastRadius; r <= c.rMax; r++ {
		sum[r+1] = sum[r] + float64(ones(c.seen[r]))/coverBins
	}
	for r := leastRadius; r <= c.rMax; r++ {
		share := sum[r+1] - sum[r]
		lo, hi := max(r*2/5, leastRadius), min(2*r, c.rMax)
		if excess := share - (sum[hi+1]-sum[lo])/float64(hi+1-lo); excess > best.excess {
			best = holeGuess{model.Circle{X: cx, Y: cy, R: float64(r)}, share, excess}
		}
	}
	return best
}

// turnOf returns the direction of (x, y) in turns, 0 to 1, by a rational arc
// tangent that is good to 0.001 turns: a tenth of a direction.
func turnOf(x, y float32) float32 {
	ax, ay := max(x, -x), max(y, -y)
	a := min(ax, ay) / max(ax, ay)
	t := a * (0.159155 / (1 + 0.28125*a*a)) // arctan(a) = a/(1 + 0.28125 a²), from memory
	if ay > ax {
		t = 0.25 - t
	}
	if x < 0 {
		t = 0.5 - t
	}
	if y < 0 {
		t = 1 - t
	}
	return t
}
