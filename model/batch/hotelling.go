package batch

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
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

// HotellingOne tests whether the rows of x, n values in p dimensions, have the
// mean mu. The distribution is exact for normal values and n > p; otherwise it
// returns ErrTooFew.
//
// Source: Johnson & Wichern, Applied Multivariate Statistical Analysis, 5.2.
func HotellingOne(x mat.Matrix, mu []float64) (T2, error) {
	s := sampleOf(x)
	if s.n <= s.p {
		return T2{}, fmt.Errorf("batch: %d values in %d dimensions: %w", s.n, s.p, ErrTooFew)
	}
	var d mat.VecDense
	d.SubVec(s.mean, mat.NewVecDense(s.p, mu))
	q, err := quadratic(&d, s.cov)
	n, p := float64(s.n), float64(s.p)
	return t2Of(n*q, p, n-p, (n-p)/(p*(n-1))), err
}

// hotellingTwo tests whether two sets of values have one mean, taking their
// spread to be the same. It is exact for normal values from n1 + n2 > p + 1 on.
//
// Source: Johnson & Wichern 6.3.
func hotellingTwo(a, b sample) (T2, error) {
	n1, n2, p := float64(a.n), float64(b.n), float64(a.p)
	nu := n1 + n2 - 2
	if nu < p {
		return T2{}, fmt.Errorf("batch: %d and %d values in %d dimensions: %w", a.n, b.n, a.p, ErrTooFew)
	}
	c := mat.NewSymDense(a.p, nil)
	for i := range a.p {
		for j := i; j < a.p; j++ {
			c.SetSym(i, j, ((n1-1)*a.cov.At(i, j)+(n2-1)*b.cov.At(i, j))/nu)
		}
	}
	var d mat.VecDense
	d.SubVec(a.mean, b.mean)
	q, err := quadratic(&d, c)
	return t2Of(q*n1*n2/(n1+n2), p, nu-p+1, (nu-p+1)/(nu*p)), err
}

// hotellingUnequal doesn't take the spreads to be the same; it is approximate,
// with degrees of freedom nu estimated.
//
// Source: Nel & van der Merwe, Commun. Statist. Theory Meth. 15 (1986)
// 3719-3735, as in Johnson & Wichern 6.3 (from memory; checked on their example).
func hotellingUnequal(a, b sample) (T2, error) {
	if a.n <= a.p || b.n <= b.p {
		return T2{}, fmt.Errorf("batch: %d and %d values in %d dimensions: %w", a.n, b.n, a.p, ErrTooFew)
	}
	p := a.p
	c := mat.NewSymDense(p, nil)
	for i := range p {
		for j := i; j < p; j++ {
			c.SetSym(i, j, a.cov.At(i, j)/float64(a.n)+b.cov.At(i, j)/float64(b.n))
		}
	}
	var d mat.VecDense
	d.SubVec(a.mean, b.mean)
	t2, err := quadratic(&d, c)
	if err != nil {
		return T2{}, err
	}
	var inv mat.Dense
	if err := inv.Inverse(c); err != nil {
		return T2{}, fmt.Errorf("batch: %w", err)
	}
	denominator := 0.0
	for _, s := range []sample{a, b} {
		var m mat.Dense
		m.Mul(s.cov, &inv)
		m.Scale(1/float64(s.n), &m)
		var mm mat.Dense
		mm.Mul(&m, &m)
		tr := mat.Trace(&m)
		denominator += (mat.Trace(&mm) + tr*tr) / float64(s.n)
	}
	nu := float64(p+p*p) / denominator
	fp := float64(p)
	return t2Of(t2, fp, nu-fp+1, (nu-fp+1)/(nu*fp)), nil
}

// dof is nu of hotellingUnequal.
func (t T2) dof() float64 { return t.D2 + t.D1 - 1 }

// critical is the T2 that chance exceeds with probability alpha.
func (t T2) critical(alpha float64) float64 {
	f := distuv.F{D1: t.D1, D2: t.D2}.Quantile(1 - alpha)
	if t.F == 0 {
		return math.NaN()
	}
	return f * t.T2 / t.F
}

// matrixOf has the parts as rows.
func matrixOf(parts []Part) *mat.Dense {
	m := mat.NewDense(len(parts), 2, nil)
	for i, p := range parts {
		m.SetRow(i, []float64{p.D.X, p.D.Y})
	}
	return m
}
