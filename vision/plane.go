package vision

import (
	"math"

	"evenrim/vision/sampling"
)

// plane is a small picture of encoded (not linear) grey values, 0 to 1: edges in
// the dark of a bore count as much there as edges on the bright face. The hole is
// looked for in it.
type plane struct {
	w, h int
	f    int // side of the square of photo pixels that one pixel averages
	pix  []float32
	// leastGradient is that of an edge, of full scale a pixel.
	leastGradient float32
}

// mostRows is how many of the rows of a square of photo pixels are averaged: more
// would only cost time, as the search picture is smoothed anyway.
const mostRows = 4

// reduce averages squares of f x f photo pixels; a rest at the right and lower
// border is left out. Working pixel (x, y) is centred on photo pixel
// (f x + (f-1)/2, f y + (f-1)/2).
func (p *Photo) reduce(f int) *plane {
	out := &plane{w: p.W / f, h: p.H / f, f: f, leastGradient: leastGradient}
	out.pix = make([]float32, out.w*out.h)
	photo, unit := sampling.Photo{W: p.W, H: p.H, Gray8: p.Gray8, Gray16: p.Gray16}, 1.0/255
	if p.Gray16 != nil {
		unit, out.leastGradient = 1.0/65535, leastGradientDeep
	}
	spread(out.h, func(lo, hi int) { out.reduceRows(&photo, unit, lo, hi) })
	return out
}

func (p *plane) reduceRows(photo *sampling.Photo, unit float64, y0, y1 int) {
	rows, sums := make([]int32, min(p.f, mostRows)), make([]uint32, p.w)
	scale := float32(unit / float64(p.f*len(rows)))
	for y := y0; y < y1; y++ {
		for j := range rows {
			// Evenly about the square's middle.
			rows[j] = int32(y*p.f + ((2*j+1)*p.f)/(2*len(rows)))
		}
		photo.Blocks(rows, p.f, sums)
		for x, s := range sums {
			p.pix[y*p.w+x] = float32(s) * scale
		}
	}
}

// toPhoto converts a position in the plane to the photo.
func (p *plane) toPhoto(x float64) float64 { return x*float64(p.f) + float64(p.f-1)/2 }

// smooth returns the plane after a Gaussian of the given sd in pixels.
func (p *plane) smooth(sd float64) *plane {
	k := gaussKernel(sd)
	half := len(k) / 2
	tmp := make([]float32, len(p.pix))
	out := &plane{w: p.w, h: p.h, f: p.f, pix: make([]float32, len(p.pix)), leastGradient: p.leastGradient}
	spread(p.h, func(lo, hi int) {
		padded := make([]float32, p.w+2*half)
		for y := lo; y < hi; y++ {
			copy(padded[half:], p.pix[y*p.w:][:p.w])
			smoothRow(padded, k, tmp[y*p.w:][:p.w])
		}
	})
	spread(p.h, func(lo, hi int) {
		for y := lo; y < hi; y++ {
			dst := out.pix[y*p.w:][:p.w]
			for i, w := range k {
				for x, v := range tmp[min(max(y+i-half, 0), p.h-1)*p.w:][:p.w] {
					dst[x] += w * v
				}
			}
		}
	})
	return out
}

func gaussKernel(sd float64) []float32 {
	n := int(math.Ceil(3 * sd))
	k := make([]float32, 2*n+1)
	sum := 0.0
	for i := range k {
		sum += math.Exp(-sq(float64(i-n)/sd) / 2)
	}
	for i := range k {
		k[i] = float32(math.Exp(-sq(float64(i-n)/sd)/2) / sum)
	}
	return k
}

func sq(x float64) float64 { return x * x }
