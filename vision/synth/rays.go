package synth

import (
	"math"

	"evenrim/model"
)

// optics turns pixels into lines of sight and part points into pixels.
type optics struct {
	proj     model.Projector
	t        float64
	k1       float64
	cx, cy   float64
	invDiag2 float64 // 1/(half diagonal)², px
}

func newOptics(s Scene) optics {
	c := s.Camera()
	return optics{proj: c.Projector(), t: s.ThicknessMM, k1: s.K1, cx: c.CX, cy: c.CY,
		invDiag2: 1 / (c.CX*c.CX + c.CY*c.CY)}
}

// ray is a line of sight: the point at height z is p + z q.
type ray struct{ p, q model.Vec }

// length is Norm without its care for overflow, which costs more than the rest of
// a pixel; lengths here are millimetres.
func length(a model.Vec) float64 { return math.Sqrt(a.X*a.X + a.Y*a.Y) }

func (r ray) at(z float64) model.Vec { return model.Vec{X: r.p.X + z*r.q.X, Y: r.p.Y + z*r.q.Y} }

func (o *optics) ray(u, v float64) ray {
	u, v = o.ideal(u, v)
	return o.through(u, v, o.proj.ToPlane(u, v, 0))
}

// ideal takes a pixel to where a pinhole without distortion would have it.
func (o *optics) ideal(u, v float64) (float64, float64) {
	if o.k1 == 0 {
		return u, v
	}
	x, y := u-o.cx, v-o.cy
	k := 1 + o.k1*(x*x+y*y)*o.invDiag2
	return o.cx + k*x, o.cy + k*y
}

// through completes the ray of an ideal pixel that meets the face at p.
func (o *optics) through(u, v float64, p model.Vec) ray {
	e := o.proj.ToPlane(u, v, -o.t)
	return ray{p, model.Vec{X: (p.X - e.X) / o.t, Y: (p.Y - e.Y) / o.t}}
}

// toPixel returns where part point (p, z) appears, lens distortion included.
func (o *optics) toPixel(p model.Vec, z float64) (u, v float64) {
	u, v = o.proj.ToPhoto(p.X, p.Y, z)
	if o.k1 == 0 {
		return u, v
	}
	qx, qy := u-o.cx, v-o.cy
	x, y := qx, qy
	for range 60 { // contraction by about 3 k1 each time
		k := 1 + o.k1*(x*x+y*y)*o.invDiag2
		nx, ny := qx/k, qy/k
		if math.Abs(nx-x)+math.Abs(ny-y) < 1e-10 {
			x, y = nx, ny
			break
		}
		x, y = nx, ny
	}
	return o.cx + x, o.cy + y
}

// shape is the solid with what the implicit functions need precomputed.
type shape struct {
	model.Solid
	outer, tan, cot float64 // R, tan and 1/tan of the half-angle
}

func newShape(s model.Solid) shape {
	t := math.Tan(s.HalfAngle)
	return shape{Solid: s, outer: s.RadiusMM + s.WidthMM, tan: t, cot: 1 / t}
}

// coneZ returns the height (<= 0) at which the ray meets the chamfer's cone, and
// 0 where it passes outside the cone's mouth.
func (s *shape) coneZ(r ray) float64 {
	q := r.p.Sub(s.Mismatch)
	c := q.Dot(q) - s.outer*s.outer
	if c >= 0 {
		return 0
	}
	// |q + z s|² = (R + z tan a)²: a z² + 2 b z + c = 0, the root next to the face.
	a := r.q.Dot(r.q) - s.tan*s.tan
	b := q.Dot(r.q) - s.outer*s.tan
	return c / (-b + math.Sqrt(max(b*b-a*c, 0)))
}

// depth returns how far below the face the bore edge lies in the direction of p.
func (s *shape) depth(p model.Vec) float64 {
	l := length(p)
	if l == 0 {
		return s.WidthMM * s.cot
	}
	m := length(p.Scale(s.RadiusMM / l).Sub(s.Mismatch))
	return max(s.outer-m, 0) * s.cot
}

// wallZ returns the height at which a ray inside the bore meets its wall.
func (s *shape) wallZ(r ray) float64 {
	a := r.q.Dot(r.q)
	c := s.RadiusMM*s.RadiusMM - r.p.Dot(r.p)
	b := r.p.Dot(r.q)
	if a < 1e-18 {
		return -1e9
	}
	// a z² + 2 b z - c = 0, the lower root.
	return (-b - math.Sqrt(max(b*b+a*c, 0))) / a
}
