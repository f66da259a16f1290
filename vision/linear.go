package vision

import "math"

// linearOf turns an encoded grey value in 0..1 into linear light by the sRGB
// curve (IEC 61966-2-1), which phone and bench cameras encode with: only there
// does blur keep an edge's middle in place.
func linearOf(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

var linear8 = func() (t [256]float32) {
	for i := range t {
		t[i] = float32(linearOf(float64(i) / 255))
	}
	return t
}()

var linear16 = func() []float32 {
	t := make([]float32, 65536)
	for i := range t {
		t[i] = float32(linearOf(float64(i) / 65535))
	}
	return t
}()

const (
	// fullScale is the linear value from which a pixel counts as saturated.
	fullScale = 0.985
	// nearFullScale allows for the ripples of compression beside an edge.
	nearFullScale = 0.9
)

// lightAt returns the linear light of the photo's pixel i (row-major).
func (p *Photo) lightAt(i int) float32 {
	if p.Gray16 != nil {
		return linear16[p.Gray16[i]]
	}
	return linear8[p.Gray8[i]]
}
