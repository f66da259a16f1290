package accuracy

import (
	"math"
	"math/rand/v2"
	"testing"

	"evenrim/model"
)

// Readings whose errors are as large as they state are reliable on every line, whatever the
// mismatches of the set; readings that understate theirs by half are not.
func TestZonesTellTrueReadingsFromBoldOnes(t *testing.T) {
	for _, zone := range []model.Zone{model.RoundZone, model.SquareZone} {
		for _, bold := range []float64{1, 4} {
			rng := rand.New(rand.NewPCG(5, 6))
			var cases []Case
			for range 1500 {
				u := 0.002 + 0.01*rng.Float64()
				cases = append(cases, Case{HasHole: true, UmPerPx: 10, ToleranceMM: 0.0254, Zone: zone,
					Off: model.Vec{X: u * rng.NormFloat64(), Y: 0.5 * u * rng.NormFloat64()}, Cov: model.Sym2{XX: u * u / bold, YY: u * u / 4 / bold}})
			}
			worst := 0.0
			for _, l := range EvenReliability(cases) {
				if l.True.N < 30 {
					t.Fatalf("%s: a line of %d photos' worth: too few to tell", zone, l.True.N)
				}
				worst = math.Max(worst, math.Abs(l.True.Of()-l.Stated))
			}
			if bold == 1 && worst > 0.03 || bold > 1 && worst < 0.06 {
				t.Errorf("%s, stated variance 1/%g: off by %.3f at most", zone, bold, worst)
			}
		}
	}
}
