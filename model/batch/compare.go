package batch

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"evenrim/model"
)

// Comparison says whether and by how much batch B differs from batch A.
type Comparison struct {
	Difference model.Vec  // mean of B less mean of A, mm
	Cov        model.Sym2 // of Difference, mm²
	U95MM      float64    // larger half axis of its 95 % region
	// PValue is the probability of such a difference, or a larger one, between
	// batches that differ by chance only: Hotelling's test, exact for normal
	// parts of one spread. PUnequal doesn't take the spreads to be the same (NaN
	// where there are too few parts), PPermutation nothing at all to be normal.
	PValue, PUnequal, PPermutation float64
	// SpreadX and SpreadY are the standard deviation of B over that of A.
	SpreadX, SpreadY Interval
	// Closer is how much smaller the mean mismatch of B is than that of A, mm;
	// negative = it grew. Its interval is by simulation.
	Closer   Interval
	Verdict  string // a sentence
	Warnings []string
}

// compareLevel is the probability below which a difference is believed.
const compareLevel = 0.05

// Compare tests batch b against batch a: did the change help, and by how much?
// It returns ErrTooFew below four parts in all, or below two in either.
func Compare(a, b []Part) (Comparison, error) {
	sa, sb := sampleOf(matrixOf(a)), sample{}
	if len(b) > 0 {
		sb = sampleOf(matrixOf(b))
	}
	if len(a) < 2 || len(b) < 2 {
		return Comparison{}, fmt.Errorf("batch: comparison of %d and %d parts: %w", len(a), len(b), ErrTooFew)
	}
	pooled, err := hotellingTwo(sa, sb)
	if err != nil {
		return Comparison{}, err
	}
	c := Comparison{PValue: pooled.P, PUnequal: math.NaN()}
	if u, err := hotellingUnequal(sa, sb); err == nil {
		c.PUnequal = u.P
	}
	ma, err := Summarise(a)
	if err != nil {
		return Comparison{}, err
	}
	mb, err := Summarise(b)
	if err != nil {
		return Comparison{}, err
	}
	n1, n2 := float64(len(a)), float64(len(b))
	pool := ma.Cov.Scale(n1 - 1).Add(mb.Cov.Scale(n2 - 1)).Scale(1 / (n1 + n2 - 2))
	c.Difference = mb.Mean.Sub(ma.Mean)
	c.Cov = pool.Scale(1/n1 + 1/n2)
	major, _, _ := c.Cov.Eigen()
	nu := n1 + n2 - 2
	c.U95MM = math.Sqrt(major * 2 * nu / (nu - 1) * distuv.F{D1: 2, D2: nu - 1}.Quantile(0.95))
	c.SpreadX = ratio(mb.SD.X, ma.SD.X, len(b), len(a))
	c.SpreadY = ratio(mb.SD.Y, ma.SD.Y, len(b), len(a))
	c.Closer = closer(ma, mb, pool)
	c.PPermutation = permutation(a, b, pooled.T2)
	c.say()
	return c, nil
}

func (c *Comparison) say() {
	shown := c.PValue < compareLevel
	switch {
	case shown && c.Closer.Low > 0:
		c.Verdict = "It helped: the batches differ, and the second lies closer to even."
	case shown && c.Closer.High < 0:
		c.Verdict = "It made things worse: the batches differ, and the second lies farther from even."
	case shown:
		c.Verdict = "The batches differ, but which one lies closer to even cannot be told."
	default:
		c.Verdict = "No difference is shown: chance alone would do as much."
	}
	for _, p := range []float64{c.PUnequal, c.PPermutation} {
		if !math.IsNaN(p) && (p < compareLevel) != shown {
			c.Warnings = append(c.Warnings, "The answer hangs on the parts being normal and spreading alike in both batches: make more parts before relying on it.")
			return
		}
	}
}

// ratio is s1/s2 with the interval that normal values of n1 and n2 leave.
func ratio(s1, s2 float64, n1, n2 int) Interval {
	f := distuv.F{D1: float64(n1 - 1), D2: float64(n2 - 1)}
	r := s1 / s2
	return Interval{r, r / math.Sqrt(f.Quantile(0.975)), r / math.Sqrt(f.Quantile(0.025))}
}

// closer is the gain |mean a| - |mean b| with means drawn from what the parts
// leave open under their pooled spread.
func closer(a, b Summary, pool model.Sym2) Interval {
	nu := a.N + b.N - 2
	rng := rand.New(rand.NewPCG(0xc105, uint64(a.N)<<32|uint64(b.N)))
	draws := make([]float64, 10*bootstrapRuns)
	for i := range draws {
		cov := pool
		if nu > 1 {
			cov = covarianceLike(pool, nu, rng)
		}
		ma := a.Mean.Add(normalWith(cov.Scale(1/float64(a.N)), rng))
		mb := b.Mean.Add(normalWith(cov.Scale(1/float64(b.N)), rng))
		draws[i] = ma.Norm() - mb.Norm()
	}
	slices.Sort(draws)
	return Interval{a.Mean.Norm() - b.Mean.Norm(), quantile(draws, 0.025), quantile(draws, 0.975)}
}

// maxExact is the most divisions that are all tried.
const maxExact = 20_000

// permutation returns the share of the ways to divide the parts into two batches
// of these sizes whose T2 is at least t2: all of them where they are few, else
// 9999 at random and the one at hand.
func permutation(a, b []Part, t2 float64) float64 {
	all := append(slices.Clone(a), b...)
	trial := func(first []int) bool {
		in := make([]bool, len(all))
		for _, i := range first {
			in[i] = true
		}
		var p, q []Part
		for i, x := range all {
			if in[i] {
				p = append(p, x)
			} else {
				q = append(q, x)
			}
		}
		t, err := hotellingTwo(sampleOf(matrixOf(p)), sampleOf(matrixOf(q)))
		return err == nil && t.T2 >= t2*(1-1e-9)
	}
	count, as := 0, 0
	if ways := binomial(len(all), len(a)); ways <= maxExact {
		combinations(len(all), len(a), func(c []int) {
			count++
			if trial(c) {
				as++
			}
		})
		return float64(as) / float64(count)
	}
	rng := rand.New(rand.NewPCG(0x9e7, uint64(len(all))))
	count, as = 1, 1
	for range 9999 {
		count++
		if trial(rng.Perm(len(all))[:len(a)]) {
			as++
		}
	}
	return float64(as) / float64(count)
}

func binomial(n, k int) float64 {
	v := 1.0
	for i := range k {
		v *= float64(n-i) / float64(i+1)
	}
	return math.Round(v)
}

// combinations calls f with every choice of k of 0..n-1; f must not keep it.
func combinations(n, k int, f func([]int)) {
	c := make([]int, k)
	for i := range c {
		c[i] = i
	}
	for {
		f(c)
		i := k - 1
		for i >= 0 && c[i] == n-k+i {
			i--
		}
		if i < 0 {
			return
		}
		for c[i]++; i+1 < k; i++ {
			c[i+1] = c[i] + 1
		}
	}
}
