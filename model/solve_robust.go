package model

import "math"

// departures returns the px residuals of rim k at the fit.
func (f *rimFit) departures(k rimKind) []float64 {
	c := f.camera(f.fit.P)
	p := c.Projector()
	s := f.solid(f.fit.P).atWork(&p)
	out := make([]float64, len(f.points[k]))
	for i, l := range f.sightsUnder(c, &p)[k] {
		out[i] = departure(k, l, s, c.PxPerMM) - f.points[k][i].oval(f.fit.P, k)
	}
	return out
}

// tukey is the cut-off of the biweight in robust standard deviations: 4.685 has
// 95 % efficiency at the normal (Holland & Welsch 1977, from memory).
const tukey = 4.685

// reweigh sets each point's robust weight and each rim's excess scatter from the
// residuals, and returns the largest change of a weight.
func (f *rimFit) reweigh() float64 {
	change := 0.0
	for k := range nRims {
		if len(f.points[k]) == 0 {
			continue
		}
		dep := f.departures(k)
		factor, excess := scatterBeyond(dep, f.points[k])
		near := scatterNear(dep, f.points[k])
		for i := range f.points[k] {
			p := &f.points[k][i]
			all := math.Sqrt((factor * factor * sq(p.SigmaPx)) + excess*excess)
			p.excess = math.Sqrt(math.Max(all*near[sectorNear(p.theta)]-sq(p.SigmaPx), 0))
			t := dep[i] / (tukey * p.sd())
			w := 0.0
			if math.Abs(t) < 1 {
				w = sq(1 - t*t)
			}
			change = math.Max(change, math.Abs(w-p.weight))
			p.weight = w
			p.scale = math.Sqrt(w) / p.sd()
		}
	}
	return change
}

// scatterBeyond returns by what the points' own sds fall short: a factor on them
// and an amount to be added in quadrature. The surer half of the points tells the
// amount (form, texture finer than an arc), the other half the factor.
func scatterBeyond(dep []float64, pts []fitPoint) (factor, excess float64) {
	sds := make([]float64, len(pts))
	for i, p := range pts {
		sds[i] = p.SigmaPx
	}
	mid := median(sds)
	half := func(sure bool) (d []float64, q []fitPoint) {
		for i, p := range pts {
			if (p.SigmaPx <= mid) == sure {
				d, q = append(d, dep[i]), append(q, p)
			}
		}
		return d, q
	}
	d, q := half(true)
	excess = excessScatter(d, q)
	factor = 1
	if d, q = half(false); len(d) >= minPoints {
		z := make([]float64, len(d))
		for i := range d {
			z[i] = math.Abs(d[i]) / math.Hypot(q[i].SigmaPx, excess)
		}
		factor = math.Max(median(z)/0.6745, 1)
	}
	return factor, excess
}

// excessScatter returns the sd in px that has to be added in quadrature to the
// points' own to account for the middle half of the residuals.
func excessScatter(dep []float64, pts []fitPoint) float64 {
	abs := make([]float64, len(dep))
	tooWide := func(excess float64) bool {
		for i, d := range dep {
			abs[i] = math.Abs(d) / math.Sqrt(sq(pts[i].SigmaPx)+excess*excess)
		}
		return medianAbove(abs, 0.6745) // normal: the median of |z| (tables)
	}
	if !tooWide(0) {
		return 0
	}
	lo, hi := 0.0, 1.0
	for tooWide(hi) && hi < 1e3 {
		hi *= 2
	}
	for range 24 {
		mid := (lo + hi) / 2
		if tooWide(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// medianAbove says whether the median of x is above a limit: by counting, which
// spares the sorting.
func medianAbove(x []float64, limit float64) bool {
	above, least, most := 0, math.Inf(1), math.Inf(-1)
	for _, v := range x {
		if v > limit {
			above++
			least = min(least, v)
		} else {
			most = max(most, v)
		}
	}
	if 2*above == len(x) {
		return (least+most)/2 > limit
	}
	return 2*above > len(x)
}

const (
	// sectorsNear is into how many pieces a rim is cut to see where it scatters more
	// than elsewhere, reachNear from how far to both sides of a piece's middle its
	// points come: some two dozen, which tell a scatter to a quarter.
	sectorsNear = 36
	reachNear   = 20 * math.Pi / 180
	// leastNear keeps a piece whose points happen to lie on the fit from outweighing
	// the rest, px.
	leastNear = 0.05
)

func sectorNear(theta float64) int {
	return int((theta/(2*math.Pi)+1)*sectorsNear) % sectorsNear
}

// scatterNear returns the sd in px of the residuals round each piece of a rim, by the
// middle of their sizes: a rim scatters where it sparkles in one-sided light, and not
// on the other side. It is as rough as its points are few, so reweigh goes half-way
// to it, on the scale of equal ratios, from the scatter of the whole rim.
func scatterNear(dep []float64, pts []fitPoint) (sd [sectorsNear]float64) {
	near := make([]float64, 0, len(pts))
	for s := range sd {
		middle := 2 * math.Pi * (float64(s) + 0.5) / sectorsNear
		near = near[:0]
		for i, p := range pts {
			// Directions run from -pi to pi, the pieces' middles from 0 to 2 pi.
			if apart := math.Abs(p.theta - middle); min(apart, math.Abs(apart-2*math.Pi)) < reachNear {
				near = append(near, math.Abs(dep[i]))
			}
		}
		if len(near) > 0 {
			sd[s] = math.Max(median(near)/0.6745, leastNear)
		}
	}
	return sd
}
