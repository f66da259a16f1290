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
	// PartCov is the covariance from part to part, of both batches, mm². Shared is what
	// the parts of a batch have in common by the camera, of Difference, mm²: more
	// parts don't lessen it.
	PartCov, Shared model.Sym2
	// PValue is the probability of such a difference, or a larger one, between
	// batches that differ by chance and the camera only: Hotelling's test, exact for normal
	// parts of one spread that share nothing. PUnequal doesn't take the spreads to be the same
	// (NaN where there are too few parts), PPermutation none of the parts to be normal.
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
// The camera is taken to have been moved between the batches, as nothing says that it
// was not: what it shares within each is counted for both.
// It returns ErrTooFew below four parts in all, or below two in either.
func Compare(a, b []Part) (Comparison, error) {
	sa, sb := sampleOf(matrixOf(a)), sample{}
	if len(b) > 0 {
		sb = sampleOf(matrixOf(b))
	}
	if len(a) < 2 || len(b) < 2 {
		return Comparison{}, fmt.Errorf("batch: comparison of %d and %d parts: %w", len(a), len(b), ErrTooFew)
	}
	ma, err := Summarise(a)
	if err != nil {
		return Comparison{}, err
	}
	mb, err := Summarise(b)
	if err != nil {
		return Comparison{}, err
	}
	c := Comparison{PUnequal: math.NaN(), Shared: ma.Shared.Add(mb.Shared)}
	shared := symOf(c.Shared)
	alone, err := hotellingTwo(sa, sb, nil)
	if err != nil {
		return Comparison{}, err
	}
	pooled, err := hotellingTwo(sa, sb, shared)
	if err != nil {
		return Comparison{}, err
	}
	c.PValue = pooled.P
	if u, err := hotellingUnequal(sa, sb, shared); err == nil {
		c.PUnequal = u.P
	}
	n1, n2 := float64(len(a)), float64(len(b))
	nu := n1 + n2 - 2
	c.PartCov = ma.Cov.Scale(n1 - 1).Add(mb.Cov.Scale(n2 - 1)).Scale(1 / nu)
	c.Difference = mb.Mean.Sub(ma.Mean)
	scatter := c.PartCov.Scale(1/n1 + 1/n2)
	c.Cov = scatter.Add(c.Shared)
	k2 := 2 * nu / (nu - 1) * distuv.F{D1: 2, D2: nu - 1}.Quantile(0.95)
	major, _, _ := scatter.Scale(k2).Add(c.Shared.Scale(known95)).Eigen()
	c.U95MM = math.Sqrt(major)
	c.SpreadX = ratio(mb.SD.X, ma.SD.X, len(b), len(a))
	c.SpreadY = ratio(mb.SD.Y, ma.SD.Y, len(b), len(a))
	c.Closer = closer(ma, mb, c.PartCov)
	c.PPermutation = permutation(a, b, pooled.T2, c.Shared)
	c.say()
	if c.PValue >= compareLevel && alone.P < compareLevel {
		c.Warnings = append(c.Warnings, "The batches differ by more than their parts scatter, but by no more than the camera may be off in each. If it was not moved between them, the difference is real; otherwise photograph the parts turned as well, and join the photos.")
	}
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
// leave open under their pooled spread, and what the camera does.
func closer(a, b Summary, pool model.Sym2) Interval {
	nu := a.N + b.N - 2
	rng := rand.New(rand.NewPCG(0xc105, uint64(a.N)<<32|uint64(b.N)))
	draws := make([]float64, 10*bootstrapRuns)
	for i := range draws {
		cov := pool
		if nu > 1 {
			cov = covarianceLike(pool, nu, rng)
		}
		ma := a.Mean.Add(normalWith(cov.Scale(1/float64(a.N)).Add(a.Shared), rng))
		mb := b.Mean.Add(normalWith(cov.Scale(1/float64(b.N)).Add(b.Shared), rng))
		draws[i] = ma.Norm() - mb.Norm()
	}
	slices.Sort(draws)
	return Interval{a.Mean.Norm() - b.Mean.Norm(), quantile(draws, 0.025), quantile(draws, 0.975)}
}

// maxExact is the most divisions that are all tried.
const maxExact = 20_000

// permutation returns the share of the ways to divide the parts into two batches
// of these sizes whose T2 is at least t2: all of them where they are few, else
// 9999 at random and the one at hand. Where the camera's error is shared, each way is
// given one of its own by chance.
func permutation(a, b []Part, t2 float64, shared model.Sym2) float64 {
	all := append(slices.Clone(a), b...)
	known := symOf(shared)
	trial := func(first []int, moved model.Vec) bool {
		in := make([]bool, len(all))
		for _, i := range first {
			in[i] = true
		}
		var p, q []Part
		for i, x := range all {
			if in[i] {
				p = append(p, x)
			} else {
				x.D = x.D.Add(moved)
				q = append(q, x)
			}
		}
		t, err := hotellingTwo(sampleOf(matrixOf(p)), sampleOf(matrixOf(q)), known)
		return err == nil && t.T2 >= t2*(1-1e-9)
	}
	count, as := 0, 0
	if ways := binomial(len(all), len(a)); ways <= maxExact && known == nil {
		combinations(len(all), len(a), func(c []int) {
			count++
			if trial(c, model.Vec{}) {
				as++
			}
		})
		return float64(as) / float64(count)
	}
	rng := rand.New(rand.NewPCG(0x9e7, uint64(len(all))))
	count, as = 1, 1
	for range 9999 {
		count++
		first := rng.Perm(len(all))[:len(a)]
		var moved model.Vec
		if known != nil {
			moved = normalWith(shared, rng)
		}
		if trial(first, moved) {
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
