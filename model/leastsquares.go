package model

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// StopReason says why an iteration ended.
type StopReason string

const (
	StopConverged StopReason = "converged"
	StopMaxIter   StopReason = "iteration limit" // the best iterate is returned
	StopStuck     StopReason = "no further descent"
)

// ErrDegenerate says that the data don't determine the parameters.
var ErrDegenerate = errors.New("model: the data do not determine the parameters")

// leastSquares minimises the sum of squares of m residuals over n parameters by
// Levenberg-Marquardt (Marquardt 1963; damping scaled as in Moré 1978, both from
// memory) on a QR factorisation of the damped system, with a central-difference
// Jacobian unless one is given: the problems here are small and a formula less is an
// error less.
type leastSquares struct {
	m         int
	step      []float64 // a typical small change of each parameter, > 0
	residuals func(p, out []float64)
	slopes    func(p []float64, j *mat.Dense) // the Jacobian; nil = by differences
	maxIter   int                             // 0 = 60
	tol       float64                         // relative to step; 0 = 1e-7
	passing   bool                            // no Jacobian is wanted of where the run ends
}

// lsFit is the outcome of a leastSquares run.
type lsFit struct {
	P    []float64
	R    []float64  // residuals at P
	J    *mat.Dense // m x n Jacobian at P; nil of a passing run
	SSE  float64
	Iter int
	Stop StopReason
}

func (l leastSquares) jacobian(p []float64, plus, minus []float64, j *mat.Dense) {
	if l.slopes != nil {
		l.slopes(p, j)
		return
	}
	q := append([]float64(nil), p...)
	raw := j.RawMatrix()
	for k, h := range l.step {
		q[k] = p[k] + h
		l.residuals(q, plus)
		q[k] = p[k] - h
		l.residuals(q, minus)
		q[k] = p[k]
		for i := range plus {
			raw.Data[i*raw.Stride+k] = (plus[i] - minus[i]) / (2 * h)
		}
	}
}

// minimise starts at p0, which it leaves alone. It returns ErrDegenerate when the
// residuals are not finite at the start or the Jacobian loses rank.
func (l leastSquares) minimise(p0 []float64) (lsFit, error) {
	n, maxIter, tol := len(p0), l.maxIter, l.tol
	if maxIter == 0 {
		maxIter = 60
	}
	if tol == 0 {
		tol = 1e-7
	}
	if l.m < n {
		return lsFit{}, ErrDegenerate
	}
	f := lsFit{P: append([]float64(nil), p0...), R: make([]float64, l.m), J: mat.NewDense(l.m, n, nil), Stop: StopMaxIter}
	l.residuals(f.P, f.R)
	f.SSE = sumSquares(f.R)
	if !finite(f.SSE) {
		return lsFit{}, ErrDegenerate
	}
	plus, minus := make([]float64, l.m), make([]float64, l.m)
	trial, rt := make([]float64, n), make([]float64, l.m)
	damped := newDamping(l.m, n)
	lambda := 1e-3
	for f.Iter = 1; f.Iter <= maxIter; f.Iter++ {
		l.jacobian(f.P, plus, minus, f.J)
		moved := false
		for range 12 {
			d, err := damped.step(f.J, f.R, lambda)
			if err != nil {
				return lsFit{}, ErrDegenerate
			}
			size := 0.0
			for k := range trial {
				trial[k] = f.P[k] - d[k]
				size = math.Max(size, math.Abs(d[k])/l.step[k])
			}
			l.residuals(trial, rt)
			if sse := sumSquares(rt); sse <= f.SSE {
				gain := f.SSE - sse
				copy(f.P, trial)
				copy(f.R, rt)
				f.SSE = sse
				lambda = math.Max(lambda/8, 1e-12)
				moved = true
				if size < tol*1e3 || gain <= 1e-14*sse {
					f.Stop = StopConverged
				}
				break
			}
			if size < tol {
				f.Stop = StopConverged
				break
			}
			lambda *= 6
		}
		if f.Stop == StopConverged {
			break
		}
		if !moved {
			f.Stop = StopStuck
			break
		}
	}
	if l.passing {
		f.J = nil
	} else {
		l.jacobian(f.P, plus, minus, f.J)
	}
	return f, nil
}

// damping solves damped problems of one size; it keeps their memory.
type damping struct {
	a  *mat.Dense
	b  *mat.VecDense
	qr mat.QR
}

func newDamping(m, n int) *damping {
	return &damping{a: mat.NewDense(m+n, n, nil), b: mat.NewVecDense(m+n, nil)}
}

// step solves min |J d - r|² + lambda sum (c_k d_k)², c_k the column norms.
func (s *damping) step(j *mat.Dense, r []float64, lambda float64) ([]float64, error) {
	m, n := j.Dims()
	s.a.Zero()
	s.a.Slice(0, m, 0, n).(*mat.Dense).Copy(j)
	copy(s.b.RawVector().Data, r)
	for k, c := range columnNorms(j) {
		if c == 0 || !finite(c) {
			return nil, ErrDegenerate
		}
		s.a.Set(m+k, k, math.Sqrt(lambda)*c)
	}
	s.qr.Factorize(s.a)
	d := mat.NewVecDense(n, nil)
	if err := s.qr.SolveVecTo(d, false, s.b); err != nil {
		return nil, ErrDegenerate
	}
	return d.RawVector().Data, nil
}

// inverseNormal returns (JᵀJ)⁻¹ by way of a QR factorisation of J. It returns
// ErrDegenerate when the columns, scaled to one length, have a condition number
// above 1e9.
func inverseNormal(j *mat.Dense) (*mat.SymDense, error) {
	m, n := j.Dims()
	scaled := mat.NewDense(m, n, nil)
	scale := columnNorms(j)
	for k, c := range scale {
		if c == 0 || !finite(c) {
			return nil, ErrDegenerate
		}
		for i := range m {
			scaled.Set(i, k, j.At(i, k)/c)
		}
	}
	var qr mat.QR
	qr.Factorize(scaled)
	if !(qr.Cond() < 1e9) {
		return nil, ErrDegenerate
	}
	var r mat.Dense
	qr.RTo(&r)
	tri := mat.NewTriDense(n, mat.Upper, nil)
	for i := range n {
		for k := i; k < n; k++ {
			tri.SetTri(i, k, r.At(i, k))
		}
	}
	var inv mat.TriDense
	if err := inv.InverseTri(tri); err != nil {
		return nil, ErrDegenerate
	}
	out := mat.NewSymDense(n, nil)
	for i := range n {
		for k := i; k < n; k++ {
			s := 0.0
			for l := k; l < n; l++ {
				s += inv.At(i, l) * inv.At(k, l)
			}
			out.SetSym(i, k, s/(scale[i]*scale[k]))
		}
	}
	return out, nil
}

// columnNorms are the lengths of j's columns, summed up row by row: a column of some
// hundred rows apart in memory takes ten times as long.
func columnNorms(j *mat.Dense) []float64 {
	m, n := j.Dims()
	norms := make([]float64, n)
	for i := range m {
		for k, v := range j.RawRowView(i) {
			norms[k] += v * v
		}
	}
	for k, s := range norms {
		norms[k] = math.Sqrt(s)
	}
	return norms
}

func sumSquares(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v * v
	}
	return s
}
