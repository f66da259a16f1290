package model

import (
	"fmt"
	"math"
	"slices"
)

// Seam is what an indicator's trace across the step says.
type Seam struct {
	AtMM   float64 // travel at the seam
	StepMM float64 // level after the seam less the level before it
	UMM    float64 // standard uncertainty of the step from the trace's own scatter
	// NoiseMM is the scatter about the levels.
	NoiseMM float64
	// BurrMM is how far the trace stands above both levels at the seam, GougeMM how
	// far below both; 0 where it stays within the noise.
	BurrMM, GougeMM float64
}

// Burr says that something stands up at the seam which neither level carries on:
// a burr or dirt. The step between the levels counts, the jump doesn't.
func (s Seam) Burr() bool { return s.BurrMM > 0 }

const (
	minSeamSide = 3   // points a level needs on each side
	maxSeam     = 800 // points; slopes are taken between all pairs
)

// ReadSeam analyses an indicator's trace across the seam between the halves:
// X of each point is the travel, Y the indicator, mm. The levels are medians,
// with one common slope for a wall that isn't parallel to the travel, so that a
// burr doesn't shift them.
//
// It returns an error for fewer than 8 points or more than 800, or where the seam
// is too near an end to have a level on both sides.
func ReadSeam(trace []Vec, divisionMM float64) (Seam, error) {
	n := len(trace)
	if n < 8 || n > maxSeam {
		return Seam{}, fmt.Errorf("model: a trace of %d points across a seam: it takes 8 to %d", n, maxSeam)
	}
	p := slices.Clone(trace)
	for _, q := range p {
		if !q.IsFinite() {
			return Seam{}, fmt.Errorf("model: a trace across a seam with a point (%g, %g)", q.X, q.Y)
		}
	}
	slices.SortStableFunc(p, func(a, b Vec) int {
		switch {
		case a.X < b.X:
			return -1
		case a.X > b.X:
			return 1
		}
		return 0
	})
	slope, split := 0.0, 0
	for range 6 {
		next := bestSplit(p, slope)
		s := commonSlope(p, next)
		if next == split && math.Abs(s-slope) < 1e-12 {
			break
		}
		split, slope = next, s
	}
	at := (p[split-1].X + p[split].X) / 2
	h := levelled(p, slope, at)
	before, after := median(slices.Clone(h[:split])), median(slices.Clone(h[split:]))
	dev := make([]float64, n)
	for i, v := range h {
		dev[i] = math.Abs(v - levelOf(i, split, before, after))
	}
	s := Seam{AtMM: at, StepMM: after - before, NoiseMM: 1.4826 * median(slices.Clone(dev))}
	// A median's standard uncertainty is 1.25 sd/root n for normal scatter; the
	// division stays however many points there are.
	s.UMM = math.Hypot(1.2533*s.NoiseMM*math.Sqrt(1/float64(split)+1/float64(n-split)), math.Sqrt2*rectangularHalf(divisionMM))
	slack := math.Max(5*s.NoiseMM, 1.5*divisionMM)
	high, low := math.Max(before, after)+slack, math.Min(before, after)-slack
	nearSeam := func(i int) bool { // contiguous from the seam outwards
		step := 1
		if i < split {
			step = -1
		}
		for k := split + min(step, 0); k != i+step; k += step {
			if dev[k] <= slack && k != split && k != split-1 {
				return false
			}
		}
		return true
	}
	for i, v := range h {
		if v > high && nearSeam(i) {
			s.BurrMM = math.Max(s.BurrMM, v-math.Max(before, after))
		}
		if v < low && nearSeam(i) {
			s.GougeMM = math.Max(s.GougeMM, math.Min(before, after)-v)
		}
	}
	return s, nil
}

func levelOf(i, split int, before, after float64) float64 {
	if i < split {
		return before
	}
	return after
}

// levelled takes the common slope out, about the travel at.
func levelled(p []Vec, slope, at float64) []float64 {
	h := make([]float64, len(p))
	for i, q := range p {
		h[i] = q.Y - slope*(q.X-at)
	}
	return h
}

// bestSplit returns the first index after the seam: where two levels leave the
// smallest sum of absolute departures, which a few high points hardly change.
func bestSplit(p []Vec, slope float64) int {
	h := levelled(p, slope, p[0].X)
	best, at := math.Inf(1), minSeamSide
	for k := minSeamSide; k <= len(h)-minSeamSide; k++ {
		if p[k].X == p[k-1].X {
			continue // one place on both sides of the seam
		}
		cost := 0.0
		for _, side := range [][]float64{h[:k], h[k:]} {
			m := median(slices.Clone(side))
			for _, v := range side {
				cost += math.Abs(v - m)
			}
		}
		if cost < best {
			best, at = cost, k
		}
	}
	return at
}

// commonSlope is the median of the slopes between all pairs on one side of the
// seam (Theil 1950, Sen 1968).
func commonSlope(p []Vec, split int) float64 {
	var slopes []float64
	for _, side := range [][]Vec{p[:split], p[split:]} {
		for i := range side {
			for k := i + 1; k < len(side); k++ {
				if dx := side[k].X - side[i].X; dx > 0 {
					slopes = append(slopes, (side[k].Y-side[i].Y)/dx)
				}
			}
		}
	}
	if len(slopes) == 0 {
		return 0
	}
	return median(slopes)
}
