package live

import "math"

// most is the most unknowns of one small fit.
const most = 7

// system is the normal equations of a weighted least-squares fit with few unknowns.
// It is on the hot path of every ray, where a library's set-up costs more than
// the work.
type system struct {
	a [most][most]float64 // lower triangle
	b [most]float64
}

// add takes one row: value y with derivatives d and weight w.
func (m *system) add(d []float64, y, w float64) {
	for i, di := range d {
		wi := w * di
		for j := 0; j <= i; j++ {
			m.a[i][j] += wi * d[j]
		}
		m.b[i] += wi * y
	}
}

// factor replaces the lower triangle of the first n unknowns by its Cholesky factor.
func (m *system) factor(n int) bool {
	for j := range n {
		top := m.a[j][j]
		d := top
		for k := range j {
			d -= m.a[j][k] * m.a[j][k]
		}
		if !(d > 1e-10*top) {
			return false
		}
		d = math.Sqrt(d)
		m.a[j][j] = d
		for i := j + 1; i < n; i++ {
			s := m.a[i][j]
			for k := range j {
				s -= m.a[i][k] * m.a[j][k]
			}
			m.a[i][j] = s / d
		}
	}
	return true
}

// solve returns the first n unknowns; the system holds its factor afterwards.
func (m *system) solve(n int) (x [5]float64, ok bool) {
	v, ok := m.solveAll(n)
	copy(x[:], v[:min(n, 5)])
	return x, ok
}

func (m *system) solveAll(n int) (x [most]float64, ok bool) {
	if !m.factor(n) {
		return x, false
	}
	x = m.b
	for i := range n {
		for k := range i {
			x[i] -= m.a[i][k] * x[k]
		}
		x[i] /= m.a[i][i]
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			x[i] -= m.a[k][i] * x[k]
		}
		x[i] /= m.a[i][i]
	}
	return x, true
}

// variance returns element (k, k) of the inverse; the factor must be there.
func (m *system) variance(n, k int) float64 {
	var y [most]float64
	sum := 0.0
	for i := k; i < n; i++ {
		if i == k {
			y[i] = 1
		}
		for j := k; j < i; j++ {
			y[i] -= m.a[i][j] * y[j]
		}
		y[i] /= m.a[i][i]
		sum += y[i] * y[i]
	}
	return sum
}
