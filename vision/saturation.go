package vision

import (
	"math"
)

// What saturation does to an edge. Light beyond the picture's range makes the
// edge seem to lie outside it, by 0.7 blurs at twice full scale and 2.2 at forty
// times: the middle of that, give or take. Where the hidden light is found from
// the edge's far tail, half a blur is all that is good for, as no lens keeps its
// tail Gaussian.
const (
	clippedRegion            = 0.2 // share of saturated pixels that makes a region suspect
	clippingShift, clipDoubt = 1.3, 0.65
	tailDoubt                = 0.5
	hiddenLevel, maxHidden   = 5.0, 60.0 // where the search for hidden light starts and ends
	unlimited                = 20.0      // px; keeps a step without information finite
)

func (m edgeModel) allowForClipping(clipped [nRims + 1]float64, out *[nRims]edgeFit) {
	for i, r := range m.rims {
		outside, inside := clipped[i], clipped[i+1]
		f := &out[r]
		switch {
		case inside > clippedRegion && inside > outside:
			f.shift -= clippingShift * m.blur[r]
		case outside > clippedRegion:
			f.shift += clippingShift * m.blur[r]
		default:
			continue
		}
		f.saturated = true
		f.sd = math.Hypot(f.sd, clipDoubt*m.blur[r])
	}
}
