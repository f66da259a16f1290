package vision

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// A hunt that has found circles before finds the next one where a hunt does that looks at
// every centre.
func TestAHuntFindsWhatAFreshOneDoes(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for round := range 40 {
		g := &ring{cx: 300, cy: 280, r: 200}
		for range 3 {
			x, y, r := g.cx+40*rng.NormFloat64()/3, g.cy+40*rng.NormFloat64()/3, g.r*(0.75+0.5*rng.Float64())
			for ray := range ringRays {
				if rng.Float64() < 0.7 {
					s, c := math.Sincos(2 * math.Pi * float64(ray) / ringRays)
					g.ridges = append(g.ridges, ridge{x: x + r*c + rng.NormFloat64(), y: y + r*s + rng.NormFloat64(), ray: ray})
				}
			}
		}
		for range 300 {
			ray := rng.IntN(ringRays)
			s, c := math.Sincos(2 * math.Pi * float64(ray) / ringRays)
			rho := g.r * (0.6 + 0.8*rng.Float64())
			g.ridges = append(g.ridges, ridge{x: g.cx + rho*c, y: g.cy + rho*s, ray: ray})
		}
		cs := circleSearch{x: g.cx, y: g.cy, reach: 40, pitch: 2, rMin: 130, rMax: 270, bin: 1.6}
		hunt, used := cs.hunt(), make([]bool, len(g.ridges))
		for k := range 5 {
			before := slices.Clone(used)
			got, ok := hunt.next(g.ridges, used)
			want, found := cs.hunt().next(g.ridges, before)
			if got != want || ok != found {
				t.Fatalf("round %d, circle %d: %+v (%v), a fresh hunt %+v (%v)", round, k+1, got.Circle, ok, want.Circle, found)
			}
			if !ok {
				break
			}
			g.take(got, used)
		}
	}
}
