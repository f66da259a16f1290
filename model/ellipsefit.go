package model

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Ellipse is an ellipse in the plane: centre, half axes A >= B in the unit of its
// points, and the direction of A from the first axis, rad in (-pi/2, pi/2].
type Ellipse struct{ X, Y, A, B, Angle float64 }

// FitEllipseDirect returns the ellipse of least algebraic distance under the
// constraint 4ac - b² = 1, which no other conic satisfies. It is exact for points
// on an ellipse and smaller than the true one for noisy points.
//
// It returns an error wrapping ErrDegenerate for fewer than 6 points or points
// that no ellipse goes near.
//
// Source: Fitzgibbon, Pilu & Fisher, PAMI 21 (1999) 476-480, in the numerically
// stable form of Halir & Flusser (1998).
func FitEllipseDirect(p []Vec) (Ellipse, error) {
	fail := func(why string) (Ellipse, error) {
		return Ellipse{}, fmt.Errorf("model: ellipse through %d points: %s: %w", len(p), why, ErrDegenerate)
	}
	if len(p) < 6 {
		return fail("at least 6 are needed")
	}
	var mean Vec
	for _, v := range p {
		mean = mean.Add(v.Scale(1 / float64(len(p))))
	}
	size := 0.0
	for _, v := range p {
		size = math.Max(size, v.Sub(mean).Norm())
	}
	if !(size > 0) || !finite(size) {
		return fail("all at one place")
	}
	quad, lin := mat.NewDense(len(p), 3, nil), mat.NewDense(len(p), 3, nil)
	for i, v := range p {
		v = v.Sub(mean).Scale(1 / size)
		quad.SetRow(i, []float64{v.X * v.X, v.X * v.Y, v.Y * v.Y})
		lin.SetRow(i, []float64{v.X, v.Y, 1})
	}
	// The linear coefficients follow from the quadratic ones: T = -S3⁻¹ S2ᵀ.
	var s1, s2, s3, t mat.Dense
	s1.Mul(quad.T(), quad)
	s2.Mul(quad.T(), lin)
	s3.Mul(lin.T(), lin)
	if err := t.Solve(&s3, s2.T()); err != nil {
		return fail("on one line")
	}
	t.Scale(-1, &t)
	var m mat.Dense
	m.Mul(&s2, &t)
	m.Add(&s1, &m)
	// Reduced scatter times the inverse of the constraint matrix.
	c := mat.NewDense(3, 3, nil)
	for k := range 3 {
		c.Set(0, k, m.At(2, k)/2)
		c.Set(1, k, -m.At(1, k))
		c.Set(2, k, m.At(0, k)/2)
	}
	var eig mat.Eigen
	if !eig.Factorize(c, mat.EigenRight) {
		return fail("no solution")
	}
	var vec mat.CDense
	eig.VectorsTo(&vec)
	for k := range 3 {
		a, b, d := real(vec.At(0, k)), real(vec.At(1, k)), real(vec.At(2, k))
		if 4*a*d-b*b <= 0 {
			continue
		}
		l := mat.NewVecDense(3, nil)
		l.MulVec(&t, mat.NewVecDense(3, []float64{a, b, d}))
		e, ok := ellipseOfConic(a, b, d, l.AtVec(0), l.AtVec(1), l.AtVec(2))
		if !ok {
			continue
		}
		e.X, e.Y, e.A, e.B = mean.X+size*e.X, mean.Y+size*e.Y, size*e.A, size*e.B
		return e, nil
	}
	return fail("no ellipse is near")
}

// ellipseOfConic returns the ellipse a x² + b x y + c y² + d x + e y + f = 0.
func ellipseOfConic(a, b, c, d, e, f float64) (Ellipse, bool) {
	det := 4*a*c - b*b
	if det <= 0 {
		return Ellipse{}, false
	}
	x, y := (b*e-2*c*d)/det, (b*d-2*a*e)/det
	at := a*x*x + b*x*y + c*y*y + d*x + e*y + f // value at the centre
	mean, half := (a+c)/2, math.Hypot((a-c)/2, b/2)
	if mean < 0 {
		a, b, c, mean, at = -a, -b, -c, -mean, -at
	}
	// -at/(mean -+ half) are the squared half axes; the long one belongs to the
	// smaller coefficient.
	long, short := -at/(mean-half), -at/(mean+half)
	if !(long > 0) || !(short > 0) || !finite(long) {
		return Ellipse{}, false
	}
	return Ellipse{X: x, Y: y, A: math.Sqrt(long), B: math.Sqrt(short), Angle: halfTurn(math.Atan2(b, a-c)/2 + math.Pi/2)}, true
}

// halfTurn brings an axis' direction into (-pi/2, pi/2].
func halfTurn(rad float64) float64 {
	rad = math.Remainder(rad, math.Pi)
	if rad <= -math.Pi/2 {
		rad += math.Pi
	}
	return rad
}
