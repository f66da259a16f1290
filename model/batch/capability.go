package batch

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"evenrim/model"
)

// Interval is a value with its 95 % interval.
type Interval struct{ Value, Low, High float64 }

// Capability is how well a batch's process keeps to the zone, spread of the
// readings included: what the next parts will measure.
type Capability struct {
	PpkX, PpkY Interval // per axis, the zone's half width as limit
	// Ppk is the worse of the two.
	Ppk Interval
	// PInside is the probability that the next part measures inside the zone.
	PInside  Interval
	Warnings []string
}

// Ppk returns the performance index of a process with mean and sd, estimated
// from n values, between the limits, with Bissell's approximate interval.
//
// Source: NIST/SEMATECH e-Handbook 6.1.6 (as Cpk; with the overall sd it is
// called Ppk); interval: Bissell, Applied Statistics 39 (1990) 331-340, from
// memory.
func Ppk(mean, sd, low, high float64, n int) Interval {
	v := math.Min(high-mean, mean-low) / (3 * sd)
	half := 1.959963984540054 * math.Sqrt(1/(9*float64(n))+v*v/(2*float64(n-1)))
	return Interval{v, v - half, v + half}
}

// bootstrapRuns is how many times chance is tried.
const bootstrapRuns = 400

// Capable rates parts against a zone of toleranceMM. It returns ErrTooFew below
// three parts.
func Capable(parts []Part, toleranceMM float64, zone model.Zone) (Capability, error) {
	s, err := Summarise(parts)
	if err != nil {
		return Capability{}, err
	}
	if s.N < 3 {
		return Capability{}, fmt.Errorf("batch: capability of %d parts: %w", s.N, ErrTooFew)
	}
	c := Capability{
		PpkX: Ppk(s.Mean.X, s.SD.X, -toleranceMM, toleranceMM, s.N),
		PpkY: Ppk(s.Mean.Y, s.SD.Y, -toleranceMM, toleranceMM, s.N),
	}
	c.Ppk = c.PpkX
	if c.PpkY.Value < c.PpkX.Value {
		c.Ppk = c.PpkY
	}
	c.PInside = inside(s, toleranceMM, zone)
	if s.N < 30 {
		c.Warnings = append(c.Warnings, fmt.Sprintf("%d parts: Ppk could as well be anything from %.2f to %.2f; thirty and more tell it better.", s.N, c.Ppk.Low, c.Ppk.High))
	}
	return c, nil
}

// inside is the probability of the zone under the normal that the parts suggest,
// with the interval from normals that would as well have given such parts: mean
// and covariance drawn from what n values leave open (the covariance from
// Wishart's distribution inverted, the mean about it).
func inside(s Summary, toleranceMM float64, zone model.Zone) Interval {
	out := Interval{Value: model.PWithin(s.Mean, s.Cov, toleranceMM, zone)}
	rng := rand.New(rand.NewPCG(0x9b1, uint64(s.N)))
	draws := make([]float64, bootstrapRuns)
	for i := range draws {
		cov := covarianceLike(s.Cov, s.N-1, rng)
		mean := s.Mean.Add(normalWith(cov.Scale(1/float64(s.N)), rng))
		draws[i] = model.PWithin(mean, cov, toleranceMM, zone)
	}
	slices.Sort(draws)
	out.Low, out.High = quantile(draws, 0.025), quantile(draws, 0.975)
	return out
}

// covarianceLike draws a covariance under which nu degrees of freedom could have
// given s: nu L W^-1 L' with W ~ Wishart(nu, I) by Bartlett's decomposition.
func covarianceLike(s model.Sym2, nu int, rng *rand.Rand) model.Sym2 {
	l11, l21, l22 := cholesky(s)
	a := math.Sqrt(distuv.ChiSquared{K: float64(nu), Src: rng}.Rand())
	d := math.Sqrt(distuv.ChiSquared{K: float64(nu - 1), Src: rng}.Rand())
	b := rng.NormFloat64()
	// A = [[a, 0], [b, d]], W = A A'; W^-1 = A'^-1 A^-1, so that the draw is
	// nu M M' with M = L A'^-1, A'^-1 = [[1/a, -b/(a d)], [0, 1/d]].
	m11, m12 := l11/a, -l11*b/(a*d)
	m21, m22 := l21/a, -l21*b/(a*d)+l22/d
	n := float64(nu)
	return model.Sym2{XX: n * (m11*m11 + m12*m12), XY: n * (m11*m21 + m12*m22), YY: n * (m21*m21 + m22*m22)}
}

// cholesky returns the lower factor of a, zero where a is singular.
func cholesky(a model.Sym2) (l11, l21, l22 float64) {
	l11 = math.Sqrt(math.Max(a.XX, 0))
	if l11 > 0 {
		l21 = a.XY / l11
	}
	return l11, l21, math.Sqrt(math.Max(a.YY-l21*l21, 0))
}

func normalWith(cov model.Sym2, rng *rand.Rand) model.Vec {
	l11, l21, l22 := cholesky(cov)
	u, v := rng.NormFloat64(), rng.NormFloat64()
	return vecOf(l11*u, l21*u+l22*v)
}

// quantile of sorted x, by linear interpolation.
func quantile(x []float64, p float64) float64 {
	at := p * float64(len(x)-1)
	i := int(at)
	if i+1 >= len(x) {
		return x[len(x)-1]
	}
	return x[i] + (at-float64(i))*(x[i+1]-x[i])
}
