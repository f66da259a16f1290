package model

import "math"

// Camera maps part points to pixels: a pinhole without lens distortion whose
// picture plane is square to the optical axis through (CX, CY). The view
// direction is stated at the hole, where it matters, so that it means the same
// for a hole off the picture's centre.
type Camera struct {
	CX, CY         float64 // principal point, px
	U0, V0         float64 // picture of the bore axis on the face, px
	PxPerMM        float64 // at the bore axis on the face, across the line of sight
	InvDistPerMM   float64 // 1/distance from there to the camera; 0 = parallel view
	SlopeX, SlopeY float64 // the camera stands in direction (SlopeX, SlopeY, 1), part axes
	PlusX          float64 // rad counter-clockwise from image-right to the picture of +X
}

// Placed says that a fit put the camera where it stood. A reading from a table has its
// scale alone, and no direction may be taken from that.
func (c Camera) Placed() bool { return c.PxPerMM > 0 && c != Camera{PxPerMM: c.PxPerMM} }

// Projector is a Camera made ready for many points. It is safe for concurrent use.
type Projector struct {
	m [3][4]float64 // homogeneous projection of (x, y, z, 1)
}

// Projector computes the camera's projection.
func (c Camera) Projector() Projector {
	// Two frames: the first looks straight along the line of sight to the hole,
	// the second is turned from it, the short way, so that the hole lies off the
	// picture's centre by the right angle.
	n := unit3([3]float64{c.SlopeX, c.SlopeY, 1}) // from hole to camera
	ex := (c.U0 - c.CX) * c.InvDistPerMM / c.PxPerMM
	ey := (c.V0 - c.CY) * c.InvDistPerMM / c.PxPerMM
	e := unit3([3]float64{ex, ey, 1}) // line of sight in camera axes
	turn := shortestTurn(e)
	psi := c.PlusX
	var p Projector
	// The roll is defined by the picture of +X, which the turn off the picture's
	// centre skews a little: a fixed point reached in two corrections.
	for range 3 {
		p = c.assemble(n, e, turn, psi)
		psi += wrapPi(c.PlusX - p.plusX())
	}
	return p
}

// assemble builds the projection for a roll of psi about the line of sight.
func (c Camera) assemble(n, e [3]float64, turn [3][3]float64, psi float64) Projector {
	// Part axes seen along -n without roll: right = the part of +X across n.
	right := unit3([3]float64{1 - n[0]*n[0], -n[0] * n[1], -n[0] * n[2]})
	up := cross3(n, right)
	s, co := math.Sincos(psi)
	var look [3][3]float64 // rows: image-right, image-down, forward
	for i := range 3 {
		look[0][i] = co*right[i] - s*up[i]
		look[1][i] = -(s*right[i] + co*up[i])
		look[2][i] = -n[i]
	}
	r := mul3(turn, look)
	k := c.InvDistPerMM
	// Depth over distance is k R.P + e_z; the offset terms stay finite as k -> 0.
	norm := math.Sqrt(1 + sq((c.U0-c.CX)*k/c.PxPerMM) + sq((c.V0-c.CY)*k/c.PxPerMM))
	var p Projector
	for i := range 3 {
		p.m[2][i] = k * r[2][i]
		p.m[0][i] = c.PxPerMM*r[0][i] + c.CX*p.m[2][i]
		p.m[1][i] = c.PxPerMM*r[1][i] + c.CY*p.m[2][i]
	}
	p.m[2][3] = e[2]
	p.m[0][3] = (c.U0-c.CX)/norm + c.CX*e[2]
	p.m[1][3] = (c.V0-c.CY)/norm + c.CY*e[2]
	return p
}

// plusX is the direction of the picture of +X at the bore axis.
func (p Projector) plusX() float64 {
	w := p.m[2][3]
	u, v := p.m[0][3]/w, p.m[1][3]/w
	return math.Atan2(-(p.m[1][0] - v*p.m[2][0]), p.m[0][0]-u*p.m[2][0])
}

// ToPhoto returns the pixel of part point (x, y, z), mm.
func (p Projector) ToPhoto(x, y, z float64) (u, v float64) {
	w := p.m[2][0]*x + p.m[2][1]*y + p.m[2][2]*z + p.m[2][3]
	u = p.m[0][0]*x + p.m[0][1]*y + p.m[0][2]*z + p.m[0][3]
	v = p.m[1][0]*x + p.m[1][1]*y + p.m[1][2]*z + p.m[1][3]
	return u / w, v / w
}

// ToPlane returns where the line of sight of pixel (u, v) meets the plane z.
func (p Projector) ToPlane(u, v, z float64) Vec { return p.sight(u, v).at(z) }

// sight is a pixel's line of sight: it meets the plane z at base + z lean.
type sight struct{ base, lean Vec }

func (l sight) at(z float64) Vec { return Vec{l.base.X + z*l.lean.X, l.base.Y + z*l.lean.Y} }

// sight returns the line of sight of pixel (u, v).
func (p *Projector) sight(u, v float64) sight {
	a00, a01 := p.m[0][0]-u*p.m[2][0], p.m[0][1]-u*p.m[2][1]
	a10, a11 := p.m[1][0]-v*p.m[2][0], p.m[1][1]-v*p.m[2][1]
	perDet := 1 / (a00*a11 - a01*a10)
	// The right sides at the face, and by how much they grow with z.
	b0, b1 := u*p.m[2][3]-p.m[0][3], v*p.m[2][3]-p.m[1][3]
	c0, c1 := u*p.m[2][2]-p.m[0][2], v*p.m[2][2]-p.m[1][2]
	return sight{
		base: Vec{(b0*a11 - b1*a01) * perDet, (a00*b1 - a10*b0) * perDet},
		lean: Vec{(c0*a11 - c1*a01) * perDet, (a00*c1 - a10*c0) * perDet},
	}
}

func sq(x float64) float64 { return x * x }

func unit3(a [3]float64) [3]float64 {
	n := math.Sqrt(a[0]*a[0] + a[1]*a[1] + a[2]*a[2])
	return [3]float64{a[0] / n, a[1] / n, a[2] / n}
}

func cross3(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func mul3(a, b [3][3]float64) (c [3][3]float64) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				c[i][j] += a[i][k] * b[k][j]
			}
		}
	}
	return c
}

// shortestTurn is the rotation that takes (0, 0, 1) to the unit vector e.
func shortestTurn(e [3]float64) [3][3]float64 {
	// Rodrigues with axis (0,0,1) x e = (-ey, ex, 0) and cosine e_z.
	f := 1 / (1 + e[2])
	return [3][3]float64{
		{1 - f*e[0]*e[0], -f * e[0] * e[1], e[0]},
		{-f * e[0] * e[1], 1 - f*e[1]*e[1], e[1]},
		{-e[0], -e[1], e[2]},
	}
}
