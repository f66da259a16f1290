package vision

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"evenrim/model"
)

// turnedPhoto is a picture of rings about one centre: light by distance from it, px,
// blurred by a Gaussian of sd blurPx, with noise.
func turnedPhoto(light func(r float64) float64, blurPx float64) *Photo {
	const w, h, fine = 900, 900, 20 // steps a px
	rng := rand.New(rand.NewPCG(1, 2))
	profile := make([]float64, 640*fine)
	for i := range profile {
		sum, n := 0.0, 0.0
		for k := -4 * blurPx; k <= 4*blurPx; k += 1.0 / fine {
			g := math.Exp(-k * k / (2 * blurPx * blurPx))
			sum, n = sum+g*light(math.Abs(float64(i)/fine+k)), n+g
		}
		profile[i] = sum / n
	}
	p := &Photo{W: w, H: h, Gray8: make([]uint8, w*h)}
	for i := range p.Gray8 {
		r := math.Hypot(float64(i%w)-450.3, float64(i/w)-449.6)
		v := profile[int(r*fine)] + 0.003*rng.NormFloat64()
		p.Gray8[i] = uint8(255*encodedOf(min(max(v, 0), 1)) + rng.Float64())
	}
	return p
}

// A wall whose light falls off from the chamfer's own, as in light through the lens,
// has its bore edge where the light begins to fall. A step as soft as that fall lies
// in the wall; as sharp as the lens makes the outer edge it lies nearer to the bore
// edge, and how much softer it was is the doubt about its depth.
func TestAWallThatDarkensGraduallySoftensTheBoreEdge(t *testing.T) {
	const bore, outer, exit, blurPx = 300.0, 318.0, 255.0, 1.2
	job := model.JobCard{BoreMM: 10, ChamferMM: 0.6, ThicknessMM: 15}.WithDefaults()
	photo := func(wall func(inside float64) float64) *Photo {
		return turnedPhoto(func(r float64) float64 {
			switch {
			case r > outer:
				return 0.6
			case r > bore:
				return 0.25
			case r > exit:
				return wall(bore - r)
			}
			return 0.01
		}, blurPx)
	}
	for _, c := range []struct {
		name                  string
		wall                  func(float64) float64
		softLeast, softMost   float64
		deepest               float64 // px
		boundedByTheSoftening bool
	}{
		{"a step", func(float64) float64 { return 0.08 }, 0, 0.3, 0.1, false},
		{"falling off", func(d float64) float64 { return 0.25 * math.Exp(-d/8) }, 0.6, 3, 1.3, true},
	} {
		p := photo(c.wall)
		trace, err := Trace(context.Background(), p, job, nil)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		inward, n := 0.0, 0.0
		for _, e := range trace.Bore {
			inward, n = inward+bore-math.Hypot(e.X-450.3, e.Y-449.6), n+1
		}
		inward /= n
		if trace.BoreSoftPx < c.softLeast || trace.BoreSoftPx > c.softMost {
			t.Errorf("%s: bore edge %.2f px softer than the outer edge, want %.1f to %.1f", c.name, trace.BoreSoftPx, c.softLeast, c.softMost)
		}
		if math.Abs(inward) > c.deepest {
			t.Errorf("%s: bore edge %.2f px too deep, want at most %.1f", c.name, inward, c.deepest)
		}
		if c.boundedByTheSoftening && math.Abs(inward) > trace.BoreSoftPx {
			t.Errorf("%s: bore edge %.2f px too deep, %.1f times what it was softer", c.name, inward, math.Abs(inward)/trace.BoreSoftPx)
		}
	}
}
