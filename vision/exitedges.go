package vision

import (
	"math"
	"slices"
)

// A climb finds an exit rim only from within a few pixels of it: seen against bright
// paper close behind the bore edge, it explains nothing until it is met. What changes
// along a whole circle is looked up over all places at once.

const (
	// exitSteps is how many steps to either side the exit rim is moved, at most, and
	// leastExitStep the least step, ring px.
	exitSteps, leastExitStep = 24, 3.0
	// mostStep bounds what one sector's step counts, on the scale of equal ratios: a
	// flare in a few sectors would outvote the rest.
	mostStep = 0.06
	// besideBore is how near to the bore edge its own blur hides the exit rim, ring px.
	besideBore = 3.0
	// exitEdges is how many of the places are brought to where they stand out.
	exitEdges = 4
)

// alongEdges returns the places for g's exit rim where the light changes most along the
// whole of it, however it changes: a wall may be lighter than what lies behind it on one
// side and darker on the other. It is to be had only to the step of the places.
func (m *regionMap) alongEdges(g rimGuess, e expectation) []scoredGuess {
	pitch := max(leastExitStep/g.br, e.exitOffset/exitSteps)
	wide := int(math.Round(min(max(pitch*g.br, 3), 8)))
	steps := m.steps(wide)
	var edge [sectors]float64
	m.cross(&edge, g.bx, g.by, g.br, 1)
	n := int(e.exitOffset / pitch)
	parts := make([][]scoredGuess, 2*n+1)
	spread(len(parts), func(lo, hi int) {
		var at [sectors]float64
		for j := lo; j < hi; j++ {
			t := g
			t.ey = float64(j-n) * pitch
			for i := -n; i <= n; i++ {
				if t.ex = float64(i) * pitch; math.Hypot(t.ex, t.ey) > e.exitOffset {
					continue
				}
				best := scoredGuess{}
				for t.er = e.maxExit; t.er >= e.minExit; t.er -= pitch {
					m.cross(&at, g.bx+t.ex*g.br, g.by+t.ey*g.br, g.br*t.er, coarse)
					sum, seen := 0.0, 0
					for s := 0; s < sectors; s += coarse {
						if a := at[s/coarse]; a < edge[s]-besideBore && a > float64(wide) {
							sum += float64(steps[s*m.n+int(a)])
							seen++
						}
					}
					if seen >= sectors/coarse/4 && -sum < best.s {
						best = scoredGuess{t, -sum}
					}
				}
				if best.s < 0 {
					parts[j] = append(parts[j], best)
				}
			}
		}
	})
	return distinct(slices.Concat(parts...), exitEdges)
}

// steps is by how much the light changes at each sample of each sector, from the mean
// of wide samples on one side to that on the other.
func (m *regionMap) steps(wide int) []float32 {
	out := make([]float32, sectors*m.n)
	per := 1 / float64(wide*raysInSector)
	for s := range sectors {
		row := m.sums[s*(m.n+1):][:m.n+1]
		for k := wide; k < m.n-wide; k++ {
			d := (row[k].v - row[k-wide].v) - (row[k+1+wide].v - row[k+1].v)
			out[s*m.n+k] = float32(min(math.Abs(d)*per, mostStep))
		}
	}
	return out
}
