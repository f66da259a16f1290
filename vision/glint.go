package vision

import "math"

// The bright line on a rounded edge is as good as a shift of the edge in one
// short arc: the light of a thin line is the derivative of a step. Only where the
// line outshines the step are they told apart, by the line's two flanks. A line
// inferred from the whole rim was tried and did harm: it takes the rim's own first
// harmonic for light (bench on path-traced photos: median error 0.33 px with it,
// 0.17 px without).

// shiningArcs says in which arcs of rim k the line stands out by itself: brighter
// than half the step, and known to a sixth. Of the arcs every stride-th was asked; one
// between two that shine shines too, for a rounded edge shines along a stretch. A
// sparkle on the chamfer shines in one arc and would draw the edge inwards to itself.
func shiningArcs(fits []arcFit, stride, k int) []bool {
	out := make([]bool, len(fits))
	for i := 0; i < len(fits); i += stride {
		e := fits[i].edge[k]
		peak := 0.4 * e.glint / fits[i].blur[k] // of a Gaussian line of unit light and sd 1
		out[i] = fits[i].found[k] && e.glintSD > 0 && math.Abs(e.glint) > 5*e.glintSD && math.Abs(peak) > 0.5*math.Abs(e.contrast)
	}
	for i := range out {
		before := i - i%stride
		after := before + stride
		if after >= len(out) {
			after = 0
		}
		if i != before {
			out[i] = out[before] && out[after]
		}
	}
	return out
}
