package batch

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Assumptions says whether the parts look as the other results take them to be:
// normal and independent. A small probability speaks against it; a large one, with
// few parts, says little.
type Assumptions struct {
	NormalX, NormalY float64 // probability, by Anderson-Darling; NaN below 8 parts
	LagX, LagY       float64 // correlation of neighbours
	IndependentX     float64 // probability of such a correlation by chance
	IndependentY     float64
	Sentences        []string // what follows, for the user
	TooFewToSay      bool
}

// Doubtful tells that something speaks against the assumptions, or that there are
// too few parts to tell.
func (a Assumptions) Doubtful() bool {
	return a.TooFewToSay || math.Min(math.Min(a.NormalX, a.NormalY), math.Min(a.IndependentX, a.IndependentY)) < assumptionLevel
}

// assumptionLevel is the probability below which an assumption is doubted, shared
// out over the four tests.
const assumptionLevel = 0.05 / 4

// minNormality is the fewest values whose normality is tested: with fewer nothing
// short of a blunder shows.
const minNormality = 8

// CheckAssumptions tests parts in the order of making.
func CheckAssumptions(parts []Part) Assumptions {
	x, y := axes(parts)
	nan := math.NaN()
	a := Assumptions{NormalX: nan, NormalY: nan, LagX: nan, LagY: nan, IndependentX: nan, IndependentY: nan}
	if len(parts) < minNormality {
		a.TooFewToSay = true
		a.Sentences = []string{fmt.Sprintf("Fewer than %d parts do not tell whether they scatter normally and independently: both are taken for granted.", minNormality)}
		return a
	}
	a.NormalX, a.NormalY = Normality(x), Normality(y)
	a.LagX, a.IndependentX = Independence(x)
	a.LagY, a.IndependentY = Independence(y)
	if math.Min(a.NormalX, a.NormalY) < assumptionLevel {
		a.Sentences = append(a.Sentences, "The parts do not scatter normally (a stray part, two kinds of parts, or a drift): probabilities and limits are only rough.")
	}
	if math.Min(a.IndependentX, a.IndependentY) < assumptionLevel {
		a.Sentences = append(a.Sentences, "Neighbouring parts are alike (a drift, or a tool or clamping that changes slowly): the mean is less sure than stated, and the limits of single values are too tight.")
	}
	if len(a.Sentences) == 0 {
		a.Sentences = []string{"Nothing speaks against normal and independent scatter."}
	}
	return a
}

// Normality returns the probability that normal values, mean and sd unknown,
// look at least as little normal as x, by Anderson and Darling's test.
//
// Source: D'Agostino & Stephens, Goodness-of-Fit Techniques (1986) table 4.9,
// from memory; the false alarm rate is checked by simulation. Its formulae were fitted
// where probabilities still matter, below normalityEnd.
func Normality(x []float64) float64 {
	n := len(x)
	mean, sd := stat.MeanStdDev(x, nil)
	if n < minNormality || !(sd > 0) {
		return math.NaN()
	}
	z := slices.Clone(x)
	slices.Sort(z)
	a2 := 0.0
	for i := range z {
		lo := distuv.UnitNormal.CDF((z[i] - mean) / sd)
		hi := distuv.UnitNormal.Survival((z[n-1-i] - mean) / sd)
		a2 -= float64(2*i+1) * (math.Log(math.Max(lo, 1e-300)) + math.Log(math.Max(hi, 1e-300)))
	}
	a2 = a2/float64(n) - float64(n)
	a := a2 * (1 + 0.75/float64(n) + 2.25/float64(n*n))
	switch {
	case a > normalityEnd:
		return 0
	case a >= 0.6:
		return math.Exp(1.2937 - 5.709*a + 0.0186*a*a)
	case a >= 0.34:
		return math.Exp(0.9177 - 4.279*a - 1.38*a*a)
	case a >= 0.2:
		return 1 - math.Exp(-8.318+42.796*a-59.938*a*a)
	}
	return 1 - math.Exp(-13.436+101.14*a-223.73*a*a)
}

// normalityEnd is beyond what Normality's formulae were fitted to: the probability is 4e-24
// there, and their square term turns it upwards again from 153 on.
const normalityEnd = 10

// Independence returns the correlation of neighbouring values and the probability
// of one so far from what chance gives, either way, when the order means nothing:
// the share of 1999 random orders that are as far off.
func Independence(x []float64) (lag1, p float64) {
	lag1 = lag(x)
	if math.IsNaN(lag1) {
		return lag1, math.NaN()
	}
	// The mean of lag 1 over all orders is -1/n exactly.
	off := func(r float64) float64 { return math.Abs(r + 1/float64(len(x))) }
	rng := rand.New(rand.NewPCG(0x1a6, uint64(len(x))))
	y := slices.Clone(x)
	const runs = 1999
	as := 1
	for range runs {
		rng.Shuffle(len(y), func(i, j int) { y[i], y[j] = y[j], y[i] })
		if off(lag(y)) >= off(lag1)*(1-1e-12) {
			as++
		}
	}
	return lag1, float64(as) / (runs + 1)
}

// lag is the autocorrelation of x at lag 1 as NIST defines it: about the mean of
// all values.
func lag(x []float64) float64 {
	if len(x) < 3 {
		return math.NaN()
	}
	mean := stat.Mean(x, nil)
	var num, den float64
	for i, v := range x {
		den += (v - mean) * (v - mean)
		if i > 0 {
			num += (v - mean) * (x[i-1] - mean)
		}
	}
	return num / den
}
