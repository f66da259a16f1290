package model

import "math"

// departures returns the px residuals of rim k at the fit.
func (f *rimFit) departures(k rimKind) []float64 {
	c := f.camera(f.fit.P)
	p := c.Projector()
	s := f.solid(f.fit.P).atWork(&p)
	out := make([]float64, len(f.points[k]))
	for i, pt := range f.points[k] {
		out[i] = departure(k, &p, s, c.PxPerMM, pt.X, pt.Y)
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
		excess := excessScatter(dep, f.points[k])
		for i := range f.points[k] {
			p := &f.points[k][i]
			p.excess = excess
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

// excessScatter returns the sd in px that has to be added in quadrature to the
// points' own to account for the middle half of the residuals.
func excessScatter(dep []float64, pts []fitPoint) float64 {
	abs := make([]float64, len(dep))
	ratio := func(excess float64) float64 {
		for i, d := range dep {
			abs[i] = math.Abs(d) / math.Hypot(pts[i].SigmaPx, excess)
		}
		return median(abs) / 0.6745 // normal: the median of |z| (tables)
	}
	if ratio(0) <= 1 {
		return 0
	}
	lo, hi := 0.0, 1.0
	for ratio(hi) > 1 && hi < 1e3 {
		hi *= 2
	}
	for range 24 {
		mid := (lo + hi) / 2
		if ratio(mid) > 1 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}
