package accuracy

import (
	"math"
	"math/rand/v2"
	"testing"

	"evenrim/model"
)

// studentScale is the scale of Student's distribution in the plane with 4 degrees of
// freedom for a standard deviation of 1 by its 95 % region: chi-squared's 95 % point over
// twice F's (5.9915 and 6.9443, tables of 2 and of 2 and 4 degrees of freedom). Half the sum
// of two exponential variables is chi-squared of 4 over 4.
var studentScale = math.Sqrt(5.9915 / (2 * 6.9443))

// Readings whose errors are spread as they state are reliable on every line, whatever the
// mismatches of the set; readings that understate theirs by half are not.
func TestZonesTellTrueReadingsFromBoldOnes(t *testing.T) {
	for _, zone := range []model.Zone{model.RoundZone, model.SquareZone} {
		for _, bold := range []float64{1, 4} {
			rng := rand.New(rand.NewPCG(5, 6))
			var cases []Case
			for range 1000 {
				u := 0.002 + 0.01*rng.Float64()
				s := u * studentScale / math.Sqrt(rng.ExpFloat64()/2+rng.ExpFloat64()/2)
				cases = append(cases, Case{HasHole: true, UmPerPx: 10, ToleranceMM: 0.0254, Zone: zone,
					Off: model.Vec{X: s * rng.NormFloat64(), Y: 0.5 * s * rng.NormFloat64()}, Cov: model.Sym2{XX: u * u / bold, YY: u * u / 4 / bold}})
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
