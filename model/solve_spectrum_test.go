package model

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The first wave round a rim is inferred from the later ones: of rims drawn with waves
// of a known power, normal as Whittle's likelihood takes them, it comes out as drawn,
// for a weak and a strong one, and scatter alone makes little.
func TestTheFirstWaveIsInferredFromTheLaterOnes(t *testing.T) {
	const points, trials, white = 240, 150, 0.1 // px: sd of a point, 0.009 a harmonic
	rng := rand.New(rand.NewPCG(11, 26))
	f := &rimFit{}
	for i := range points {
		f.points[boreRim] = append(f.points[boreRim], fitPoint{theta: 2 * math.Pi * float64(i) / points, weight: 1})
	}
	inferred := func(amplitude float64) float64 {
		sum := 0.0
		for range trials {
			dep := make([]float64, points)
			for h := lowHarmonic; h <= 40; h++ { // the first two the fit takes away
				sd := amplitude * math.Pow(float64(h), -0.65)
				a, b := sd*rng.NormFloat64(), sd*rng.NormFloat64()
				for i := range dep {
					s, c := math.Sincos(float64(h) * f.points[boreRim][i].theta)
					dep[i] += a*c + b*s
				}
			}
			for i := range dep {
				dep[i] += white * rng.NormFloat64()
			}
			sum += f.spectrumOf(boreRim, dep).at(1) / trials
		}
		return math.Sqrt(sum)
	}
	for _, want := range []float64{0.05, 0.2} {
		if got := inferred(want); got < 0.75*want || got > 1.5*want {
			t.Errorf("first wave of %.3f px drawn, %.3f inferred", want, got)
		}
	}
	if got := inferred(0); got > 0.03 {
		t.Errorf("scatter alone: a first wave of %.3f px inferred", got)
	}
}
