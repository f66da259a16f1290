package batch

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenrim/model"
)

// T2 is the outcome of one of Hotelling's tests.
type T2 struct {
	T2     float64
	F      float64 // T2 on the scale of F with D1 and D2 degrees of freedom
	D1, D2 float64
	P      float64 // probability of such a T2 or more by chance
}

func t2Of(t2, d1, d2, scale float64) T2 {
	f := t2 * scale
	return T2{T2: t2, F: f, D1: d1, D2: d2, P: distuv.F{D1: d1, D2: d2}.Survival(f)}
}

// sample is n values in p dimensions.
type sample struct {
	mean *mat.VecDense
	cov  *mat.SymDense
	n, p int
}

func sampleOf(x mat.Matrix) sample {
	n, p := x.Dims()
	s := sample{mean: mat.NewVecDense(p, nil), cov: mat.NewSymDense(p, nil), n: n, p: p}
	for j := range p {
		s.mean.SetVec(j, stat.Mean(mat.Col(nil, j, x), nil))
	}
	if n > 1 {
		stat.CovarianceMatrix(s.cov, x, nil)
	}
	return s
}

func quadratic(d *mat.VecDense, c *mat.SymDense) (float64, error) {
	var ch mat.Cholesky
	if !ch.Factorize(c) || ch.Cond() > 1e12 {
		return 0, fmt.Errorf("batch: values without a spread in some direction: %w", ErrTooFew)
	}
	var s mat.VecDense
	if err := ch.SolveVecTo(&s, d); err != nil {
		return 0, fmt.Errorf("batch: %w", err)
	}
	return mat.Dot(d, &s), nil
}

// meanSpread is the covariance of a mean as its values tell it, with nu degrees of freedom.
type meanSpread struct {
	cov *mat.SymDense
	nu  float64
}

// hotellingTwo tests whether two sets of values have one mean, taking their
// spread to be the same. shared is what else is known to move their difference, the
// same for all values of a set (nil = nothing): without it the test is exact for normal
// values from n1 + n2 > p + 1 on.
//
// Source: Johnson & Wichern 6.3.
func hotellingTwo(a, b sample, shared *mat.SymDense) (T2, error) {
	n1, n2 := float64(a.n), float64(b.n)
	nu := n1 + n2 - 2
	if nu < float64(a.p) {
		return T2{}, fmt.Errorf("batch: %d and %d values in %d dimensions: %w", a.n, b.n, a.p, ErrTooFew)
	}
	c := mat.NewSymDense(a.p, nil)
	for i := range a.p {
		for j := i; j < a.p; j++ {
			c.SetSym(i, j, ((n1-1)*a.cov.At(i, j)+(n2-1)*b.cov.At(i, j))/nu*(1/n1+1/n2))
		}
	}
	return hotelling(a, b, shared, meanSpread{c, nu})
}

// hotellingUnequal doesn't take the spreads to be the same; it is approximate,
// with degrees of freedom estimated.
func hotellingUnequal(a, b sample, shared *mat.SymDense) (T2, error) {
	if a.n <= a.p || b.n <= b.p {
		return T2{}, fmt.Errorf("batch: %d and %d values in %d dimensions: %w", a.n, b.n, a.p, ErrTooFew)
	}
	var parts []meanSpread
	for _, s := range []sample{a, b} {
		c := mat.NewSymDense(s.p, nil)
		c.ScaleSym(1/float64(s.n), s.cov)
		// n where n - 1 is expected: as in the source.
		parts = append(parts, meanSpread{c, float64(s.n)})
	}
	return hotelling(a, b, shared, parts...)
}

// hotelling tests whether a and b have one mean, where the spreads and shared together are
// the covariance of the difference. The degrees of freedom are those of the
// spreads in the measure in which they make it up: what is shared is known.
//
// Source: Nel & van der Merwe, Commun. Statist. Theory Meth. 15 (1986)
// 3719-3735, as in Johnson & Wichern 6.3 (from memory; checked on their example).
func hotelling(a, b sample, shared *mat.SymDense, spreads ...meanSpread) (T2, error) {
	c := mat.NewSymDense(a.p, nil)
	if shared != nil {
		c.CopySym(shared)
	}
	for _, s := range spreads {
		c.AddSym(c, s.cov)
	}
	var d mat.VecDense
	d.SubVec(a.mean, b.mean)
	t2, err := quadratic(&d, c)
	if err != nil {
		return T2{}, err
	}
	p, nu := float64(a.p), spreads[0].nu
	if shared != nil || len(spreads) > 1 {
		var inv mat.Dense
		if err := inv.Inverse(c); err != nil {
			return T2{}, fmt.Errorf("batch: %w", err)
		}
		denominator := 0.0
		for _, s := range spreads {
			var m, mm mat.Dense
			m.Mul(s.cov, &inv)
			mm.Mul(&m, &m)
			tr := mat.Trace(&m)
			denominator += (mat.Trace(&mm) + tr*tr) / s.nu
		}
		nu = math.Min((p+p*p)/denominator, mostFreedom)
	}
	return t2Of(t2, p, nu-p+1, (nu-p+1)/(nu*p)), nil
}

// mostFreedom is as good as a covariance that is known.
const mostFreedom = 1e6

// symOf is c as a matrix, nil where there is nothing in it.
func symOf(c model.Sym2) *mat.SymDense {
	if c == (model.Sym2{}) {
		return nil
	}
	return mat.NewSymDense(2, []float64{c.XX, c.XY, c.XY, c.YY})
}

// matrixOf has the parts as rows.
func matrixOf(parts []Part) *mat.Dense {
	m := mat.NewDense(len(parts), 2, nil)
	for i, p := range parts {
		m.SetRow(i, []float64{p.D.X, p.D.Y})
	}
	return m
}
