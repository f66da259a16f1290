package plan

import "math"

// Camera is a phone or camera as its data sheet has it: either sensor and lens, or
// the angle of view.
type Camera struct {
	Name              string
	WidthPx, HeightPx int
	SensorMM          float64 // width of the sensor, with LensMM
	LensMM            float64 // focal length as engraved, not "equivalent"; 0 = FieldRad counts
	FieldRad          float64 // angle of view across the picture's width
	NearestMM         float64 // nearest distance that it focuses at, lens to part
}

const deg = math.Pi / 180

// Cameras are typical ones (common practice, no source): to be replaced by the
// data sheet of one's own.
var Cameras = []Camera{
	{Name: "Phone, main camera", WidthPx: 4000, HeightPx: 3000, FieldRad: 66 * deg, NearestMM: 110},
	{Name: "Phone, close-up lens", WidthPx: 4000, HeightPx: 3000, FieldRad: 100 * deg, NearestMM: 30},
	{Name: "Phone, twofold zoom", WidthPx: 4000, HeightPx: 3000, FieldRad: 36 * deg, NearestMM: 180},
	{Name: "Bench camera, 25 mm lens", WidthPx: 2448, HeightPx: 2048, SensorMM: 8.4, LensMM: 25, NearestMM: 120},
	{Name: "Camera, 60 mm macro lens", WidthPx: 6000, HeightPx: 4000, SensorMM: 23.5, LensMM: 60, NearestMM: 190},
	{Name: "Hand microscope", WidthPx: 1600, HeightPx: 1200, FieldRad: 16 * deg, NearestMM: 50},
}

// CameraNamed returns a camera of the list; ok is false for another name.
func CameraNamed(name string) (c Camera, ok bool) {
	for _, c := range Cameras {
		if c.Name == name {
			return c, true
		}
	}
	return Camera{}, false
}

// Validate returns the first *InputError of c, or nil.
func (c Camera) Validate() error {
	switch {
	case c.WidthPx < 64 || c.HeightPx < 64 || c.WidthPx > 30000 || c.HeightPx > 30000:
		return wrong("pixels", "Pixels of the photo: 64 to 30000 each way, for example 4000 x 3000.")
	case c.LensMM < 0 || c.LensMM > 0 && !(c.SensorMM > 0.5 && c.SensorMM < 100):
		return wrong("sensor", "With a lens, the width of the sensor is needed too, 0.5 to 100 mm.")
	case c.LensMM > 500:
		return wrong("lens", "A lens of more than 500 mm is none for this: give the focal length engraved on it.")
	case c.LensMM == 0 && !(c.FieldRad > 1*deg && c.FieldRad < 150*deg):
		return wrong("field", "The angle of view across the picture is 1 to 150 degrees; a phone's main camera has about 66.")
	case !(c.NearestMM > 0) || c.NearestMM > 5000:
		return wrong("nearest", "The nearest distance at which the camera focuses, lens to part, for example 110 mm.")
	case c.LensMM > 0 && c.NearestMM <= c.LensMM:
		return wrong("nearest", "A lens of %.4g mm cannot focus at %.4g mm: the part must be farther away than the focal length.", c.LensMM, c.NearestMM)
	}
	return nil
}

// PxPerMM is the scale of the photo of a part distanceMM from the lens.
//
// With sensor and lens: a thin lens draws the part f/(distance - f) as large
// (any textbook of optics). With the angle of view: a pinhole.
func (c Camera) PxPerMM(distanceMM float64) float64 {
	if c.LensMM > 0 {
		return float64(c.WidthPx) / c.SensorMM * c.LensMM / (distanceMM - c.LensMM)
	}
	return float64(c.WidthPx) / (2 * distanceMM * math.Tan(c.FieldRad/2))
}

// DistanceFor is the distance at which the photo has pxPerMM.
func (c Camera) DistanceFor(pxPerMM float64) float64 {
	if c.LensMM > 0 {
		return c.LensMM + float64(c.WidthPx)/c.SensorMM*c.LensMM/pxPerMM
	}
	return float64(c.WidthPx) / (2 * pxPerMM * math.Tan(c.FieldRad/2))
}

// mostOfFrame is how much of the picture's short side a hole may fill, so that
// there is face round it and room for the hand.
const mostOfFrame = 0.7

// Nearest is the nearest distance at which the camera focuses and a hole of that
// outer diameter fits well into the picture.
func (c Camera) Nearest(outerMM float64) float64 {
	fit := c.DistanceFor(mostOfFrame * float64(min(c.WidthPx, c.HeightPx)) / outerMM)
	return math.Max(c.NearestMM, fit)
}
