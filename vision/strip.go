package vision

import (
	"math"

	"evenrim/model"
	"evenrim/vision/sampling"
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
	leastRidge float64 // see ridges.go
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
	photo := sampling.Photo{W: p.W, H: p.H, Gray8: p.Gray8, Gray16: p.Gray16, Tone: tones8.shadow}
	s.leastRidge = leastRidge
	if p.Gray16 != nil {
		photo.Tone, s.leastRidge = tones16.shadow, leastRidgeDeep
	}
	spread(ringRays, func(lo, hi int) { s.sampleRays(&photo, lo, hi) })
	return s
}

// sampleRays fills the rays lo to hi-1.
func (s *strip) sampleRays(p *sampling.Photo, lo, hi int) {
	// The mean of three samples, weighted 1 2 1, has an sd of 0.707 of their distance.
	const tap = sparkleSD / 0.7071
	along := gaussKernel(sparkleSD)
	sum := make([]float32, s.n+len(along)-1)
	x, y := make([]float64, s.n), make([]float64, s.n)
	var taps [3][]float32
	for j := range taps {
		taps[j] = make([]float32, s.n)
	}
	dense := min(int(s.f), 3)
	step := make([][2]float64, dense)
	for i := lo; i < hi; i++ {
		sn, co := math.Sincos(2 * math.Pi * float64(i) / ringRays)
		for a := range step {
			u := (float64(a) - float64(dense-1)/2) * s.f / float64(dense)
			step[a] = [2]float64{u * co, u * sn}
		}
		for j := range taps {
			off := tap * float64(j-1)
			for k := range x {
				rho := s.rho0 + float64(k)
				x[k], y[k] = s.f*(s.cx+rho*co-off*sn), s.f*(s.cy+rho*sn+off*co)
			}
			if dense == 1 {
				between(p, x, y, taps[j])
			} else {
				p.Squares(x, y, step, taps[j])
			}
		}
		copy(s.fine[i*s.n:][:s.n], taps[1])
		side := sum[len(along)/2:][:s.n]
		for k := range side {
			side[k] = (taps[0][k] + 2*taps[1][k] + taps[2][k]) / 4
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

// between sets out to the tones interpolated bilinearly at (x, y); outside the picture its
// border goes on.
func between(p *sampling.Photo, x, y []float64, out []float32) {
	if p.Gray16 != nil {
		interpolate(p.Gray16, p, x, y, out)
	} else {
		interpolate(p.Gray8, p, x, y, out)
	}
}

func interpolate[T uint8 | uint16](src []T, p *sampling.Photo, x, y []float64, out []float32) {
	for k := range out {
		x, y := min(max(x[k], 0), float64(p.W-1)), min(max(y[k], 0), float64(p.H-1))
		x0, y0 := min(int(x), p.W-2), min(int(y), p.H-2)
		fx, fy := float32(x-float64(x0)), float32(y-float64(y0))
		i := y0*p.W + x0
		upper, lower := src[i:i+2:i+2], src[i+p.W:i+p.W+2:i+p.W+2]
		a, b := p.Tone[upper[0]], p.Tone[lower[0]]
		a += fx * (p.Tone[upper[1]] - a)
		b += fx * (p.Tone[lower[1]] - b)
		out[k] = a + fy*(b-a)
	}
}

// toPhoto converts a circle in ring pixels.
func (s *strip) toPhoto(x, y, r float64) model.Circle {
	return model.Circle{X: x * s.f, Y: y * s.f, R: r * s.f}
}
