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

// gradientPixel is a pixel of the search picture where the gradient is strong and
// at its steepest along itself: one pixel of each edge, not its whole slope.
type gradientPixel struct {
	x, y   float32
	nx, ny float32 // unit gradient
	weight float32 // of its vote, 0 to 1
}

// holeGuess is a place where a hole may be.
type holeGuess struct {
	circle model.Circle
	cover  float64 // share of the directions in which there is an edge of that circle
	// excess is by how much cover is more than that of other radii about the same
	// centre: turned or milled marks make circles of every radius.
	excess float64
}

// findHoles returns the places that look most like round edges, best first, in
// photo pixels. Each pixel with a gradient votes for all centres that lie along
// it to both sides: thresholds on grey values fail, as light from one side makes
// half of a chamfer bright and half dark, and tool marks vote for no one place.
func findHoles(p *Photo) []holeGuess {
	pl := p.reduce(max(1, (max(p.W, p.H)+searchSide-1)/searchSide))
	guesses := pl.roundEdges(edgeSD)
	if len(guesses) == 0 || guesses[0].unlikely() {
		if bold := pl.roundEdges(markSD); len(bold) > 0 && !bold[0].unlikely() {
			return bold
		}
	}
	return guesses
}

// edgeSD is how far the search picture is smoothed to find edges. Marks of a face mill that are
// bolder than the rims and lie close drown them; smoothed by markSD marks go, and rims stay.
const edgeSD, markSD = 1, 2

// roundEdges is findHoles on a picture reduced and then smoothed by sd.
func (p *plane) roundEdges(sd float64) []holeGuess {
	pl := p.smooth(sd)
	edges := gradientPixels(pl)
	centres := voteCentres(pl, edges, mostCentres)
	guesses := make([]holeGuess, len(centres))
	spread(len(centres), func(lo, hi int) {
		c := newCoverage(pl, edges)
		for i := lo; i < hi; i++ {
			guesses[i] = c.best(centres[i][0], centres[i][1])
		}
	})
	var out []holeGuess
	for _, g := range guesses {
		if g.cover >= leastCover && g.excess > 0 {
			g.circle = model.Circle{X: pl.toPhoto(g.circle.X), Y: pl.toPhoto(g.circle.Y), R: g.circle.R * float64(pl.f)}
			out = append(out, g)
		}
	}
	slices.SortStableFunc(out, func(a, b holeGuess) int { return cmp.Compare(b.excess, a.excess) })
	return out
}

// gradientPixels keeps the steepest pixels among the steeper third of the picture.
func gradientPixels(pl *plane) []gradientPixel {
	n := (pl.w - 2) * (pl.h - 2)
	if n <= 0 {
		return nil
	}
	gx, gy, mag := make([]float32, len(pl.pix)), make([]float32, len(pl.pix)), make([]float32, len(pl.pix))
	// Ranks are read off a histogram of the square root of the gradient, whose
	// small values are many.
	var count [1024]int
	for y := 1; y < pl.h-1; y++ {
		for x := 1; x < pl.w-1; x++ {
			i := y*pl.w + x
			u := (pl.pix[i+1] - pl.pix[i-1]) / 2
			v := (pl.pix[i+pl.w] - pl.pix[i-pl.w]) / 2
			m := float32(math.Sqrt(float64(u*u + v*v)))
			gx[i], gy[i], mag[i] = u, v, m
			count[min(int(1024*math.Sqrt(float64(m))), 1023)]++
		}
	}
	rank := func(k int) float32 {
		for v, c := range count {
			if k -= c; k < 0 {
				s := (float32(v) + 0.5) / 1024
				return s * s
			}
		}
		return 1
	}
	floor, top := max(rank(n*2/3), pl.leastGradient), rank(n*97/100)
	out := make([]gradientPixel, 0, n/8)
	for y := 1; y < pl.h-1; y++ {
		for x := 1; x < pl.w-1; x++ {
			i := y*pl.w + x
			m := mag[i]
			if m <= floor {
				continue
			}
			nx, ny := gx[i]/m, gy[i]/m
			// The neighbours along the gradient, of the eight.
			step := int(math.Round(float64(nx))) + pl.w*int(math.Round(float64(ny)))
			if mag[i+step] > m || mag[i-step] >= m {
				continue
			}
			out = append(out, gradientPixel{float32(x), float32(y), nx, ny, min(m/top, 1)})
		}
	}
	return out
}

// leastGradient is the least gradient of an edge in a search picture, of full scale a pixel: half a grey
// level. Where a smooth face goes from one level of an 8-bit file to the next, it is a third of one.
const leastGradient, leastGradientDeep = 0.5 / 255, 1e-4

const (
	// votePitch is the side of the squares of search pixels that votes are counted in.
	votePitch = 2
	// broadVote is the sd in squares beyond which a heap of votes is no centre.
	broadVote = 6
	// outsideShare is how far outside, in longer sides, centres are looked for.
	outsideShare = 0.15
	// mostCentres is how many peaks of the vote are looked at.
	mostCentres = 8
)

// voteCentres returns up to n peaks of the vote, strongest first, as plane pixels.
func voteCentres(pl *plane, edges []gradientPixel, n int) [][2]float64 {
	side := float64(max(pl.w, pl.h))
	rMin, rMax := float32(0.04*side/votePitch), float32(0.55*side/votePitch)
	// A hole that is cut off may have its centre outside the picture.
	margin := int(outsideShare * side / votePitch)
	w, h := (pl.w+votePitch-1)/votePitch+2*margin, (pl.h+votePitch-1)/votePitch+2*margin
	// Inwards and outwards apart, for two processors; the sum doesn't depend on it.
	var votes [2][]float32
	spread(2, func(lo, hi int) {
		for k := lo; k < hi; k++ {
			votes[k] = make([]float32, w*h)
			sign := float32(1 - 2*k)
			for i := range edges {
				e := &edges[i]
				dx, dy := sign*e.nx, sign*e.ny
				x, y := e.x/votePitch+0.5+float32(margin)+rMin*dx, e.y/votePitch+0.5+float32(margin)+rMin*dy
				for r := rMin; r < rMax; r++ {
					u, v := int(x), int(y)
					if x < 0 || y < 0 || u >= w || v >= h {
						break
					}
					votes[k][v*w+u] += e.weight
					x += dx
					y += dy
				}
			}
		}
	})
	acc := &plane{w: w, h: h, pix: votes[0]}
	for i, v := range votes[1] {
		acc.pix[i] += v
	}
	// A hole's centre is a sharp peak; marks vote for broad ridges and fields.
	sharp, broad := acc.smooth(1), acc.smooth(broadVote)
	for i, v := range broad.pix {
		sharp.pix[i] -= v
	}
	acc = sharp
	var peaks [][3]float64
	for y := 1; y < acc.h-1; y++ {
		for x := 1; x < acc.w-1; x++ {
			i := y*acc.w + x
			v := acc.pix[i]
			if v >= acc.pix[i-1] && v > acc.pix[i+1] && v >= acc.pix[i-acc.w] && v > acc.pix[i+acc.w] {
				peaks = append(peaks, [3]float64{float64((x - margin) * votePitch), float64((y - margin) * votePitch), float64(v)})
			}
		}
	}
	slices.SortFunc(peaks, func(a, b [3]float64) int { return cmp.Compare(b[2], a[2]) })
	var out [][2]float64
	apart := 0.06 * side
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
