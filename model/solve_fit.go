package model

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/mat"
)

const (
	// minPoints of each edge are needed to say anything.
	minPoints = 12
	// maxPasses bounds the robust reweighing.
	maxPasses = 14
)

// fitRims fits the perspective model. The job card has its defaults filled in.
// It returns a *Refusal when the points don't determine a mismatch.
func fitRims(t *Trace, job JobCard) (*rimFit, error) {
	f := &rimFit{job: job, trace: t}
	f.load(t.Outer, t.Bore, t.Exit)
	if len(f.points[outerRim]) < minPoints || len(f.points[boreRim]) < minPoints {
		return nil, Refuse(NoChamfer, "Too little of the chamfer's edges can be seen to measure it: take the photo closer, in focus, with light from all sides.")
	}
	starts, err := f.starts()
	if err != nil {
		return nil, err
	}
	f.wavy = len(f.points[exitRim]) == 0
	found, err := f.settleFromAll(starts)
	if err != nil {
		return nil, err
	}
	if len(f.points[exitRim]) > 0 && !f.exitBelongs() {
		f.load(t.Outer, t.Bore, nil)
		f.wavy = true
		if starts, err = f.starts(); err != nil {
			return nil, err
		}
		if found, err = f.settleFromAll(starts); err != nil {
			return nil, err
		}
	}
	f = likeliest(found)
	if f.cov, err = inverseNormal(f.fit.J); err != nil {
		return nil, &Refusal{Reason: Unsure, Cause: err, Sentence: "The traced edges leave the mismatch open: too little of the rims is visible. Show the whole hole in the photo."}
	}
	f.gain = mat.NewDense(len(f.fit.P), len(f.rows), nil)
	f.gain.Mul(f.cov, f.fit.J.T())
	return f, nil
}

// settleFromAll settles f from the first start and returns it with the fits from elsewhere.
// Without the exit rim there is more than one start, and a tilt one way and the other look
// nearly alike: both are tried, and that on the other side of where f stands.
func (f *rimFit) settleFromAll(starts [][]float64) ([]*rimFit, error) {
	others := make([]*rimFit, len(starts)) // the last one from the other side
	var wg sync.WaitGroup
	for i, q := range starts[1:] {
		g := f.clone()
		wg.Go(func() {
			if g.settle(q) == nil {
				others[i] = g
			}
		})
	}
	err := f.settle(starts[0])
	if err == nil && len(starts) > 1 {
		if g := f.clone(); g.settle(f.mirrored()) == nil {
			others[len(starts)-1] = g
		}
	}
	wg.Wait()
	if err != nil {
		return nil, err
	}
	return append([]*rimFit{f}, slices.DeleteFunc(others, func(g *rimFit) bool { return g == nil })...), nil
}

// load takes the rims' points and lays out the residual rows.
func (f *rimFit) load(outer, bore, exit []EdgePoint) {
	f.rows, f.seen = f.rows[:0], sights{}
	for k, pts := range [nRims][]EdgePoint{outer, bore, exit} {
		f.points[k] = f.points[k][:0]
		for _, p := range pts {
			if p.SigmaPx > 0 && finite(p.X) && finite(p.Y) && finite(p.SigmaPx) {
				f.points[k] = append(f.points[k], fitPoint{EdgePoint: p, weight: 1, scale: 1 / p.SigmaPx})
				f.rows = append(f.rows, row{rimKind(k), len(f.points[k]) - 1, ""})
			}
		}
	}
	if len(f.points[exitRim]) < minPoints {
		f.rows = f.rows[:len(f.rows)-len(f.points[exitRim])]
		f.points[exitRim] = nil
	}
	for _, n := range priorNames {
		f.rows = append(f.rows, row{index: -1, prior: n})
	}
}

func (f *rimFit) clone() *rimFit {
	g := *f
	g.rivals, g.seen = nil, sights{}
	for k := range g.points {
		g.points[k] = append([]fitPoint(nil), f.points[k]...)
		for i := range g.points[k] {
			p := &g.points[k][i]
			p.weight, p.excess, p.scale = 1, 0, 1/p.SigmaPx
		}
	}
	return &g
}

// settle fits from q, reweighing after each step until the weights stay.
func (f *rimFit) settle(q []float64) error {
	if f.wavy && len(q) == nRigid {
		q = append(q[:nRigid:nRigid], make([]float64, nUnknown-nRigid)...)
	}
	ls := leastSquares{m: len(f.rows), residuals: f.residuals, slopes: f.jacobian, maxIter: 2, passing: true}
	// A first fit with the robust weights of the start: a wrong start has them
	// all wrong.
	f.fit.P = q
	f.reweigh()
	for pass := range maxPasses {
		ls.step = f.steps(f.fit.P)
		fit, err := ls.minimise(f.fit.P)
		if err != nil {
			return &Refusal{Reason: Unsure, Cause: fmt.Errorf("model: fit of the rims: %w", err),
				Sentence: "The traced edges do not form a hole with a chamfer: mark the hole by hand or take the photo again."}
		}
		f.fit = fit
		if change := f.reweigh(); change < 0.02 && pass > 1 {
			break
		}
	}
	ls.step, ls.maxIter, ls.passing = f.steps(f.fit.P), 20, false
	fit, err := ls.minimise(f.fit.P)
	if err != nil {
		return &Refusal{Reason: Unsure, Cause: err, Sentence: "The traced edges do not form a hole with a chamfer: mark the hole by hand or take the photo again."}
	}
	f.fit = fit
	return nil
}

func (f *rimFit) steps(q []float64) []float64 {
	return []float64{0.01, 0.01, 1e-5 * q[qScale], 1e-3, 1e-5, 1e-5,
		0.01 / q[qScale], 0.01 / q[qScale], 0.01 / q[qScale], 1e-3, 1e-4, 0.01, 0.01, 0.01, 0.01}[:len(q)]
}

// exitBelongs says whether the points taken for the exit rim lie on one that fits
// the other two: most of them carry weight, they scatter like an edge, the view that
// they ask for does not make the other two wave and, where the tracer has its doubts,
// flattens them as these are.
func (f *rimFit) exitBelongs() bool {
	if f.exitMakesWaves() || f.trace.ExitInDoubt && !f.exitAgrees() {
		return false
	}
	pts := f.points[exitRim]
	sum := 0.0
	for _, p := range pts {
		sum += p.weight
	}
	return sum > 0.4*float64(len(pts)) && sum > minPoints && 1.4826*medianSize(f.departures(exitRim)) < maxExitScatterPx
}

// maxExitWaves is by how much the squares, in sds, of waves, tilt and distance may
// add up to more with the exit rim than without: of 270 photos with truth, right exit
// rims stay below 14 where the bore edge is right as well, and those that imply a
// view wrong by several degrees (the line where a shadow crosses the bore's wall, for
// one) are at 36 and more.
const maxExitWaves = 20.0

// exitOvalPx is the sd of a wave that an exit rim is not thrown out for, however smooth the
// other two rims are: a hole that is oval by some um has no later waves to tell of it.
const exitOvalPx = 0.15

// exitMakesWaves says that outer and bore edge are flattened otherwise than the view
// that the exit rim asks for would flatten them.
func (f *rimFit) exitMakesWaves() bool {
	lenient := f.oval
	for k := range lenient {
		lenient[k] = math.Max(lenient[k], exitOvalPx)
	}
	if f.priorAt(f.fit.P)+f.wavesLeft(lenient) < maxExitWaves/2 {
		return false // the usual case, and not worth fitting anew
	}
	with := f.clone()
	with.wavy, with.oval = true, lenient
	if with.settle(f.fit.P) != nil {
		return false
	}
	cost := with.priorAt(with.fit.P)
	if cost < maxExitWaves {
		return false // as it can't be less than nothing without the exit rim
	}
	alone := f.clone()
	alone.load(f.trace.Outer, f.trace.Bore, nil)
	alone.wavy = true
	starts, err := alone.starts()
	if err != nil {
		return false
	}
	alone.oval = lenient
	for _, q := range append(starts, with.fit.P) {
		g := alone.clone()
		if g.settle(q) == nil && cost-g.priorAt(g.fit.P) > maxExitWaves {
			return true
		}
	}
	return false
}

// wavesLeft is the square, in sds, of the waves twice round that the fit leaves in
// outer and bore edge.
func (f *rimFit) wavesLeft(sd [exitRim]float64) float64 {
	sum := 0.0
	for k := outerRim; k <= boreRim; k++ {
		var c, s, n float64
		for i, d := range f.departures(k) {
			p := &f.points[k][i]
			w := 1 / sq(p.sd())
			c, s, n = c+2*w*d*p.cos2, s+2*w*d*p.sin2, n+w
		}
		sum += (sq(c/n) + sq(s/n)) / sq(sd[k])
	}
	return sum
}

// maxExitMisfit is the log-likelihood that the other two rims may lose by an exit
// rim: what chance explains.
const maxExitMisfit = 6.0

func (f *rimFit) exitAgrees() bool {
	alone := f.clone()
	alone.load(f.trace.Outer, f.trace.Bore, nil)
	starts, err := alone.starts()
	if err != nil {
		return false
	}
	// Which way the tilt goes the other two hardly tell, and the exit rim does: it
	// is held against the tilt that is nearer to its own.
	near, least := math.Inf(1), math.Inf(1)
	hold := func(from []float64) *rimFit {
		g := alone.clone()
		if g.settle(from) != nil {
			return nil
		}
		d := math.Hypot(g.fit.P[qSlopeX]-f.fit.P[qSlopeX], g.fit.P[qSlopeY]-f.fit.P[qSlopeY])
		if d < near {
			near, least = d, f.lossAt(g.fit.P, boreRim)
		}
		return g
	}
	for _, q := range starts {
		if g := hold(q); g != nil {
			hold(g.mirrored())
		}
	}
	return (f.lossAt(f.fit.P, boreRim)-least)/2/rivalTemper < maxExitMisfit
}

// maxExitScatterPx is more than an edge scatters about its circle, and less than chance
// does: points strewn evenly over the 2.5 px to either side that the tracer looks at have
// a middle departure of 1.25, which stands for an sd of 1.85; a hundred such points come
// out below 1.5 one time in twenty.
const maxExitScatterPx = 1.5

// starts returns first values from plain circles through the rims; where the exit
// rim isn't seen, more than one: the view straight on and tilted one way and the
// other by what the flattening of the rims suggests.
func (f *rimFit) starts() ([][]float64, error) {
	bore, errB := FitCircle(positions(f.points[boreRim]))
	outer, errO := FitCircle(positions(f.points[outerRim]))
	if errB != nil || errO != nil {
		return nil, &Refusal{Reason: NoChamfer, Cause: fmt.Errorf("bore edge: %v, outer edge: %v", errB, errO),
			Sentence: "The traced edges are not round: mark the hole by hand or take the photo again."}
	}
	f.oval = [exitRim]float64{f.ovalSD(outerRim, outer), f.ovalSD(boreRim, bore)}
	for k := range f.points {
		for i := range f.points[k] {
			p := &f.points[k][i]
			p.theta = math.Atan2(-(p.Y - bore.Y), p.X-bore.X)
			p.sin2, p.cos2 = math.Sincos(2 * p.theta)
		}
	}
	q := make([]float64, nRigid)
	q[qU0], q[qV0] = bore.X, bore.Y
	q[qScale] = bore.R / (f.job.BoreMM / 2)
	q[qLogDist] = math.Log(typicalDistanceMM)
	thick, _ := f.thicknessPrior()
	q[qLogThick] = math.Log(thick)
	q[qAngle] = f.job.HalfAngle
	d := f.inPart(outer.X-bore.X, outer.Y-bore.Y).Scale(1 / q[qScale])
	q[qDX], q[qDY] = d.X, d.Y
	q[qWidth] = math.Max((outer.R-bore.R)/q[qScale], 1/q[qScale])
	k := 1 / (q[qScale] * typicalDistanceMM)
	slope := f.inPart(-(bore.X-f.cx())*k, -(bore.Y-f.cy())*k)
	if len(f.points[exitRim]) > 0 {
		if exit, err := FitCircle(positions(f.points[exitRim])); err == nil && exit.R < bore.R {
			shrink := bore.R/exit.R - 1
			q[qLogDist] = math.Log(math.Min(math.Max(thick/shrink, 30), 2000))
			slope = f.inPart(exit.X-bore.X, exit.Y-bore.Y).Scale((1 + shrink) / (q[qScale] * thick))
		}
		q[qSlopeX], q[qSlopeY] = slope.X, slope.Y
		return [][]float64{q}, nil
	}
	tilt := f.flattening(bore)
	var out [][]float64
	for _, side := range [...]float64{1, -1} {
		p := append([]float64(nil), q...)
		s := slope.Add(tilt.Scale(side))
		p[qSlopeX], p[qSlopeY] = s.X, s.Y
		// The bore edge lies lower: seen at a slant its picture shifts by itself.
		h := p[qWidth] / math.Tan(f.job.HalfAngle)
		p[qDX], p[qDY] = d.X+h*s.X, d.Y+h*s.Y
		out = append(out, p)
	}
	return out, nil
}

// mirrored returns the start of the fit that lies on the other side of the tilt
// from where the fit stands: the rims flatten by either alike.
func (f *rimFit) mirrored() []float64 {
	q := append([]float64(nil), f.fit.P...)
	h := q[qWidth] / math.Tan(q[qAngle])
	q[qDX], q[qDY] = q[qDX]-2*h*q[qSlopeX], q[qDY]-2*h*q[qSlopeY]
	q[qSlopeX], q[qSlopeY] = -q[qSlopeX], -q[qSlopeY]
	return q
}

// flattening returns a tilt, in part axes and without its sign, that would make
// the bore edge as oval as it is.
func (f *rimFit) flattening(bore Circle) Vec {
	var c, s, n float64
	for _, p := range f.points[boreRim] {
		w := 1 / (sq(p.SigmaPx) + 0.01)
		r := math.Hypot(p.X-bore.X, p.Y-bore.Y) - bore.R
		sin, cos := math.Sincos(2 * p.theta)
		c, s, n = c+2*w*r*cos, s+2*w*r*sin, n+w
	}
	c, s = c/n, s/n
	amp := math.Hypot(c, s)
	ratio := math.Min((bore.R-amp)/(bore.R+amp), 1)
	// The short axis points where the radius is least, which is where the plane
	// leans away.
	t := math.Min(math.Tan(math.Acos(ratio)), maxStartSlope)
	return Polar(math.Max(t, minStartSlope), math.Atan2(s, c)/2+math.Pi/2-f.job.PlusX)
}

// A start is never quite straight on, where both tilts are one.
const minStartSlope, maxStartSlope = 0.02, 0.25
