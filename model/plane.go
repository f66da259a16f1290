package model

import "math"

// Vec is a point or displacement in the plane; its unit is the caller's, mm
// unless a name says otherwise.
type Vec struct{ X, Y float64 }

// Add is a + b.
func (a Vec) Add(b Vec) Vec { return Vec{a.X + b.X, a.Y + b.Y} }

// Sub is a - b.
func (a Vec) Sub(b Vec) Vec { return Vec{a.X - b.X, a.Y - b.Y} }

// Scale is k a.
func (a Vec) Scale(k float64) Vec { return Vec{k * a.X, k * a.Y} }

// Dot is the scalar product.
func (a Vec) Dot(b Vec) float64 { return a.X*b.X + a.Y*b.Y }

// Norm is a's length, in its unit.
func (a Vec) Norm() float64 { return math.Hypot(a.X, a.Y) }

// Angle is a's direction in rad, counter-clockwise from +X, -Pi to Pi.
func (a Vec) Angle() float64 { return math.Atan2(a.Y, a.X) }

// Rotate turns a counter-clockwise by rad.
func (a Vec) Rotate(rad float64) Vec {
	s, c := math.Sincos(rad)
	return Vec{c*a.X - s*a.Y, s*a.X + c*a.Y}
}

// Polar is the vector of length r in the direction angleRad, as Angle gives it.
func Polar(r, angleRad float64) Vec { s, c := math.Sincos(angleRad); return Vec{r * c, r * s} }

// IsFinite tells that neither component is NaN or infinite.
func (a Vec) IsFinite() bool { return finite(a.X) && finite(a.Y) }

func finite(x float64) bool           { return !math.IsNaN(x) && !math.IsInf(x, 0) }
func wrapPi(angleRad float64) float64 { return math.Remainder(angleRad, 2*math.Pi) }

// Sym2 is a symmetric 2x2 matrix, used for covariances (mm²).
type Sym2 struct{ XX, XY, YY float64 }

// Add is a + b: the covariance of a sum of independent displacements.
func (a Sym2) Add(b Sym2) Sym2 { return Sym2{a.XX + b.XX, a.XY + b.XY, a.YY + b.YY} }

// Scale is k a: the covariance of a displacement lengthened by the root of k.
func (a Sym2) Scale(k float64) Sym2 { return Sym2{k * a.XX, k * a.XY, k * a.YY} }

// Det is the determinant (mm⁴ of a covariance).
func (a Sym2) Det() float64 { return a.XX*a.YY - a.XY*a.XY }

// Outer returns v vᵀ: the covariance of a displacement along v whose factor has
// unit variance.
func (v Vec) Outer() Sym2 { return Sym2{v.X * v.X, v.X * v.Y, v.Y * v.Y} }

// Rotate returns R a Rᵀ for a turn by rad counter-clockwise.
func (a Sym2) Rotate(rad float64) Sym2 {
	s, c := math.Sincos(rad)
	return Sym2{
		XX: c*c*a.XX - 2*c*s*a.XY + s*s*a.YY,
		XY: c*s*(a.XX-a.YY) + (c*c-s*s)*a.XY,
		YY: s*s*a.XX + 2*c*s*a.XY + c*c*a.YY,
	}
}

// Eigen returns the variances along the major and the minor axis and the
// direction of the major axis in (-pi/2, pi/2].
func (a Sym2) Eigen() (major, minor, angleRad float64) {
	mean, half := (a.XX+a.YY)/2, math.Hypot((a.XX-a.YY)/2, a.XY)
	return mean + half, mean - half, math.Atan2(2*a.XY, a.XX-a.YY) / 2
}

// Mahalanobis2 returns vᵀ a⁻¹ v. It is +Inf when a is singular.
func (a Sym2) Mahalanobis2(v Vec) float64 {
	det := a.Det()
	if det <= 0 {
		return math.Inf(1)
	}
	return (a.YY*v.X*v.X - 2*a.XY*v.X*v.Y + a.XX*v.Y*v.Y) / det
}
