package model

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// linearRows collects the observations of a weighted linear least-squares fit,
// already divided by their standard uncertainties.
type linearRows struct {
	n int // unknowns
	a []float64
	y []float64
}

// add takes the observation y = coeff . x with standard uncertainty u > 0.
func (r *linearRows) add(coeff []float64, y, u float64) {
	for _, c := range coeff {
		r.a = append(r.a, c/u)
	}
	r.y = append(r.y, y/u)
}

// whitener is one of the two uncorrelated combinations of a pair: along e, with
// standard uncertainty u.
type whitener struct {
	e Vec
	u float64
}

// whiteners splits a covariance along its axes. One that is singular, or nearly,
// is floored at leastU: nothing here is known better.
func whiteners(cov Sym2) [2]whitener {
	major, minor, angle := cov.Eigen()
	s, c := math.Sincos(angle)
	return [2]whitener{
		{Vec{c, s}, math.Max(sqrt0(major), leastU)},
		{Vec{-s, c}, math.Max(sqrt0(minor), leastU)},
	}
}

// addPair takes two observations, d.X = cx . x and d.Y = cy . x, with covariance
// cov.
func (r *linearRows) addPair(cx, cy []float64, d Vec, cov Sym2) {
	row := make([]float64, r.n)
	for _, w := range whiteners(cov) {
		for j := range row {
			row[j] = w.e.X*cx[j] + w.e.Y*cy[j]
		}
		r.add(row, w.e.Dot(d), w.u)
	}
}

// pairGain returns d(unknown j)/d(pair) where the pair with covariance cov was
// added as the rows first and first+1.
func (f linearFit) pairGain(j, first int, cov Sym2) Vec {
	var g Vec
	for k, w := range whiteners(cov) {
		g = g.Add(w.e.Scale(f.Gain.At(j, first+k) / w.u))
	}
	return g
}

// leastU is the smallest standard uncertainty that any observation is given, mm:
// 1 nm, far below every edge and indicator.
const leastU = 1e-6

// linearFit is the outcome of a linear fit.
type linearFit struct {
	X          []float64
	Cov        *mat.SymDense // of X; rows and columns of what isn't determined are of no use
	Determined []bool        // whether the rows fix this unknown at all
	Gain       *mat.Dense    // unknowns x rows: dX / d(whitened observation)
	Residual   []float64     // whitened
	Chi2       float64
	DOF        int // rows less rank
}

// solve minimises the sum of squared whitened residuals by a singular value
// decomposition. What the rows leave open comes back as Determined = false, with
// the smallest solution that fits.
func (r *linearRows) solve() linearFit {
	m, n := len(r.y), r.n
	f := linearFit{X: make([]float64, n), Cov: mat.NewSymDense(n, nil), Determined: make([]bool, n)}
	if m == 0 {
		return f
	}
	a := mat.NewDense(m, n, append([]float64(nil), r.a...))
	scale := make([]float64, n)
	for j := range n {
		scale[j] = mat.Norm(a.ColView(j), 2)
		if scale[j] == 0 {
			scale[j] = 1
		}
		for i := range m {
			a.Set(i, j, a.At(i, j)/scale[j])
		}
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return f // not finite: nothing is determined
	}
	s := svd.Values(nil)
	var u, v mat.Dense
	svd.UTo(&u)
	svd.VTo(&v)
	rank := 0
	for rank < len(s) && s[rank] > 1e-7*s[0] {
		rank++
	}
	f.Gain = mat.NewDense(n, m, nil)
	for j := range n {
		seen := 0.0
		for k := range rank {
			seen += v.At(j, k) * v.At(j, k)
			for i := range m {
				f.Gain.Set(j, i, f.Gain.At(j, i)+v.At(j, k)*u.At(i, k)/(s[k]*scale[j]))
			}
		}
		f.Determined[j] = seen > 1-1e-8
		for i := range m {
			f.X[j] += f.Gain.At(j, i) * r.y[i]
		}
		for l := 0; l <= j; l++ {
			c := 0.0
			for k := range rank {
				c += v.At(j, k) * v.At(l, k) / (s[k] * s[k])
			}
			f.Cov.SetSym(j, l, c/(scale[j]*scale[l]))
		}
	}
	f.Residual = make([]float64, m)
	for i := range m {
		f.Residual[i] = r.y[i]
		for j := range n {
			f.Residual[i] -= r.a[i*n+j] * f.X[j]
		}
		f.Chi2 += f.Residual[i] * f.Residual[i]
	}
	f.DOF = m - rank
	return f
}

// chi2Tail is the probability that chi-squared with dof degrees of freedom
// exceeds x; 1 for no degrees of freedom.
func chi2Tail(x float64, dof int) float64 {
	if dof <= 0 || !(x > 0) {
		return 1
	}
	return distuv.ChiSquared{K: float64(dof)}.Survival(x)
}

// twoSided is the probability that a standard normal exceeds |z| either way.
func twoSided(z float64) float64 { return math.Erfc(math.Abs(z) / math.Sqrt2) }

// Propagate returns f(x) and its covariance J cov Jᵀ, first order (JCGM 100 5.2,
// JCGM 102 6.2), with the Jacobian by central differences at 1e-3 of the standard
// uncertainties.
func Propagate(f func(x []float64) []float64, x []float64, cov *mat.SymDense) ([]float64, *mat.SymDense) {
	y := f(x)
	n, m := len(x), len(y)
	j := mat.NewDense(m, n, nil)
	q := append([]float64(nil), x...)
	for k := range n {
		h := 1e-3 * sqrt0(cov.At(k, k))
		if h == 0 {
			continue // known exactly
		}
		q[k] = x[k] + h
		plus := f(q)
		q[k] = x[k] - h
		minus := f(q)
		q[k] = x[k]
		for i := range m {
			j.Set(i, k, (plus[i]-minus[i])/(2*h))
		}
	}
	var jc, full mat.Dense
	jc.Mul(j, cov)
	full.Mul(&jc, j.T())
	out := mat.NewSymDense(m, nil)
	for i := range m {
		for k := i; k < m; k++ {
			out.SetSym(i, k, (full.At(i, k)+full.At(k, i))/2)
		}
	}
	return y, out
}
