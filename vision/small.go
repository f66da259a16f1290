package vision

import (
	"math"
	"slices"
)

// solveSmall solves the symmetric positive definite system a x = b of n unknowns by
// Cholesky; both arguments are overwritten. It is on the hot path of the edge
// fits, with n at most maxModel, where a library's set-up costs more than the work.
func solveSmall(a, b []float64, n int) ([]float64, bool) {
	if !factorSmall(a, n) {
		return nil, false
	}
	for i := range n {
		s := b[i]
		for k := range i {
			s -= a[i*n+k] * b[k]
		}
		b[i] = s / a[i*n+i]
	}
	for i := n - 1; i >= 0; i-- {
		s := b[i]
		for k := i + 1; k < n; k++ {
			s -= a[k*n+i] * b[k]
		}
		b[i] = s / a[i*n+i]
	}
	return b, true
}

// factorSmall replaces the lower triangle of a by its Cholesky factor.
func factorSmall(a []float64, n int) bool {
	for j := range n {
		d := a[j*n+j]
		top := d
		for k := range j {
			d -= a[j*n+k] * a[j*n+k]
		}
		if !(d > 1e-12*top) || !(top > 0) {
			return false
		}
		d = math.Sqrt(d)
		a[j*n+j] = d
		for i := j + 1; i < n; i++ {
			s := a[i*n+j]
			for k := range j {
				s -= a[i*n+k] * a[j*n+k]
			}
			a[i*n+j] = s / d
		}
	}
	return true
}

// inverseDiagonal returns element (k, k) of the inverse of the matrix whose factor
// factorSmall left in a: the squared length of the factor's inverse in column k.
func inverseDiagonal(a []float64, n, k int) float64 {
	var y [maxModel]float64
	sum := 0.0
	for i := k; i < n; i++ {
		s := 0.0
		if i == k {
			s = 1
		}
		for j := k; j < i; j++ {
			s -= a[i*n+j] * y[j]
		}
		y[i] = s / a[i*n+i]
		sum += y[i] * y[i]
	}
	return sum
}

// medianAbs returns the middle of |x|; x is left alone.
func medianAbs(x []float64) float64 {
	t := make([]float64, len(x))
	for i, v := range x {
		t[i] = math.Abs(v)
	}
	if len(t) == 0 {
		return 0
	}
	return medianOf(t)
}

// medianOf returns the middle of x, which is not empty; x is left alone.
func medianOf(x []float64) float64 {
	t := slices.Clone(x)
	slices.Sort(t)
	return t[len(t)/2]
}
