package vision

import (
	"math"
	"slices"
)

// ridge is a place in the ring round a hole where the grey value changes fastest
// along the ray from the ring's centre.
type ridge struct {
	x, y  float64 // ring pixels
	ray   int     // 0 to ringRays-1, from image-right by way of image-down
	rho   float64
	slope float64 // signed change per pixel outwards
}

// ring is the neighbourhood of a hole, cut into rays.
type ring struct {
	cx, cy float64 // ring pixels
	r      float64 // rough radius, ring pixels
	ridges []ridge
}

const (
	// ridgesPerRay is how many of a ray's steepest ridges take part: the three
	// rims and a spare. With more, tool marks fill any circle by chance.
	ridgesPerRay = 4
	// ridgesFrom is where ridges are looked for from, in radii of the guess.
	ridgesFrom = 0.6
	// leastRidge is the least slope of a ridge, on the scale of equal ratios a px. Where a smooth
	// face goes from one level of an 8-bit file to the next, mid-grey, the slope is 0.0008.
	leastRidge, leastRidgeDeep = 1e-3, 2e-4
)

// newRing collects the ridges on each ray of the strip. A machined edge is smooth
// along the rim and its surroundings are not: raySD is how many rays, as an sd,
// are averaged before an edge is looked for.
func newRing(s *strip, raySD float64) *ring {
	g := &ring{cx: s.cx, cy: s.cy, r: s.rho0 / stripFrom}
	n := s.n
	v := blurStrip(s.fine, n, gaussKernel(raySD), gaussKernel(1))
	first := max(2, int((ridgesFrom-stripFrom)*g.r)+2)
	var steepest [ringRays][]ridge
	spread(ringRays, func(lo, hi int) {
		for i := lo; i < hi; i++ {
			steepest[i] = s.steepest(v, i, first)
		}
	})
	g.ridges = slices.Concat(steepest[:]...)
	return g
}

// steepest returns the steepest ridges on ray i of the smoothed strip v, from sample
// first on.
func (s *strip) steepest(v []float32, i, first int) []ridge {
	n := s.n
	sn, co := math.Sincos(2 * math.Pi * float64(i) / ringRays)
	row := v[i*n:][:n]
	next, last := v[(i+1)%ringRays*n:][:n], v[(i+ringRays-1)%ringRays*n:][:n]
	d := func(k int) float64 { return float64(row[k+1]-row[k-1]) / 2 }
	onRay := make([]ridge, 0, ridgesPerRay)
	for k := first; k < n-2; k++ {
		m, before, after := math.Abs(d(k)), math.Abs(d(k-1)), math.Abs(d(k+1))
		if m < before || m <= after || m < s.leastRidge {
			continue
		}
		shift := 0.0
		if den := before - 2*m + after; den < 0 {
			shift = math.Min(math.Max(0.5*(before-after)/den, -0.5), 0.5)
		}
		rho := s.rho0 + float64(k) + shift
		x, y := s.cx+rho*co, s.cy+rho*sn
		if x < 2 || y < 2 || x > s.w-3 || y > s.h-3 {
			continue
		}
		// Tool marks cross the ray at any angle, a rim about squarely.
		across := float64(next[k]-last[k]) / (2 * 2 * math.Pi / ringRays * rho)
		if math.Abs(across) > 0.6*m {
			continue
		}
		at, found := len(onRay), ridge{x, y, i, rho, d(k)}
		for at > 0 && math.Abs(onRay[at-1].slope) < m {
			at--
		}
		if at < ridgesPerRay {
			onRay = slices.Insert(onRay[:min(len(onRay), ridgesPerRay-1)], at, found)
		}
	}
	return onRay
}

// blurStrip smooths a strip of ringRays rows of n along the rays' numbers, which
// go round, and along the rays.
func blurStrip(v []float32, n int, round, along []float32) []float32 {
	out := make([]float32, len(v))
	h, pad := len(round)/2, len(along)/2
	spread(ringRays, func(lo, hi int) {
		sum := make([]float32, n+2*pad)
		for i := lo; i < hi; i++ {
			row := sum[pad:][:n]
			clear(row)
			for j, w := range round {
				for k, x := range v[(i+j-h+ringRays)%ringRays*n:][:n] {
					row[k] += w * x
				}
			}
			smoothRow(sum, along, out[i*n:][:n])
		}
	})
	return out
}
