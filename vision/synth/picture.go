package synth

import (
	"image"
	"math"
)

// Picture is a drawn photo, upright.
type Picture struct {
	Width, Height int
	// Linear is the picture in linear light with its noise, clipped to 0..1: red,
	// green and blue of each pixel, row after row. A clean scene is grey.
	Linear []float32
	// Mean is the same before noise and clipping; nil unless Scene.KeepMean.
	Mean []float32

	format               Format
	quality, orientation int
}

// Draw draws s and returns it with its exact truth. The error is a *SceneError.
func Draw(s Scene) (*Picture, Truth, error) {
	s = s.WithDefaults()
	if err := s.Validate(); err != nil {
		return nil, Truth{}, err
	}
	p := &Picture{Width: s.Width, Height: s.Height, format: s.Format, quality: s.Quality, orientation: s.Orientation}
	mean := meanPicture(s)
	if s.KeepMean {
		p.Mean, p.Linear = mean, make([]float32, len(mean))
	} else {
		p.Linear = mean
	}
	expose(s, p.Linear, mean)
	t := newTruth(s)
	t.Photo = p.stats(s)
	return p, t, nil
}

// meanPicture draws the noise-free picture of a valid scene, three values a pixel.
func meanPicture(s Scene) []float32 {
	r := newRenderer(s)
	l := r.draw()
	out := make([]float32, 3*s.Width*s.Height)
	var tm, tb [3]float32
	for c := range 3 {
		tm[c], tb[c] = float32(r.c.tint[c]), float32(r.c.backTint[c])
	}
	vignette := float32(s.Vignette)
	if s.Clean != nil {
		vignette = 0
	}
	cx, cy := float64(s.Width-1)/2, float64(s.Height-1)/2
	inv := 1 / (cx*cx + cy*cy)
	parallel(s.Height, func(y int) {
		dy := float64(y) - cy
		for x := range s.Width {
			dx := float64(x) - cx
			i := y*s.Width + x
			f := 1 - vignette*float32((dx*dx+dy*dy)*inv)
			m, b := f*l.metal[i], f*l.back[i]
			o := out[3*i : 3*i+3 : 3*i+3]
			for c := range o {
				o[c] = m*tm[c] + b*tb[c]
			}
		}
	})
	return out
}

// expose adds noise to the mean picture and clips it; out may be mean.
func expose(s Scene, out, mean []float32) {
	seed := mix(mix(s.Seed^0x6e6f697365) + s.Frame)
	clip := func(x float32) float32 { return min(max(x, 0), 1) }
	var perLevel, fixed float32 // variance = perLevel x level + fixed
	if s.Clean != nil {
		fixed = float32(s.Clean.NoiseSD * s.Clean.NoiseSD)
	} else if s.FullWellE > 0 {
		perLevel = float32(1 / s.FullWellE)
		fixed = float32(s.ReadE / s.FullWellE * s.ReadE / s.FullWellE)
	}
	parallel(s.Height, func(y int) {
		for x := range s.Width {
			i := y*s.Width + x
			m, o := mean[3*i:3*i+3:3*i+3], out[3*i:3*i+3:3*i+3]
			if perLevel == 0 && fixed == 0 {
				o[0], o[1], o[2] = clip(m[0]), clip(m[1]), clip(m[2])
				continue
			}
			a, b, c := normals3(seed, uint64(i))
			if s.Clean != nil {
				b, c = a, a
			}
			for j, n := range [3]float32{a, b, c} {
				v := perLevel*max(m[j], 0) + fixed
				o[j] = clip(m[j] + n*float32(math.Sqrt(float64(v))))
			}
		}
	})
}

// Stats are two figures of a photo that say how well it was exposed.
type Stats struct {
	ClippedFraction float64 `json:"clipped_fraction"`
	FaceGrey        float64 `json:"top_face_grey_8bit"` // mean of the face, sRGB 0..255
}

func (p *Picture) stats(s Scene) Stats {
	var clipped int
	var sum float64
	var n int
	hole := s.PxPerMM * (s.BoreMM/2 + s.ChamferMM + s.Mismatch.Norm()) * 1.05
	cx, cy := float64(s.Width-1)/2+s.OffX, float64(s.Height-1)/2+s.OffY
	for y := range p.Height {
		for x := range p.Width {
			g := p.Linear[3*(y*p.Width+x)+1]
			if g >= 1 {
				clipped++
			}
			if (x+y)%8 == 0 && math.Hypot(float64(x)-cx, float64(y)-cy) > hole {
				sum += float64(encode8(g))
				n++
			}
		}
	}
	st := Stats{ClippedFraction: round(float64(clipped)/float64(p.Width*p.Height), 5)}
	if n > 0 {
		st.FaceGrey = round(sum/float64(n), 1)
	}
	return st
}

// srgb is the sRGB transfer curve, IEC 61966-2-1: linear 0..1 to encoded 0..1.
func srgb(x float64) float64 {
	if x <= 0.0031308 {
		return 12.92 * x
	}
	return 1.055*math.Pow(x, 1/2.4) - 0.055
}

// codes16 is the curve at 65536 evenly spaced levels, to 16 bit.
var codes16 = func() (t [1<<16 + 1]uint16) {
	for i := range t {
		t[i] = uint16(min(math.Round(65535*srgb(float64(i)/(1<<16))), 65535))
	}
	return t
}()

// encode16 is exact to one code of 65535 in the darkest parts and finer elsewhere.
func encode16(x float32) uint16 {
	f := float64(x) * (1 << 16)
	i := int(f)
	if i < 256 { // steep: the table is too coarse here
		return uint16(math.Round(65535 * srgb(float64(x))))
	}
	if i >= 1<<16 {
		return 65535
	}
	w := f - float64(i)
	return uint16(float64(codes16[i])*(1-w) + float64(codes16[i+1])*w + 0.5)
}

func encode8(x float32) uint8 { return uint8((uint32(encode16(x))*255 + 32767) / 65535) }

// Image returns the upright picture in sRGB: *image.RGBA, or *image.RGBA64 for
// PNG16.
func (p *Picture) Image() image.Image {
	rect := image.Rect(0, 0, p.Width, p.Height)
	if p.format == PNG16 {
		img := image.NewRGBA64(rect)
		for i := range p.Width * p.Height {
			o := img.Pix[8*i : 8*i+8]
			for c := range 3 {
				v := encode16(p.Linear[3*i+c])
				o[2*c], o[2*c+1] = byte(v>>8), byte(v)
			}
			o[6], o[7] = 255, 255
		}
		return img
	}
	img := image.NewRGBA(rect)
	parallel(p.Height, func(y int) {
		for i := y * p.Width; i < (y+1)*p.Width; i++ {
			l, o := p.Linear[3*i:3*i+3:3*i+3], img.Pix[4*i:4*i+4:4*i+4]
			o[0], o[1], o[2], o[3] = encode8(l[0]), encode8(l[1]), encode8(l[2]), 255
		}
	})
	return img
}

func round(x float64, digits int) float64 {
	k := math.Pow(10, float64(digits))
	return math.Round(x*k) / k
}

func degrees(rad float64) float64 { return rad * 180 / math.Pi }
