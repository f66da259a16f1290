package vision

import "math"

// plane is a small picture of encoded (not linear) grey values, 0 to 1: edges in
// the dark of a bore count as much there as edges on the bright face. The hole is
// looked for in it.
type plane struct {
	w, h int
	f    int // side of the square of photo pixels that one pixel averages
	pix  []float32
}

// mostRows is how many of the rows of a square of photo pixels are averaged: more
// would only cost time, as the search picture is smoothed anyway.
const mostRows = 4

// reduce averages squares of f x f photo pixels; a rest at the right and lower
// border is left out. Working pixel (x, y) is centred on photo pixel
// (f x + (f-1)/2, f y + (f-1)/2).
func (p *Photo) reduce(f int) *plane {
	out := &plane{w: p.W / f, h: p.H / f, f: f}
	out.pix = make([]float32, out.w*out.h)
	spread(out.h, func(lo, hi int) {
		if p.Gray16 != nil {
			reduceRows(p.Gray16, p.W, out, lo, hi, 1.0/65535)
		} else {
			reduceRows(p.Gray8, p.W, out, lo, hi, 1.0/255)
		}
	})
	return out
}

func reduceRows[T uint8 | uint16](src []T, stride int, out *plane, y0, y1 int, unit float64) {
	f := out.f
	rows := min(f, mostRows)
	scale := float32(unit / float64(f*rows))
	sums := make([]uint32, out.w)
	for y := y0; y < y1; y++ {
		clear(sums)
		for j := range rows {
			// Evenly about the square's middle.
			row := src[(y*f+((2*j+1)*f)/(2*rows))*stride:][:out.w*f]
			for x := range sums {
				s := uint32(0)
				for _, v := range row[x*f : x*f+f] {
					s += uint32(v)
				}
				sums[x] += s
			}
		}
		dst := out.pix[y*out.w:][:out.w]
		for x, s := range sums {
			dst[x] = float32(s) * scale
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
	out := &plane{w: p.w, h: p.h, f: p.f, pix: make([]float32, len(p.pix))}
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
