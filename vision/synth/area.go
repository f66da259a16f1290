package synth

import "math"

// halfPlaneArea returns how much of the unit square centred at the origin lies
// where n.x + dist < 0; n is a unit normal and dist the signed distance of the
// square's centre from the line, in sides of the square.
func halfPlaneArea(nx, ny, dist float64) float64 {
	a, b := math.Abs(nx), math.Abs(ny)
	if a < b {
		a, b = b, a
	}
	d := -dist
	reach := (a + b) / 2
	switch {
	case d >= reach:
		return 1
	case d <= -reach:
		return 0
	case math.Abs(d) <= (a-b)/2:
		return 0.5 + d/a
	}
	// The line cuts a corner off: a triangle with sides t/a and t/b.
	t := reach - math.Abs(d)
	corner := t * t / (2 * a * b)
	if d > 0 {
		return 1 - corner
	}
	return corner
}

// line is a half plane n.x + dist < 0 in units of the square's side.
type line struct{ nx, ny, dist float64 }

func (l line) area() float64 { return halfPlaneArea(l.nx, l.ny, l.dist) }

// bothArea returns how much of the unit square lies in both half planes.
func bothArea(l, m line) float64 {
	al, am := l.area(), m.area()
	if al == 0 || am == 0 {
		return 0
	}
	if al == 1 {
		return am
	}
	if am == 1 {
		return al
	}
	// Clip the square by one line after the other (Sutherland and Hodgman 1974).
	var buf [2][8][2]float64
	poly := append(buf[0][:0], [2]float64{-.5, -.5}, [2]float64{.5, -.5}, [2]float64{.5, .5}, [2]float64{-.5, .5})
	for i, h := range [2]line{l, m} {
		poly = clip(buf[1-i][:0], poly, h)
	}
	var twice float64
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		twice += p[0]*q[1] - q[0]*p[1]
	}
	return math.Abs(twice) / 2
}

func clip(dst, poly [][2]float64, h line) [][2]float64 {
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		dp := h.nx*p[0] + h.ny*p[1] + h.dist
		dq := h.nx*q[0] + h.ny*q[1] + h.dist
		if dp < 0 {
			dst = append(dst, p)
		}
		if (dp < 0) != (dq < 0) {
			t := dp / (dp - dq)
			dst = append(dst, [2]float64{p[0] + t*(q[0]-p[0]), p[1] + t*(q[1]-p[1])})
		}
	}
	return dst
}
