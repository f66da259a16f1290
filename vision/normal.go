package vision

import (
	"math"
)

// The normal distribution by table: the fit evaluates it for every pixel many
// times, and a thousandth of the blur is all the accuracy it can use.
const (
	cdfRange = 5.0
	cdfSteps = 4096
)

// normalTable holds the share of a normal distribution beyond t and its density
// at t.
var normalTable = func() (table [cdfSteps + 2]struct{ beyond, density float64 }) {
	for i := range table {
		t := (float64(i)/cdfSteps*2 - 1) * cdfRange
		table[i].beyond = 0.5 * math.Erfc(t/math.Sqrt2)
		table[i].density = math.Exp(-t*t/2) / math.Sqrt(2*math.Pi)
	}
	return table
}()

// normalBeyond returns the share of a normal distribution beyond t, and its
// density at t.
func normalBeyond(t float64) (beyond, density float64) {
	f := t*(cdfSteps/2/cdfRange) + cdfSteps/2
	if !(f > 0) {
		return 1, 0
	}
	if f >= cdfSteps {
		return 0, 0
	}
	i := int(f)
	f -= float64(i)
	x, y := &normalTable[i], &normalTable[i+1]
	return x.beyond + f*(y.beyond-x.beyond), x.density + f*(y.density-x.density)
}
