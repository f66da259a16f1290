package vision

import (
	"math"

	"evenrim/model"
)

// strip is the ring round a place, laid out straight along rays from its centre:
// grey values on the scale of equal ratios. It is sampled straight from the
// photo, so that its cost depends on the ring's size in its own pixels alone.
type strip struct {
	cx, cy float64 // ring pixels: photo pixels / f
	f      float64
	w, h   float64 // of the photo, ring pixels
	rho0   float64 // ring pixels; samples lie 1 apart
	n      int     // samples on a ray
	// fine is each sample by itself; even is smoothed by sparkleSD both ways.
	fine, even []float32
}

const (
	ringRays = 256
	// stripFrom and stripTo are the ring's limits in radii of the guess.
	stripFrom, stripTo = 0.55, 1.4
	// sparkleSD is how far a strip is smoothed against sparkle, ring px.
	sparkleSD = 1.2
)

// newStrip samples the ring round c, in photo pixels, with one sample a square of
// f x f photo pixels.
func newStrip(p *Photo, c model.Circle, f int) *strip {
	s := &strip{f: float64(f), cx: c.X / float64(f), cy: c.Y / float64(f), w: float64(p.W) / float64(f), h: float64(p.H) / float64(f)}
	r := c.R / float64(f)
	s.rho0 = stripFrom * r
	s.n = int((stripTo - stripFrom) * r)
	s.fine, s.even = make([]float32, ringRays*s.n), make([]float32, ringRays*s.n)
	spread(ringRays, func(lo, hi int) {
		if p.Gray16 != nil {
			sampleRays(p.Gray16, p.W, p.H, tones16.shadow, s, lo, hi)
		} else {
			sampleRays(p.Gray8, p.W, p.H, tones8.shadow, s, lo, hi)
		}
	})
	return s
}

// sampleRays fills the rays lo to hi-1 of s.
func sampleRays[T uint8 | uint16](src []T, w, h int, tone []float32, s *strip, lo, hi int) {
	// The mean of three samples, weighted 1 2 1, has an sd of 0.707 of their distance.
	const tap = sparkleSD / 0.7071
	along := gaussKernel(sparkleSD)
	sum := make([]float32, s.n+len(along)-1)
	dense := min(int(s.f), 3)
	var step [3][2]float64 // of the photo's pixels that make one of the ring's, along a side: its cosine and sine part
	for i := lo; i < hi; i++ {
		sn, co := math.Sincos(2 * math.Pi * float64(i) / ringRays)
		for a := range dense {
			u := (float64(a) - float64(dense-1)/2) * s.f / float64(dense)
			step[a] = [2]float64{u * co, u * sn}
		}
		row := s.fine[i*s.n:][:s.n]
		side := sum[len(along)/2:][:s.n]
		for k := range row {
			rho := s.rho0 + float64(k)
			var t [3]float32
			for j := range t {
				off := tap * float64(j-1)
				x, y := s.f*(s.cx+rho*co-off*sn), s.f*(s.cy+rho*sn+off*co)
				if dense == 1 {
					t[j] = between(src, w, h, tone, x, y)
					continue
				}
				for _, a := range step[:dense] {
					u, v := x+a[0], y+a[1]
					for _, b := range step[:dense] {
						px, py := int(u-b[1]+0.5), int(v+b[0]+0.5)
						if uint(px) >= uint(w) || uint(py) >= uint(h) {
							px, py = min(max(px, 0), w-1), min(max(py, 0), h-1)
						}
						t[j] += tone[src[py*w+px]]
					}
				}
				t[j] /= float32(dense * dense)
			}
			row[k] = t[1]
			side[k] = (t[0] + 2*t[1] + t[2]) / 4
		}
		smoothRow(sum, along, s.even[i*s.n:][:s.n])
	}
}

// smoothRow writes src, which has half a kernel of room at both ends, smoothed.
func smoothRow(src, kernel, dst []float32) {
	half, n := len(kernel)/2, len(dst)
	for k := range half {
		src[k], src[half+n+k] = src[half], src[half+n-1]
	}
	for k := range dst {
		v := float32(0)
		for j, w := range kernel {
			v += w * src[k+j]
		}
		dst[k] = v
	}
}

// between interpolates tones bilinearly; outside the picture its border goes on.
func between[T uint8 | uint16](src []T, w, h int, tone []float32, x, y float64) float32 {
	x = min(max(x, 0), float64(w-1))
	y = min(max(y, 0), float64(h-1))
	x0, y0 := min(int(x), w-2), min(int(y), h-2)
	fx, fy := float32(x-float64(x0)), float32(y-float64(y0))
	i := y0*w + x0
	upper, lower := src[i:i+2:i+2], src[i+w:i+w+2:i+w+2]
	a, b := tone[upper[0]], tone[lower[0]]
	a += fx * (tone[upper[1]] - a)
	b += fx * (tone[lower[1]] - b)
	return a + fy*(b-a)
}

// toPhoto converts a circle in ring pixels.
func (s *strip) toPhoto(x, y, r float64) model.Circle {
	return model.Circle{X: x * s.f, Y: y * s.f, R: r * s.f}
}
