package vision

import (
	"math"
	"sync"
)

// plane is a small picture of encoded (not linear) grey values, 0 to 1: edges in
// the dark of a bore count as much there as edges on the bright face.
type plane struct {
	w, h int
	f    int // side of the square of photo pixels that one pixel averages
	pix  []float32
}

// reduce averages squares of f x f photo pixels; a rest at the right and lower
// border is left out. Working pixel (x, y) is centred on photo pixel
// (f x + (f-1)/2, f y + (f-1)/2).
func (p *Photo) reduce(f int) *plane {
	out := &plane{w: p.W / f, h: p.H / f, f: f}
	out.pix = make([]float32, out.w*out.h)
	// Two halves: the whole of a large photo passes through here once.
	var wg sync.WaitGroup
	for _, part := range [2][2]int{{0, out.h / 2}, {out.h / 2, out.h}} {
		wg.Go(func() {
			if p.Gray16 != nil {
				reduceRows(p.Gray16, p.W, out, part[0], part[1], 1.0/65535)
			} else {
				reduceRows(p.Gray8, p.W, out, part[0], part[1], 1.0/255)
			}
		})
	}
	wg.Wait()
	return out
}

func reduceRows[T uint8 | uint16](src []T, stride int, out *plane, y0, y1 int, unit float64) {
	f := out.f
	scale := float32(unit / float64(f*f))
	sums := make([]uint32, out.w)
	for y := y0; y < y1; y++ {
		clear(sums)
		for j := range f {
			row := src[(y*f+j)*stride:][:out.w*f]
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

// toPhoto and fromPhoto convert positions between the plane and the photo.
func (p *plane) toPhoto(x float64) float64   { return x*float64(p.f) + float64(p.f-1)/2 }
func (p *plane) fromPhoto(x float64) float64 { return (x - float64(p.f-1)/2) / float64(p.f) }

// at interpolates bilinearly; outside the plane the border's value goes on.
func (p *plane) at(x, y float64) float32 {
	x = math.Min(math.Max(x, 0), float64(p.w-1))
	y = math.Min(math.Max(y, 0), float64(p.h-1))
	x0, y0 := min(int(x), p.w-2), min(int(y), p.h-2)
	fx, fy := float32(x-float64(x0)), float32(y-float64(y0))
	i := y0*p.w + x0
	a := p.pix[i] + fx*(p.pix[i+1]-p.pix[i])
	b := p.pix[i+p.w] + fx*(p.pix[i+p.w+1]-p.pix[i+p.w])
	return a + fy*(b-a)
}

// smooth returns the plane after a Gaussian of the given sd in pixels.
func (p *plane) smooth(sd float64) *plane {
	k := gaussKernel(sd)
	n := len(k) / 2
	tmp := make([]float32, len(p.pix))
	out := &plane{w: p.w, h: p.h, f: p.f, pix: make([]float32, len(p.pix))}
	for y := range p.h {
		row := p.pix[y*p.w:][:p.w]
		for x := range p.w {
			s := float32(0)
			for i, w := range k {
				s += w * row[min(max(x+i-n, 0), p.w-1)]
			}
			tmp[y*p.w+x] = s
		}
	}
	for y := range p.h {
		dst := out.pix[y*p.w:][:p.w]
		for i, w := range k {
			row := tmp[min(max(y+i-n, 0), p.h-1)*p.w:][:p.w]
			for x, v := range row {
				dst[x] += w * v
			}
		}
	}
	return out
}

// shadows returns the plane on a scale of equal ratios, 0 to 1: a bore's wall and
// end in the dark differ by as much there as face and chamfer in the light, and
// sparkle is of one size everywhere.
func (p *plane) shadows() *plane {
	out := &plane{w: p.w, h: p.h, f: p.f, pix: make([]float32, len(p.pix))}
	var table [1025]float32
	for i := range table {
		table[i] = float32(shadowOf(float64(i) / 1024))
	}
	for i, v := range p.pix {
		t := min(max(v, 0), 1) * 1024
		k := min(int(t), 1023)
		out.pix[i] = table[k] + (t-float32(k))*(table[k+1]-table[k])
	}
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
