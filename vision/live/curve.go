package live

import (
	"math"
	"slices"

	"evenrim/model"
)

// The rims in the order met from outside.
const (
	outer = iota
	bore
	exit
	nRims
)

// curve is a rim in the picture: a circle, made oval by its second harmonic, which
// is an ellipse to first order. Angles are about its own centre, y down.
type curve struct {
	x, y, r    float64
	cos2, sin2 float64
}

func (c *curve) radius(dx, dy float64) float64 {
	if c.cos2 == 0 && c.sin2 == 0 {
		return c.r
	}
	// cos and sin of twice the angle without the angle.
	n := dx*dx + dy*dy
	if n == 0 {
		return c.r
	}
	return c.r + (c.cos2*(dx*dx-dy*dy)+c.sin2*2*dx*dy)/n
}

// toward returns the distance from (px, py), which lies inside, to the curve in
// direction (ux, uy); 0 where the ray misses it.
func (c *curve) toward(px, py, ux, uy float64) float64 {
	x, y := c.x-px, c.y-py
	along := x*ux + y*uy
	across2 := x*x + y*y - along*along
	rho, r := 0.0, c.r
	for range 2 {
		if across2 >= r*r {
			return 0
		}
		rho = along + math.Sqrt(r*r-across2)
		r = c.radius(px+rho*ux-c.x, py+rho*uy-c.y)
	}
	return rho
}

// off returns how far (px, py) lies outside the curve, px.
func (c *curve) off(px, py float64) float64 {
	dx, dy := px-c.x, py-c.y
	return math.Sqrt(dx*dx+dy*dy) - c.radius(dx, dy)
}

// floorSD keeps a few very sharp points from ruling a curve, px.
const floorSD = 0.1

// follow fits the curve to points: centre, radius and, if asked, ovalness; points
// that are off count for nothing (Tukey's biweight; Beaton & Tukey 1974, from
// memory). It returns the weighted rms of what is left, px.
func (c *curve) follow(pts []model.EdgePoint, oval bool) (rms float64, ok bool) {
	n := 3
	if oval {
		n = 5
	}
	if len(pts) < 3*n {
		return 0, false
	}
	base := *c
	rows := make([][5]float64, len(pts))
	y, w, res := make([]float64, len(pts)), make([]float64, len(pts)), make([]float64, len(pts))
	for i, p := range pts {
		dx, dy := p.X-base.x, p.Y-base.y
		d := math.Hypot(dx, dy)
		co, s := dx/d, dy/d
		rows[i] = [5]float64{co, s, 1, co*co - s*s, 2 * co * s}
		y[i] = d - base.r
		w[i] = 1 / (p.SigmaPx*p.SigmaPx + floorSD*floorSD)
	}
	var x [5]float64
	for range 6 {
		var m system
		for i := range rows {
			m.add(rows[i][:n], y[i], w[i])
		}
		if x, ok = m.solve(n); !ok {
			return 0, false
		}
		for i := range rows {
			r := y[i]
			for k := range n {
				r -= x[k] * rows[i][k]
			}
			res[i] = r
		}
		scale := math.Max(1.4826*medianAbs(res), 0.15)
		sum, weight := 0.0, 0.0
		for i, p := range pts {
			t := res[i] / (4.685 * math.Hypot(scale, p.SigmaPx))
			u := 0.0
			if t > -1 && t < 1 {
				u = (1 - t*t) * (1 - t*t)
			}
			w[i] = u / (p.SigmaPx*p.SigmaPx + floorSD*floorSD)
			sum, weight = sum+u*res[i]*res[i], weight+u
		}
		rms = math.Sqrt(sum / math.Max(weight, 1))
	}
	c.x, c.y, c.r = base.x+x[0], base.y+x[1], base.r+x[2]
	c.cos2, c.sin2 = 0, 0
	if oval {
		c.cos2, c.sin2 = x[3], x[4]
	}
	return rms, true
}

func medianAbs(x []float64) float64 {
	t := make([]float64, len(x))
	for i, v := range x {
		t[i] = math.Abs(v)
	}
	if len(t) == 0 {
		return 0
	}
	slices.Sort(t)
	return t[len(t)/2]
}
