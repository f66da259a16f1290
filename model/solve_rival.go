package model

import "math"

// rival is another solution of the fit, from the other side of the tilt.
type rival struct {
	mismatch Vec
	share    float64 // of the probability of all solutions together
}

// rivalTemper divides the log-likelihood ratio of two solutions: neighbours along
// a rim agree (blur, texture), so that the sum of squares counts each fact a few
// times.
const rivalTemper = 4.0

// addRival keeps g's solution as a doubt about f's, where it is another one.
func (f *rimFit) addRival(g *rimFit) {
	d := Vec{g.fit.P[qDX], g.fit.P[qDY]}
	apart := d.Sub(Vec{f.fit.P[qDX], f.fit.P[qDY]}).Norm() * f.fit.P[qScale]
	if apart < 0.02 { // px: the same solution
		return
	}
	odds := math.Exp(-(f.lossAt(g.fit.P, exitRim) - f.lossAt(f.fit.P, exitRim)) / 2 / rivalTemper)
	if odds > 1e-3 {
		f.rivals = append(f.rivals, rival{d, odds / (1 + odds)})
	}
}

// lossAt returns the robust misfit at q of the rims up to last with the fit's own
// idea of the points' scatter: comparable between solutions, which weighted sums
// of squares aren't.
func (f *rimFit) lossAt(q []float64, last rimKind) float64 {
	c := f.camera(q)
	p := c.Projector()
	s := f.solid(q).atWork(&p)
	sum := 0.0
	seen := f.sightsUnder(c, &p)
	for k := outerRim; k <= last; k++ {
		for i, pt := range f.points[k] {
			u := departure(k, seen[k][i], s, c.PxPerMM) / (tukey * pt.sd())
			sum += tukey * tukey / 3 * (1 - math.Pow(math.Max(1-u*u, 0), 3))
		}
	}
	out := make([]float64, len(f.rows))
	f.residuals(q, out)
	return sum + sumSquares(out[len(out)-len(priorNames):])
}

// rivalMean returns the mismatch averaged over the solutions and the covariance
// that their difference adds: the moments of a mixture.
func (f *rimFit) rivalMean() (Vec, Sym2) {
	best := Vec{f.fit.P[qDX], f.fit.P[qDY]}
	mean := best
	for _, r := range f.rivals {
		mean = mean.Add(r.mismatch.Sub(best).Scale(r.share))
	}
	own := 1.0
	var cov Sym2
	for _, r := range f.rivals {
		cov = cov.Add(r.mismatch.Sub(mean).Outer().Scale(r.share))
		own -= r.share
	}
	return mean, cov.Add(best.Sub(mean).Outer().Scale(math.Max(own, 0)))
}
