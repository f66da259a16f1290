package batch

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"

	"evenrim/model"
)

// MaxBatch is the largest batch that SmallestBatch proposes.
const MaxBatch = 10_000

// SmallestBatch returns how many parts each of two batches needs so that a shift
// of shiftMM between them, in the least favourable direction, is shown at 5 %
// with the given probability (0.8 or 0.9 is usual), when the parts spread with
// covariance cov (readings included) and the camera moves the batches against each
// other by shared. It returns an error where MaxBatch parts wouldn't do.
func SmallestBatch(shiftMM float64, cov, shared model.Sym2, power float64) (int, error) {
	major, _, _ := cov.Eigen()
	if !(shiftMM > 0) || !(major > 0) || !(power > 0 && power < 1) {
		return 0, fmt.Errorf("batch: smallest batch: shift, spread and power must be positive")
	}
	enough := func(n int) bool { return shiftPower(shiftMM, cov, shared, n) >= power }
	if !enough(MaxBatch) {
		return 0, fmt.Errorf("batch: a shift of %.4g mm drowns in a spread of %.4g mm even with %d parts a batch: %w", shiftMM, math.Sqrt(major), MaxBatch, ErrTooFew)
	}
	lo, hi := 2, MaxBatch // enough grows with n
	for lo < hi {
		if mid := (lo + hi) / 2; enough(mid) {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return lo, nil
}

// shiftPower is the probability that Hotelling's two-sample test at 5 % sees a
// shift in the least favourable direction between two batches of n.
func shiftPower(shiftMM float64, cov, shared model.Sym2, n int) float64 {
	if 2*n-3 < 1 { // n + n - p - 1
		return 0
	}
	no := sample{mean: mat.NewVecDense(2, nil), cov: mat.NewSymDense(2, []float64{cov.XX, cov.XY, cov.XY, cov.YY}), n: n, p: 2}
	test, err := hotellingTwo(no, no, symOf(shared))
	if err != nil {
		return 0
	}
	major, _, _ := cov.Scale(2 / float64(n)).Add(shared).Eigen()
	critical := distuv.F{D1: test.D1, D2: test.D2}.Quantile(0.95)
	return 1 - noncentralF(critical, test.D1, test.D2, shiftMM*shiftMM/major)
}

// noncentralF is the distribution function of F with noncentrality lambda: a
// Poisson mixture of beta distributions (Johnson, Kotz & Balakrishnan, Continuous
// Univariate Distributions 2, ch. 30, from memory).
func noncentralF(f, d1, d2, lambda float64) float64 {
	x := d1 * f / (d1*f + d2)
	// Summed outwards from the Poisson's mode, where the terms are largest.
	mode := int(lambda / 2)
	poisson := func(j int) float64 {
		lg, _ := math.Lgamma(float64(j) + 1)
		return math.Exp(-lambda/2 + float64(j)*math.Log(math.Max(lambda/2, 1e-300)) - lg)
	}
	sum := 0.0
	for j := mode; ; j++ {
		w := poisson(j)
		sum += w * mathext.RegIncBeta(d1/2+float64(j), d2/2, x)
		if w < 1e-16 && j > mode+1 {
			break
		}
	}
	for j := mode - 1; j >= 0; j-- {
		w := poisson(j)
		sum += w * mathext.RegIncBeta(d1/2+float64(j), d2/2, x)
		if w < 1e-16 {
			break
		}
	}
	return math.Min(sum, 1)
}
