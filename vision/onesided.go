package vision

import (
	"math"

	"evenrim/model"
)

// roundingShiftMM is how far, as one standard deviation, light from one side moves
// the seeming place of a rim with machined edges: they are rounded by up to 20 um (design
// note), evenly distributed that is 11.5 um in the mean square. At 45 degrees the
// rounding is seen 0.71 of its radius wide; at most an edge seems to lie at one end
// of that, half the width either way, and anything less is as likely: a variance of a third
// of that square. The rim as a whole moves by half the difference of its lit and its dark
// side, each with a shift of its own: half the variance.
const roundingShiftMM = roundingRMSMM * 0.354 / 2.449

// oneSided returns how much of the light on rim k comes from one side, 0 to 1.
func (g *blocks) oneSided(fits []arcFit, k int) float64 {
	return math.Min(g.contrastWave(fits, k, 1), 1)
}

// contrastWave returns the size of the wave that rim k's contrast makes so many times
// round it, against its mean size; 0 where there is none.
func (g *blocks) contrastWave(fits []arcFit, k, times int) float64 {
	var c, s, mean float64
	for i, f := range fits {
		if !f.found[k] {
			continue
		}
		v := math.Max(math.Min(f.edge[k].contrast, 1), -1) // beyond, it is saturation
		sn, co := math.Sincos(float64(times) * g.angle(i))
		c, s, mean = c+v*co, s+v*sn, mean+math.Abs(v)
	}
	if mean == 0 {
		return 0
	}
	return 2 * math.Hypot(c, s) / mean
}

// lightDoubt is the covariance, px², of a whole rim's place under light from one
// side. The side that shines decides the direction, the rounding decides which
// way along it: both axes are in doubt alike.
func lightDoubt(share, pxPerMM float64) model.Sym2 {
	v := sq(share*roundingShiftMM*pxPerMM) / 2
	return model.Sym2{XX: v, YY: v}
}
