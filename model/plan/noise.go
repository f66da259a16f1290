package plan

import "math"

// Light is how the rims are lit, as far as a plan needs to know.
type Light string

const (
	EvenLight Light = "even"      // from all sides: ring, dome, cloudy window overhead
	SideLight Light = "one-sided" // one lamp or window
)

// What the program's own tracing of drawn photos leaves, with which 37 of 40
// synthetic photos of package vision/synth (ring, dome, window, side light) were
// read to within the 95 % planned from them; the planner's check in cmd/evenrim
// holds them there. All px.
const (
	// scatterPx is the scatter of a traced point about its rim, texture included.
	scatterPx = 0.2
	// pointsOnRim is how many points are traced on each rim.
	pointsOnRim = 240
	// usualBlurPx is the sd of a sharp photo's blur.
	usualBlurPx = 1.2
	// A lit, rounded edge seems to move to one side: one sd per axis and rim.
	evenWavePx, sideWavePx = 0.10, 0.28
)

func (l Light) wavePx() float64 {
	if l == SideLight {
		return sideWavePx
	}
	return evenWavePx
}

// crowding is how much two rims that lie close together lose against two far
// apart: distance over blur against inflation of the position's sd (Cramér-Rao
// bound of two blurred steps fitted together, computed for this project).
var crowding = [][2]float64{{1, 8.2}, {1.5, 4.0}, {2, 2.5}, {3, 1.49}, {4, 1.19}, {6, 1.02}, {8, 1}}

// crowded interpolates crowding for a chamfer widthPx wide; +Inf below one blur,
// where there are no two rims any more.
func crowded(widthPx float64) float64 {
	w := widthPx / usualBlurPx
	if w < crowding[0][0] {
		return math.Inf(1)
	}
	for i := 1; i < len(crowding); i++ {
		a, b := crowding[i-1], crowding[i]
		if w <= b[0] {
			return a[1] + (b[1]-a[1])*(w-a[0])/(b[0]-a[0])
		}
	}
	return 1
}

// leastWidthPx is the narrowest chamfer whose rims can be told apart safely: about
// four blurs (the bound loses a fifth there, and half at three).
const leastWidthPx = 5.0

// ReadingU95 is the 95 % uncertainty to expect of a reading in closed form, mm: a
// chamfer widthMM wide in a photo of pxPerMM whose view direction is known, by the
// exit rim or by turning. It is what scatter and light leave of two rims' centres.
func ReadingU95(pxPerMM, widthMM float64, l Light) float64 {
	infl := crowded(widthMM * pxPerMM)
	// A circle's centre from n points: sd sqrt(2/n) an axis.
	point := scatterPx * math.Sqrt(2.0/pointsOnRim)
	perRim := math.Hypot(point, l.wavePx()) * infl
	return chi95 * math.Sqrt2 * perRim / pxPerMM
}

// chi95 is the radius that holds 95 % of a round normal in the plane, in sd:
// sqrt(-2 ln 0.05).
var chi95 = math.Sqrt(-2 * math.Log(0.05))
