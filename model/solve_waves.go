package model

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// A wave twice round a rim looks like a tilt of the camera. How strong waves there may be
// that are none tell the later ones, which no place, size or tilt of the rim can make: light
// on a sparkling chamfer bends a rim three to six times round by as much as twice.

const (
	firstLater, lastLater = 3, 6
	// ovalPerLater is by how much a wave twice round is stronger than one of the later ones.
	// Of some 2,300 rims of drawn photos with truth it is 1.4 to 2.5 times, on edges that wave
	// by 0.03 px and by 0.4; of path-traced ones, sharpened, shrunk, darkened and the like,
	// 1.5 to 2.8. Without an exit rim it makes 1,180 drawn readings 7 % better and the tail of
	// path-traced ones a fifth smaller than one strength for all.
	ovalPerLater = 2.0
	// holeOvalMM is the sd of a bore's own oval, for its cosine and its sine each: a small hole
	// milled at a finishing feed is round to some 2 um (common practice, no source).
	holeOvalMM = 0.0005
	// edgeFloorPx is what an edge scatters at least, and laterSDPx all that is known of a later
	// wave beforehand: it keeps them small where a gap in the rim leaves them open.
	edgeFloorPx, laterSDPx = 0.1, 1.0
)

// ovalSD is the sd, px, of the wave twice round that light, lay and the hole's own form
// make of a rim near circle c, for its cosine and its sine each.
func (f *rimFit) ovalSD(k rimKind, c Circle) float64 {
	ownPx := holeOvalMM * c.R / (f.job.BoreMM / 2)
	return math.Hypot(ownPx, ovalPerLater*laterWaves(f.points[k], c))
}

const nWaves = 1 + 2*lastLater // unknowns: the mean and each wave's cosine and sine

// laterWaves is the root mean square of the cosines' and sines' amplitudes, px, of the
// waves three to six times round by which points depart from circle c. Points that lie
// far off the others have no part in it.
func laterWaves(pts []fitPoint, c Circle) float64 {
	out := make([]float64, len(pts)) // how far outside the circle
	rows := make([][nWaves]float64, len(pts))
	weights := make([]float64, len(pts))
	for i, p := range pts {
		x, y := p.X-c.X, p.Y-c.Y
		out[i] = math.Hypot(x, y) - c.R
		rows[i][0] = 1
		for n := 1; n <= lastLater; n++ {
			rows[i][2*n], rows[i][2*n-1] = math.Sincos(float64(n) * math.Atan2(-y, x))
		}
		weights[i] = 1 / (sq(p.SigmaPx) + sq(edgeFloorPx))
	}
	w := append([]float64(nil), weights...)
	left := make([]float64, len(pts))
	var amp [nWaves]float64
	for range 6 { // more passes change nothing in the second digit
		if !fitWaves(rows, out, w, &amp) {
			return 0 // so few points that the reading is refused for it
		}
		for i := range pts {
			left[i] = out[i]
			for j, a := range amp {
				left[i] -= a * rows[i][j]
			}
		}
		scale := tukey * math.Max(medianSize(left)/0.6745, edgeFloorPx/10)
		for i := range w {
			w[i] = weights[i] * sq(math.Max(1-sq(left[i]/scale), 0))
		}
	}
	sum := 0.0
	later := amp[2*firstLater-1:]
	for _, a := range later {
		sum += a * a
	}
	return math.Sqrt(sum / float64(len(later)))
}

// fitWaves solves the weighted least squares of out by rows for amp.
func fitWaves(rows [][nWaves]float64, out, w []float64, amp *[nWaves]float64) bool {
	var a [nWaves * nWaves]float64
	var b [nWaves]float64
	for i := range rows {
		r := &rows[i]
		for j := range nWaves {
			v := w[i] * r[j]
			b[j] += v * out[i]
			for k := j; k < nWaves; k++ {
				a[j*nWaves+k] += v * r[k]
			}
		}
	}
	for j := 2*firstLater - 1; j < nWaves; j++ {
		a[j*nWaves+j] += 1 / sq(laterSDPx)
	}
	var factor mat.Cholesky
	if !factor.Factorize(mat.NewSymDense(nWaves, a[:])) {
		return false
	}
	x := mat.NewVecDense(nWaves, amp[:])
	return factor.SolveVecTo(x, mat.NewVecDense(nWaves, b[:])) == nil
}

// medianSize is the median of |x|.
func medianSize(x []float64) float64 {
	size := make([]float64, len(x))
	for i, v := range x {
		size[i] = math.Abs(v)
	}
	return median(size)
}
