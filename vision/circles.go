package vision

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"evenrim/model"
)

// ridge is a place in the ring round a hole where the grey value changes fastest
// along the ray from the ring's centre.
type ridge struct {
	x, y  float64 // plane pixels
	theta float64 // direction from the ring's centre, image axes (y down)
	rho   float64
	slope float64 // signed change per pixel outwards
}

// ring is the neighbourhood of a hole, cut into rays.
type ring struct {
	pl     *plane
	cx, cy float64
	r      float64 // rough radius, plane pixels
	ridges []ridge
}

const (
	ringRays = 256
	// ridgesPerRay is how many of a ray's steepest ridges take part: the three
	// rims and a spare. With more, tool marks fill any circle by chance.
	ridgesPerRay = 4
)

// newRing unrolls the plane from 0.6 to 1.4 radii of c and collects the ridges on
// each ray. A machined edge is smooth along the rim and its surroundings are not:
// raySD is how many rays, as an sd, are averaged before an edge is looked for.
func newRing(pl *plane, c model.Circle, raySD float64) *ring {
	g := &ring{pl: pl, cx: c.X, cy: c.Y, r: c.R}
	rho0 := 0.6 * c.R
	n := int(0.8 * c.R)
	strip := make([]float32, ringRays*n)
	for i := range ringRays {
		s, co := math.Sincos(2 * math.Pi * float64(i) / ringRays)
		row := strip[i*n:][:n]
		for k := range row {
			rho := rho0 + float64(k)
			row[k] = pl.at(c.X+rho*co, c.Y+rho*s)
		}
	}
	strip = blurStrip(strip, n, gaussKernel(raySD), gaussKernel(1))
	var onRay []ridge
	for i := range ringRays {
		theta := 2 * math.Pi * float64(i) / ringRays
		s, co := math.Sincos(theta)
		row := strip[i*n:][:n]
		next, last := strip[(i+1)%ringRays*n:][:n], strip[(i+ringRays-1)%ringRays*n:][:n]
		d := func(k int) float64 { return float64(row[k+1]-row[k-1]) / 2 }
		onRay = onRay[:0]
		for k := 2; k < n-2; k++ {
			m, before, after := math.Abs(d(k)), math.Abs(d(k-1)), math.Abs(d(k+1))
			if m < before || m <= after || m < 2e-4 {
				continue
			}
			shift := 0.0
			if den := before - 2*m + after; den < 0 {
				shift = math.Min(math.Max(0.5*(before-after)/den, -0.5), 0.5)
			}
			rho := rho0 + float64(k) + shift
			x, y := c.X+rho*co, c.Y+rho*s
			if x < 2 || y < 2 || x > float64(pl.w-3) || y > float64(pl.h-3) {
				continue
			}
			// Tool marks cross the ray at any angle, a rim about squarely.
			across := float64(next[k]-last[k]) / (2 * 2 * math.Pi / ringRays * rho)
			if math.Abs(across) > 0.6*m {
				continue
			}
			onRay = append(onRay, ridge{x, y, theta, rho, d(k)})
		}
		slices.SortFunc(onRay, func(a, b ridge) int { return cmp.Compare(math.Abs(b.slope), math.Abs(a.slope)) })
		g.ridges = append(g.ridges, onRay[:min(len(onRay), ridgesPerRay)]...)
	}
	return g
}

// blurStrip smooths a strip of ringRays rows of n along the rays' numbers, which
// go round, and along the rays.
func blurStrip(strip []float32, n int, round, along []float32) []float32 {
	tmp, out := make([]float32, len(strip)), make([]float32, len(strip))
	h := len(round) / 2
	for i := range ringRays {
		dst := tmp[i*n:][:n]
		for j, w := range round {
			for k, v := range strip[(i+j-h+ringRays)%ringRays*n:][:n] {
				dst[k] += w * v
			}
		}
	}
	h = len(along) / 2
	for i := range ringRays {
		src, dst := tmp[i*n:][:n], out[i*n:][:n]
		for k := range dst {
			for j, w := range along {
				dst[k] += w * src[min(max(k+j-h, 0), n-1)]
			}
		}
	}
	return out
}

// rimCircle is a circle that ridges line up on.
type rimCircle struct {
	model.Circle         // plane pixels
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
	nBins := int((cs.rMax-cs.rMin)/cs.bin) + 2
	seen := make([][2]uint64, nBins)
	best, bestScore := rimCircle{}, 0
	steps := int(cs.reach/cs.pitch + 0.5)
	for iy := -steps; iy <= steps; iy++ {
		for ix := -steps; ix <= steps; ix++ {
			if ix*ix+iy*iy > steps*steps {
				continue
			}
			cx, cy := cs.x+float64(ix)*cs.pitch, cs.y+float64(iy)*cs.pitch
			clear(seen)
			for i, e := range g.ridges {
				if used != nil && used[i] {
					continue
				}
				dx, dy := e.x-cx, e.y-cy
				b := int((math.Sqrt(dx*dx+dy*dy) - cs.rMin) / cs.bin)
				if b < 0 || b >= nBins-1 {
					continue
				}
				ray := uint(e.theta*(128/(2*math.Pi))+0.5) & 127
				seen[b][ray>>6] |= 1 << (ray & 63)
				// Bins overlap by half: an edge between two bins counts in both.
				seen[b+1][ray>>6] |= 1 << (ray & 63)
			}
			for b := 1; b < nBins-1; b++ {
				if n := bits.OnesCount64(seen[b][0]) + bits.OnesCount64(seen[b][1]); n > bestScore {
					bestScore = n
					best = rimCircle{Circle: model.Circle{X: cx, Y: cy, R: cs.rMin + float64(b)*cs.bin}}
				}
			}
		}
	}
	return best, bestScore > 32
}

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
	var seen [128]bool
	var slopes []float64
	for _, e := range g.ridges {
		if math.Abs(math.Hypot(e.x-c.X, e.y-c.Y)-c.R) < 1.5 {
			seen[int(e.theta*(128/(2*math.Pi))+0.5)&127] = true
			slopes = append(slopes, math.Abs(e.slope))
		}
	}
	n := 0
	for _, s := range seen {
		if s {
			n++
		}
	}
	c.cover, c.slope = float64(n)/128, 0
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
