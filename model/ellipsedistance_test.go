package model

import (
	"fmt"
	"math"
)

// The program fits rims, not free ellipses. This one is here to hold its least squares
// against published fits, started where it starts.

// fitEllipse returns the ellipse that minimises the sum of squared distances of p
// to it, starting from FitEllipseDirect, and that sum. Errors as there; from
// fewer than half of the rim the answer is determined but worthless, and no error
// says so.
//
// Source: Gander, Golub & Strebel, BIT 34 (1994) 558-578.
func fitEllipse(p []Vec) (Ellipse, float64, error) {
	e, err := FitEllipseDirect(p)
	if err != nil {
		return Ellipse{}, 0, err
	}
	ls := leastSquares{m: len(p), step: []float64{1e-6 * e.A, 1e-6 * e.A, 1e-6 * e.A, 1e-6 * e.A, 1e-6}, maxIter: 500, tol: 1e-9,
		residuals: func(q, out []float64) {
			t := Ellipse{q[0], q[1], math.Abs(q[2]), math.Abs(q[3]), q[4]}
			for i, v := range p {
				out[i] = t.distance(v)
			}
		}}
	f, err := ls.minimise([]float64{e.X, e.Y, e.A, e.B, e.Angle})
	if err != nil {
		return Ellipse{}, 0, fmt.Errorf("model: ellipse through %d points: %w", len(p), err)
	}
	e = Ellipse{f.P[0], f.P[1], math.Abs(f.P[2]), math.Abs(f.P[3]), f.P[4]}
	if e.B > e.A {
		e.A, e.B, e.Angle = e.B, e.A, e.Angle+math.Pi/2
	}
	e.Angle = halfTurn(e.Angle)
	return e, f.SSE, nil
}

// distance returns how far v lies outside the ellipse (negative: inside), in the
// unit of its axes.
func (e Ellipse) distance(v Vec) float64 {
	v = v.Sub(Vec{e.X, e.Y}).Rotate(-e.Angle)
	x, y := math.Abs(v.X), math.Abs(v.Y)
	inside := sq(x/e.A)+sq(y/e.B) < 1
	foot := footPoint(e.A, e.B, x, y)
	d := math.Hypot(x-foot.X, y-foot.Y)
	if inside {
		return -d
	}
	return d
}

// footPoint returns the point of an axis-parallel ellipse nearest to (x, y) in the
// first quadrant, for any two half axes. The root of the normal equation in t is
// bracketed and bisected with Newton steps (Eberly 2013, from memory).
func footPoint(a, b, x, y float64) Vec {
	if b > a {
		f := footPoint(b, a, y, x)
		return Vec{f.Y, f.X}
	}
	if y == 0 {
		if c := a - b*b/a; x < c {
			px := a * x / c
			return Vec{px, b * math.Sqrt(math.Max(1-sq(px/a), 0))}
		}
		return Vec{a, 0}
	}
	// F(t) = (a x/(t+a²))² + (b y/(t+b²))² - 1 falls from +inf to -1 for t > -b².
	lo, hi := -b*b+b*y, -b*b+math.Hypot(a*x, b*y)
	t := lo
	for range 100 {
		p, q := a*x/(t+a*a), b*y/(t+b*b)
		f := p*p + q*q - 1
		if f > 0 {
			lo = t
		} else {
			hi = t
		}
		next := t + f/(2*(p*p/(t+a*a)+q*q/(t+b*b)))
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-t) <= 1e-15*(math.Abs(t)+b*b) {
			break
		}
		t = next
	}
	return Vec{a * a * x / (t + a*a), b * b * y / (t + b*b)}
}
