package model

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The 95 % region of what one photo says is that of a normal variable of the same
// covariance, and Student's distribution with 4 degrees of freedom has half its weight
// nearer: 95 and 50 % points of F(2, 4) from tables, 6.9443 and 0.8284.
func TestPWithinPhotoAboutNothing(t *testing.T) {
	const u = 0.004
	scale := u * math.Sqrt(5.991465/(2*6.94427))
	for _, c := range []struct{ f, want float64 }{{6.94427, 0.95}, {0.828427, 0.5}} {
		r := scale * math.Sqrt(2*c.f)
		near(t, "share within the region", PWithinPhoto(Vec{}, Sym2{u * u, 0, u * u}, r, RoundZone), c.want, 1e-5)
	}
	near(t, "a normal one", PWithin(Vec{}, Sym2{u * u, 0, u * u}, u*math.Sqrt(5.991465), RoundZone), 0.95, 1e-6)
}

// Student's distribution is a normal one whose variance is drawn: counted over draws.
func TestPWithinPhotoAgainstDraws(t *testing.T) {
	const n = 400_000
	rng := rand.New(rand.NewPCG(27, 4))
	for _, zone := range []Zone{RoundZone, SquareZone} {
		for _, d := range []Vec{{}, {0.012, 0.01}, {0.02, -0.018}, {-0.03, 0.001}, {0.06, 0.02}} {
			const tolerance = 0.0254
			cov := Sym2{6e-5, 2e-5, 2e-5}
			half := cov.Scale(chiSquared95 / studentRegion95(4))
			in := 0
			for range n {
				v := d.Add(drawNormal(rng, half).Scale(1 / math.Sqrt((rng.ExpFloat64()+rng.ExpFloat64())/2)))
				if zone == SquareZone && math.Max(math.Abs(v.X), math.Abs(v.Y)) <= tolerance || zone != SquareZone && v.Norm() <= tolerance {
					in++
				}
			}
			near(t, string(zone)+" zone", PWithinPhoto(d, cov, tolerance, zone), float64(in)/n, 5*math.Sqrt(0.25/n))
		}
	}
}

// Student's distribution as a mixture of normal ones, integrated over the gamma
// distribution (4 w exp(-2 w) of the precision, n/2 = 2) by Simpson's rule: another way than
// the program's to the same number.
func TestPWithinPhotoAgainstTheMixture(t *testing.T) {
	const steps, upTo, tolerance = 4000, 16.0, 0.0254
	cov := Sym2{6e-5, 2e-5, 2e-5}
	scale := cov.Scale(chiSquared95 / studentRegion95(4))
	for _, zone := range []Zone{RoundZone, SquareZone} {
		for _, d := range []Vec{{}, {0.012, 0.01}, {0.02, -0.018}, {-0.03, 0.001}, {0.06, 0.02}, {0.3, 0}} {
			sum := 0.0
			for i := 1; i < steps; i++ {
				w := upTo * float64(i) / steps
				f := 4 * w * math.Exp(-2*w) * PWithin(d, scale.Scale(1/w), tolerance, zone)
				sum += f * float64(2+2*(i%2))
			}
			near(t, string(zone)+" zone", PWithinPhoto(d, cov, tolerance, zone), sum*upTo/steps/3, photoPrecision)
		}
	}
}

// photoPrecision is what PWithinPhoto says of its own.
const photoPrecision = 1e-5

// A reading that hardly has an uncertainty is inside or outside, one that is nothing but
// uncertainty hardly inside, and nonsense is no number.
func TestPWithinPhotoAtItsEnds(t *testing.T) {
	thin := Sym2{1e-18, 0, 1e-30}
	for _, c := range []struct {
		d    Vec
		cov  Sym2
		want float64
	}{{Vec{0.01, 0}, thin, 1}, {Vec{0.03, 0}, thin, 0}, {Vec{0, 0}, Sym2{1e6, 0, 1e6}, 0}} {
		for _, zone := range []Zone{RoundZone, SquareZone} {
			near(t, "probability", PWithinPhoto(c.d, c.cov, 0.0254, zone), c.want, 1e-5)
		}
	}
	if p := PWithinPhoto(Vec{math.NaN(), 0}, thin, 0.0254, RoundZone); !math.IsNaN(p) {
		t.Errorf("of no number: %g", p)
	}
	if p := PWithinPhoto(Vec{}, thin, 0, RoundZone); p != 0 {
		t.Errorf("within no tolerance: %g", p)
	}
}

// A photo's verdict follows its own probability.
func TestJudgePhotoFollowsItsProbability(t *testing.T) {
	cov := Sym2{1.6e-5, 0, 1.6e-5}
	for _, c := range []struct {
		x    float64
		want Verdict
	}{{0.005, Conforms}, {0.024, Undecided}, {0.06, DoesNotConform}} {
		v, p := JudgePhoto(Vec{c.x, 0}, cov, 0.0254, RoundZone)
		if v != c.want || p != PWithinPhoto(Vec{c.x, 0}, cov, 0.0254, RoundZone) {
			t.Errorf("%g mm: %s with %g, want %s", c.x, v, p, c.want)
		}
	}
}

func BenchmarkPWithinPhoto(b *testing.B) {
	for b.Loop() {
		PWithinPhoto(Vec{0.02, 0.01}, Sym2{1.6e-5, 2e-6, 1e-5}, 0.0254, RoundZone)
	}
}
