package vision

import (
	"cmp"
	"math"
	"slices"

	"evenrim/model"
)

// searchSide is the longer side in pixels that a photo is reduced to for finding
// the hole: enough to see a hole that fills a tenth of the picture.
const searchSide = 400

// gradientPixel is a pixel of the search picture with a strong enough gradient.
type gradientPixel struct {
	x, y   float64
	nx, ny float64 // unit gradient
	mag    float64
}

// findHoles returns the places that look most like round edges, best first, in
// photo pixels. Each pixel with a gradient votes for all centres that lie along
// it to both sides: thresholds on grey values fail, as light from one side makes
// half of a chamfer bright and half dark, and tool marks vote for no one place.
func findHoles(p *Photo) []holeGuess {
	f := max(1, (max(p.W, p.H)+searchSide-1)/searchSide)
	pl := p.reduce(f).smooth(1)
	edges := gradientPixels(pl)
	var out []holeGuess
	for _, c := range voteCentres(pl, edges, 6) {
		if g, ok := bestRadius(pl, edges, c[0], c[1]); ok {
			g.circle.X, g.circle.Y = pl.toPhoto(g.circle.X), pl.toPhoto(g.circle.Y)
			g.circle.R *= float64(f)
			out = append(out, g)
		}
	}
	slices.SortStableFunc(out, func(a, b holeGuess) int { return cmp.Compare(b.cover, a.cover) })
	return out
}

// holeGuess is a place where a hole may be.
type holeGuess struct {
	circle model.Circle
	cover  float64 // share of the directions in which there is an edge of that circle
}

// gradientPixels keeps the steeper third of the picture.
func gradientPixels(pl *plane) []gradientPixel {
	n := (pl.w - 2) * (pl.h - 2)
	if n <= 0 {
		return nil
	}
	mags := make([]float64, 0, n)
	all := make([]gradientPixel, 0, n)
	for y := 1; y < pl.h-1; y++ {
		for x := 1; x < pl.w-1; x++ {
			i := y*pl.w + x
			gx := float64(pl.pix[i+1]-pl.pix[i-1]) / 2
			gy := float64(pl.pix[i+pl.w]-pl.pix[i-pl.w]) / 2
			m := math.Hypot(gx, gy)
			mags = append(mags, m)
			if m > 1e-4 {
				all = append(all, gradientPixel{float64(x), float64(y), gx / m, gy / m, m})
			}
		}
	}
	slices.Sort(mags)
	floor, cap := mags[n*2/3], mags[n*97/100]
	out := all[:0]
	for _, e := range all {
		if e.mag > floor {
			e.mag = math.Min(e.mag, cap) / cap
			out = append(out, e)
		}
	}
	return out
}

// voteCentres returns up to n peaks of the vote, strongest first, as plane pixels.
func voteCentres(pl *plane, edges []gradientPixel, n int) [][2]float64 {
	acc := &plane{w: pl.w, h: pl.h, f: pl.f, pix: make([]float32, len(pl.pix))}
	rMin, rMax := 0.04*float64(max(pl.w, pl.h)), 0.55*float64(max(pl.w, pl.h))
	for _, e := range edges {
		for _, s := range [2]float64{1, -1} {
			for r := rMin; r < rMax; r++ {
				x, y := int(e.x+s*r*e.nx+0.5), int(e.y+s*r*e.ny+0.5)
				if x < 0 || y < 0 || x >= pl.w || y >= pl.h {
					break
				}
				acc.pix[y*pl.w+x] += float32(e.mag)
			}
		}
	}
	acc = acc.smooth(2)
	var peaks [][3]float64
	for y := 1; y < acc.h-1; y++ {
		for x := 1; x < acc.w-1; x++ {
			i := y*acc.w + x
			v := acc.pix[i]
			if v >= acc.pix[i-1] && v > acc.pix[i+1] && v >= acc.pix[i-acc.w] && v > acc.pix[i+acc.w] {
				peaks = append(peaks, [3]float64{float64(x), float64(y), float64(v)})
			}
		}
	}
	slices.SortFunc(peaks, func(a, b [3]float64) int { return cmp.Compare(b[2], a[2]) })
	var out [][2]float64
	apart := 0.06 * float64(max(pl.w, pl.h))
next:
	for _, p := range peaks {
		for _, q := range out {
			if math.Hypot(p[0]-q[0], p[1]-q[1]) < apart {
				continue next
			}
		}
		if out = append(out, [2]float64{p[0], p[1]}); len(out) == n {
			break
		}
	}
	return out
}

// coverBins is how many directions a search circle is checked in.
const coverBins = 96

// bestRadius finds the circle about (cx, cy), give or take a few pixels, with
// edges square to it in the most directions.
func bestRadius(pl *plane, edges []gradientPixel, cx, cy float64) (holeGuess, bool) {
	best := holeGuess{}
	for dy := -3.0; dy <= 3; dy += 3 {
		for dx := -3.0; dx <= 3; dx += 3 {
			if g := coverage(pl, edges, cx+dx, cy+dy); g.cover > best.cover {
				best = g
			}
		}
	}
	return best, best.cover >= 0.4
}

// coverage returns the radius about (cx, cy) with edges in the most directions.
func coverage(pl *plane, edges []gradientPixel, cx, cy float64) holeGuess {
	rMax := int(0.56 * float64(max(pl.w, pl.h)))
	seen := make([]bool, (rMax+2)*coverBins)
	for _, e := range edges {
		x, y := e.x-cx, e.y-cy
		r2 := x*x + y*y
		if r2 < 64 || r2 >= float64(rMax*rMax) {
			continue
		}
		if along := x*e.nx + y*e.ny; along*along < 0.88*r2 { // within 20 degrees of radial
			continue
		}
		r := math.Sqrt(r2)
		bin := min(int((math.Atan2(y, x)/(2*math.Pi)+0.5)*coverBins), coverBins-1)
		i := int(r + 0.5)
		for k := max(i-1, 0); k <= i+1; k++ {
			seen[k*coverBins+bin] = true
		}
	}
	best := holeGuess{}
	for r := 8; r <= rMax; r++ {
		n := 0
		for _, s := range seen[r*coverBins:][:coverBins] {
			if s {
				n++
			}
		}
		if c := float64(n) / coverBins; c > best.cover {
			best = holeGuess{model.Circle{X: cx, Y: cy, R: float64(r)}, c}
		}
	}
	return best
}
