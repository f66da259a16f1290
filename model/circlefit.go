package model

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// FitCircle returns the circle that minimises the sum of squared distances of p
// to it: the geometric fit, not the algebraic one, starting from the latter. p
// holds n >= 3 points in any one unit, which the circle shares.
//
// It returns an error wrapping ErrDegenerate for fewer than 3 points, points on
// one line or at one place.
//
// Source: Gander, Golub & Strebel, BIT 34 (1994) 558-578.
func FitCircle(p []Vec) (Circle, error) {
	c, err := algebraicCircle(p)
	if err != nil {
		return Circle{}, err
	}
	ls := leastSquares{m: len(p), step: []float64{1e-5 * c.R, 1e-5 * c.R, 1e-5 * c.R}, residuals: func(q, out []float64) {
		for i, v := range p {
			out[i] = math.Hypot(v.X-q[0], v.Y-q[1]) - q[2]
		}
	}}
	f, err := ls.minimise([]float64{c.X, c.Y, c.R})
	if err != nil {
		return Circle{}, fmt.Errorf("model: circle through %d points: %w", len(p), err)
	}
	return Circle{X: f.P[0], Y: f.P[1], R: f.P[2]}, nil
}

// algebraicCircle minimises the sum of (|p-c|²-r²)² (Kåsa 1976): biased on short
// arcs, good enough to start from.
func algebraicCircle(p []Vec) (Circle, error) {
	n := len(p)
	if n < 3 {
		return Circle{}, fmt.Errorf("model: circle through %d points: %w", n, ErrDegenerate)
	}
	var mean Vec
	for _, v := range p {
		mean = mean.Add(v.Scale(1 / float64(n)))
	}
	size := 0.0
	for _, v := range p {
		size = math.Max(size, v.Sub(mean).Norm())
	}
	if !(size > 0) || !finite(size) {
		return Circle{}, fmt.Errorf("model: circle through %d points at one place: %w", n, ErrDegenerate)
	}
	a, b := mat.NewDense(n, 3, nil), mat.NewVecDense(n, nil)
	for i, v := range p {
		v = v.Sub(mean).Scale(1 / size)
		a.SetRow(i, []float64{2 * v.X, 2 * v.Y, 1})
		b.SetVec(i, v.Dot(v))
	}
	var qr mat.QR
	qr.Factorize(a)
	if !(qr.Cond() < 1e8) {
		return Circle{}, fmt.Errorf("model: circle through points on one line: %w", ErrDegenerate)
	}
	var s mat.VecDense
	if err := qr.SolveVecTo(&s, false, b); err != nil {
		return Circle{}, fmt.Errorf("model: circle through points on one line: %w", ErrDegenerate)
	}
	r2 := s.AtVec(2) + sq(s.AtVec(0)) + sq(s.AtVec(1))
	if !(r2 > 0) {
		return Circle{}, fmt.Errorf("model: circle through points: %w", ErrDegenerate)
	}
	return Circle{X: mean.X + size*s.AtVec(0), Y: mean.Y + size*s.AtVec(1), R: size * math.Sqrt(r2)}, nil
}

// median returns the middle of x, which it sorts; NaN for none.
func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	slices.Sort(x)
	if n := len(x); n%2 == 0 {
		return (x[n/2-1] + x[n/2]) / 2
	}
	return x[len(x)/2]
}
