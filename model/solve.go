package model

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// The unknowns of a reading's fit, in this order.
const (
	qU0 = iota // picture of the bore axis on the face, px
	qV0
	qScale   // px per mm
	qLogDist // ln(distance/mm)
	qSlopeX  // view direction at the hole
	qSlopeY
	qDX // mismatch, mm
	qDY
	qWidth    // true chamfer width, mm
	qLogThick // ln(thickness/mm); only matters where the exit rim is seen
	qAngle    // half-angle, rad
	nUnknown
)

// rimKind says which rim a point lies on.
type rimKind int

const (
	outerRim rimKind = iota
	boreRim
	exitRim
	nRims
)

func (k rimKind) String() string { return [...]string{"outer edge", "bore edge", "exit rim"}[k] }

// Priors: what is known of a bench photo before a rim is traced. They matter
// only where the rims themselves don't tell, and then they are lines of the
// budget.
const (
	// A phone or a bench camera stands 80 to 250 mm off in most macro photos
	// (common practice, no source): a factor of 1.7 either way as one sd.
	typicalDistanceMM, logDistanceSD = 140.0, 0.5
	// A camera held or clamped by eye looks square to within some 3 degrees
	// (common practice, no source).
	tiltSD = 3.0 * math.Pi / 180
	// Stock thickness is known by calliper; 0.5 % covers 0.05 mm on 10 mm.
	logThicknessSD = 0.005
	// Without a thickness the part is about as thick as the bore is wide, within
	// a factor of three.
	unknownLogThicknessSD = 1.1
	// A ground chamfer tool keeps its angle to about half a degree (common
	// practice, no source).
	halfAngleSD = 0.5 * math.Pi / 180
)

// rimFit is the fit of the full perspective model to traced rims.
type rimFit struct {
	job    JobCard
	trace  *Trace
	points [nRims][]fitPoint
	fit    lsFit
	cov    *mat.SymDense // of the unknowns, from rows taken as independent
	gain   *mat.Dense    // nUnknown x rows: d(unknowns)/d(whitened residual)
	rows   []row         // what each residual row is
}

type fitPoint struct {
	EdgePoint
	weight float64 // robust weight, 0..1
	excess float64 // sd of form and texture on top of SigmaPx, px
}

func (p fitPoint) sd() float64 { return math.Hypot(p.SigmaPx, p.excess) }

// row names the origin of one residual row: a rim's point or a prior.
type row struct {
	rim   rimKind
	index int    // of the point; -1 for a prior
	prior string // name of the prior
}

// camera and solid unpack the unknowns.
func (f *rimFit) camera(q []float64) Camera {
	return Camera{
		CX: float64(f.trace.WidthPx-1) / 2, CY: float64(f.trace.HeightPx-1) / 2,
		U0: q[qU0], V0: q[qV0], PxPerMM: q[qScale], InvDistPerMM: math.Exp(-q[qLogDist]),
		SlopeX: q[qSlopeX], SlopeY: q[qSlopeY], PlusX: f.job.PlusX,
	}
}

func (f *rimFit) solid(q []float64) Solid {
	return Solid{
		RadiusMM: f.job.BoreMM / 2, WidthMM: q[qWidth], ThicknessMM: math.Exp(q[qLogThick]),
		HalfAngle: q[qAngle], Mismatch: Vec{q[qDX], q[qDY]},
	}
}

// departure returns how far pixel (u, v) lies outside rim k, in px along the
// rim's normal, to first order of that distance.
func departure(k rimKind, p Projector, s Solid, pxPerMM, u, v float64) float64 {
	switch k {
	case outerRim:
		return (p.ToPlane(u, v, 0).Sub(s.Mismatch).Norm() - s.RadiusMM - s.WidthMM) * pxPerMM
	case exitRim:
		// Seen smaller by perspective; the scale there is that of its own depth.
		q := p.ToPlane(u, v, -s.ThicknessMM)
		return (q.Norm() - s.RadiusMM) * pxPerMM * p.depthRatio(-s.ThicknessMM)
	}
	z := 0.0
	var q Vec
	for range 3 { // the depth of the bore edge changes slowly round the rim
		q = p.ToPlane(u, v, z)
		depth, _ := s.ChamferDepth(q.Angle())
		z = -depth
	}
	return (q.Norm() - s.RadiusMM) * pxPerMM
}

// depthRatio is the picture's scale on the bore axis at height z over that on
// the face.
func (p Projector) depthRatio(z float64) float64 {
	return p.m[2][3] / (p.m[2][2]*z + p.m[2][3])
}

// tilt returns the camera's own tilt implied by the unknowns: the view slope at
// the hole less what the hole's place off the picture's centre accounts for.
func (f *rimFit) tilt(q []float64) Vec {
	c := f.camera(q)
	k := c.InvDistPerMM / c.PxPerMM
	// A hole to the right in the picture is seen from the left.
	off := Vec{-(c.U0 - c.CX) * k, (c.V0 - c.CY) * k}.Rotate(-f.job.PlusX)
	return Vec{q[qSlopeX], q[qSlopeY]}.Sub(off)
}

func (f *rimFit) residuals(q, out []float64) {
	c, s := f.camera(q), f.solid(q)
	p := c.Projector()
	i := 0
	for k := range nRims {
		for _, pt := range f.points[k] {
			out[i] = departure(k, p, s, c.PxPerMM, pt.X, pt.Y) / pt.sd() * math.Sqrt(pt.weight)
			i++
		}
	}
	tilt := f.tilt(q)
	thick, thickSD := f.thicknessPrior()
	for _, v := range [...]float64{
		(q[qLogDist] - math.Log(typicalDistanceMM)) / logDistanceSD,
		tilt.X / tiltSD, tilt.Y / tiltSD,
		(q[qLogThick] - math.Log(thick)) / thickSD,
		(q[qAngle] - f.job.HalfAngle) / halfAngleSD,
	} {
		out[i] = v
		i++
	}
}

var priorNames = [...]string{"distance", "tilt", "tilt", "thickness", "half-angle"}

func (f *rimFit) thicknessPrior() (mm, logSD float64) {
	if f.job.ThicknessMM > 0 {
		return f.job.ThicknessMM, logThicknessSD
	}
	return f.job.BoreMM, unknownLogThicknessSD
}

// fitRims fits the perspective model. The job card has its defaults filled in.
// It returns a *Refusal when the points don't determine a mismatch.
func fitRims(t *Trace, job JobCard) (*rimFit, error) {
	f := &rimFit{job: job, trace: t}
	for k, pts := range [nRims][]EdgePoint{t.Outer, t.Bore, t.Exit} {
		for _, p := range pts {
			if p.SigmaPx > 0 && finite(p.X) && finite(p.Y) && finite(p.SigmaPx) {
				f.points[k] = append(f.points[k], fitPoint{EdgePoint: p, weight: 1})
				f.rows = append(f.rows, row{rimKind(k), len(f.points[k]) - 1, ""})
			}
		}
	}
	if len(f.points[outerRim]) < 12 || len(f.points[boreRim]) < 12 {
		return nil, Refuse(NoChamfer, "Too little of the chamfer's edges can be seen to measure it: take the photo closer, in focus, with light from all sides.")
	}
	for _, n := range priorNames {
		f.rows = append(f.rows, row{index: -1, prior: n})
	}
	q, err := f.start()
	if err != nil {
		return nil, err
	}
	ls := leastSquares{m: len(f.rows), residuals: f.residuals, step: f.steps(q), maxIter: 40}
	for pass := range 12 {
		ls.step = f.steps(q)
		f.fit, err = ls.minimise(q)
		if err != nil {
			return nil, &Refusal{Reason: Unsure, Cause: fmt.Errorf("model: fit of the rims: %w", err),
				Sentence: "The traced edges do not form a hole with a chamfer: mark the hole by hand or take the photo again."}
		}
		copy(q, f.fit.P)
		if change := f.reweigh(); change < 0.01 && pass > 2 {
			break
		}
	}
	ls.step = f.steps(q)
	if f.fit, err = ls.minimise(q); err != nil {
		return nil, &Refusal{Reason: Unsure, Cause: err, Sentence: "The traced edges do not form a hole with a chamfer: mark the hole by hand or take the photo again."}
	}
	if f.cov, err = inverseNormal(f.fit.J); err != nil {
		return nil, &Refusal{Reason: Unsure, Cause: err, Sentence: "The traced edges leave the mismatch open: too little of the rims is visible. Show the whole hole in the photo."}
	}
	f.gain = mat.NewDense(nUnknown, len(f.rows), nil)
	f.gain.Mul(f.cov, f.fit.J.T())
	return f, nil
}

func (f *rimFit) steps(q []float64) []float64 {
	return []float64{0.01, 0.01, 1e-5 * q[qScale], 1e-3, 1e-5, 1e-5,
		0.01 / q[qScale], 0.01 / q[qScale], 0.01 / q[qScale], 1e-3, 1e-4}
}

// start returns first values from plain circles through the rims.
func (f *rimFit) start() ([]float64, error) {
	bore, errB := FitCircle(positions(f.points[boreRim]))
	outer, errO := FitCircle(positions(f.points[outerRim]))
	if errB != nil || errO != nil {
		return nil, &Refusal{Reason: NoChamfer, Cause: fmt.Errorf("bore edge: %v, outer edge: %v", errB, errO),
			Sentence: "The traced edges are not round: mark the hole by hand or take the photo again."}
	}
	q := make([]float64, nUnknown)
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
	if len(f.points[exitRim]) >= 12 {
		if exit, err := FitCircle(positions(f.points[exitRim])); err == nil && exit.R < bore.R {
			shrink := bore.R/exit.R - 1
			q[qLogDist] = math.Log(math.Min(math.Max(thick/shrink, 30), 2000))
			slope = f.inPart(exit.X-bore.X, exit.Y-bore.Y).Scale((1 + shrink) / (q[qScale] * thick))
		}
	}
	q[qSlopeX], q[qSlopeY] = slope.X, slope.Y
	return q, nil
}

func (f *rimFit) cx() float64 { return float64(f.trace.WidthPx-1) / 2 }
func (f *rimFit) cy() float64 { return float64(f.trace.HeightPx-1) / 2 }

// inPart turns a displacement in the photo (px, y down) into part axes.
func (f *rimFit) inPart(du, dv float64) Vec { return Vec{du, -dv}.Rotate(-f.job.PlusX) }

func positions(pts []fitPoint) []Vec {
	out := make([]Vec, len(pts))
	for i, p := range pts {
		out[i] = Vec{p.X, p.Y}
	}
	return out
}

// departures returns the px residuals of rim k at the fit.
func (f *rimFit) departures(k rimKind) []float64 {
	c, s := f.camera(f.fit.P), f.solid(f.fit.P)
	p := c.Projector()
	out := make([]float64, len(f.points[k]))
	for i, pt := range f.points[k] {
		out[i] = departure(k, p, s, c.PxPerMM, pt.X, pt.Y)
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
