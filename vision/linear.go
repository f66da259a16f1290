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

// encodedOf is the inverse of linearOf.
func encodedOf(light float64) float64 {
	if light <= 0.0031308 {
		return 12.92 * light
	}
	return 1.055*math.Pow(light, 1/2.4) - 0.055
}

// shadowFoot is where the scale of equal ratios ends, in encoded grey: an 8-bit
// picture has no more steps below.
const shadowFoot = 0.03

// shadowOf puts an encoded grey value on a scale of equal ratios, 0 to 1.
func shadowOf(v float64) float64 {
	return math.Log((v+shadowFoot)/shadowFoot) / math.Log((1+shadowFoot)/shadowFoot)
}

// encodedOfShadow is the inverse of shadowOf.
func encodedOfShadow(s float64) float64 {
	return shadowFoot * (math.Pow((1+shadowFoot)/shadowFoot, s) - 1)
}

// toneTable holds both scales for each step of a picture.
type toneTable struct{ light, shadow []float32 }

func newToneTable(steps int) toneTable {
	t := toneTable{make([]float32, steps), make([]float32, steps)}
	for i := range steps {
		v := float64(i) / float64(steps-1)
		t.light[i], t.shadow[i] = float32(linearOf(v)), float32(shadowOf(v))
	}
	return t
}

var (
	tones8  = newToneTable(256)
	tones16 = newToneTable(65536)
)

const (
	// fullScale is the linear value from which a pixel counts as saturated.
	fullScale = 0.985
	// nearFullScale allows for the ripples of compression beside an edge.
	nearFullScale = 0.9
)
