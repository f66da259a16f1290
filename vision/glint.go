package vision

import (
	"math"
	"slices"
)

// The bright line on a rounded edge is as good as a shift of the edge in one
// short arc: the light of a thin line is the derivative of a step. Only where the
// line outshines the step are they told apart, by the line's two flanks. A line
// inferred from the whole rim was tried and did harm: it takes the rim's own first
// harmonic for light (bench on path-traced photos: median error 0.33 px with it,
// 0.17 px without).

// shiningArcs says in which arcs of rim k the line stands out by itself: brighter
// than half the step, and known to a fifth. Of the arcs every stride-th was asked; one
// between two that shine shines too, for a rounded edge shines along a stretch. A
// sparkle on the chamfer shines in one arc and would draw the edge inwards to itself.
func shiningArcs(fits []arcFit, stride, k int) []bool {
	out := make([]bool, len(fits))
	for i := 0; i < len(fits); i += stride {
		e := fits[i].edge[k]
		peak := 0.4 * e.glint / fits[i].blur[k] // of a Gaussian line of unit light and sd 1
		out[i] = fits[i].found[k] && e.glintSD > 0 && math.Abs(e.glint) > 5*e.glintSD && math.Abs(peak) > 0.5*math.Abs(e.contrast)
	}
	leaveStrayLines(out, fits, stride, k)
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

// leaveStrayLines takes those of the asked arcs for dark whose edge is a line without
// a step that neither neighbour goes on with: a mark of the mill, or a sparkle. An edge
// between a face and a chamfer that look alike is one line all along.
func leaveStrayLines(shining []bool, fits []arcFit, stride, k int) {
	lines := slices.Clone(shining)
	last := (len(fits) - 1) / stride * stride
	for i := 0; i <= last; i += stride {
		e := fits[i].edge[k]
		if !lines[i] || e.stands() {
			continue
		}
		goesOn := func(j int) bool {
			o := fits[j].edge[k]
			return lines[j] && e.glint*o.glint > 0 && math.Abs(e.shift-o.shift) < fits[i].blur[k]/2
		}
		before, after := i-stride, i+stride
		if before < 0 {
			before = last
		}
		if after > last {
			after = 0
		}
		shining[i] = goesOn(before) || goesOn(after)
	}
}

// leastStep and leastLine are how many of its sds a step, and a line without one, must have
// to be believed: a line more, for marks of the mill are lines as well. Lines of 5 or 6 make six
// photos worse by 0.1 px where lines of 8 make one (docs/tried.md).
const leastStep, leastLine = 4.0, 8.0

// stands says whether an edge stands out by its step.
func (e *edgeFit) stands() bool { return e.snr >= leastStep }

// shines says whether an edge stands out by the bright line on it, step or not.
func (e *edgeFit) shines() bool {
	return e.glintSD > 0 && math.Abs(e.glint) > leastLine*e.glintSD
}
