package vision

import (
	"math"

	"evenrim/model"
)

// curve is a rim as the tracer knows it, in photo pixels: a circle, made oval. Angles are image angles (y down) about the circle's
// own centre.
type curve struct {
	model.Circle
	cos2, sin2 float64 // correction of the second harmonic, px: an ellipse to first order
}

// radius returns the curve's distance from its centre in direction theta.
func (c *curve) radius(theta float64) float64 {
	if c.cos2 == 0 && c.sin2 == 0 {
		return c.R
	}
	s, co := math.Sincos(2 * theta)
	return c.R + c.cos2*co + c.sin2*s
}

// distance returns how far (x, y) lies outside the curve, px.
func (c *curve) distance(x, y float64) float64 {
	dx, dy := x-c.X, y-c.Y
	r2 := dx*dx + dy*dy
	d := math.Sqrt(r2) - c.R
	if c.ovalness() > 0 && r2 > 0 {
		// Cosine and sine of twice the direction, without the direction.
		d -= (c.cos2*(dx*dx-dy*dy) + c.sin2*2*dx*dy) / r2
	}
	return d
}

// ovalness is the most that the curve leaves its circle, px.
func (c *curve) ovalness() float64 { return math.Abs(c.cos2) + math.Abs(c.sin2) }

// toward returns the distance from (cx, cy), which lies inside, to the curve in
// direction theta; 0 where the ray misses it.
func (c *curve) toward(cx, cy, theta float64) float64 {
	s, co := math.Sincos(theta)
	x, y := c.X-cx, c.Y-cy
	along := x*co + y*s
	across2 := x*x + y*y - along*along
	rho, r := 0.0, c.R
	for range 3 {
		if across2 >= r*r {
			return 0
		}
		rho = along + math.Sqrt(r*r-across2)
		r = c.radius(math.Atan2(cy+rho*s-c.Y, cx+rho*co-c.X))
	}
	return rho
}

// follow fits the curve to points with weights: centre, radius and, if asked, ovalness,
// robustly. Few points leave the curve as it is.
func (c *curve) follow(pts []model.EdgePoint, oval bool) {
	n := 3
	if oval {
		n = 5
	}
	if len(pts) < 3*n {
		return
	}
	base := *c
	type obs struct {
		row  [5]float64
		y, w float64
	}
	rows := make([]obs, len(pts))
	for i, p := range pts {
		th := math.Atan2(p.Y-base.Y, p.X-base.X)
		s, co := math.Sincos(th)
		s2, c2 := math.Sincos(2 * th)
		rows[i] = obs{[5]float64{co, s, 1, c2, s2}, math.Hypot(p.X-base.X, p.Y-base.Y) - base.R, 1 / (p.SigmaPx*p.SigmaPx + 0.01)}
	}
	var sol []float64
	for range 8 {
		a := make([]float64, n*n)
		b := make([]float64, n)
		for _, o := range rows {
			for i := range n {
				for j := range n {
					a[i*n+j] += o.w * o.row[i] * o.row[j]
				}
				b[i] += o.w * o.row[i] * o.y
			}
		}
		x, ok := solveSmall(a, b, n)
		if !ok {
			return
		}
		sol = x
		res := make([]float64, len(rows))
		for i, o := range rows {
			r := o.y
			for k := range n {
				r -= x[k] * o.row[k]
			}
			res[i] = r / math.Sqrt(sq(pts[i].SigmaPx)+0.01)
		}
		scale := math.Max(1.4826*medianAbs(res), 0.5)
		for i := range rows {
			t := res[i] / (4.685 * scale)
			w := 0.0
			if t > -1 && t < 1 {
				w = sq(1 - t*t)
			}
			rows[i].w = w / (pts[i].SigmaPx*pts[i].SigmaPx + 0.01)
		}
	}
	c.X, c.Y, c.R = base.X+sol[0], base.Y+sol[1], base.R+sol[2]
	c.cos2, c.sin2 = 0, 0
	if oval {
		c.cos2, c.sin2 = sol[3], sol[4]
	}
}
