package model

import (
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
	qWidth                // true chamfer width, mm
	qLogThick             // ln(thickness/mm); only matters where the exit rim is seen
	qAngle                // half-angle, rad
	nRigid                // how many there are where the edges don't wave
	qOvalOuter = iota - 1 // wave of the outer edge twice round, px: along the cosine, then the sine
	_
	qOvalBore // the same of the bore edge
	_
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
	rivals []rival       // other readings of the view that fit nearly as well
	// wavy lets outer and bore edge wave twice round: where the view is to be had from
	// their flattening alone. The exit rim tells the view better than any wave could
	// spoil it.
	wavy bool
	oval [exitRim]float64 // sd of such a wave of the outer and the bore edge, px
	seen sights           // under the camera that was asked for last
}

type fitPoint struct {
	EdgePoint
	theta      float64 // direction from the bore's centre in the photo, y up
	cos2, sin2 float64 // of twice that
	weight     float64 // robust weight, 0..1
	excess     float64 // sd of form and texture on top of SigmaPx, px
	scale      float64 // sqrt(weight)/sd
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

// departure returns how far the pixel of line of sight l lies outside rim k, in px
// along the rim's normal, to first order of that distance.
func departure(k rimKind, l sight, s *solidAtWork, pxPerMM float64) float64 {
	switch k {
	case outerRim:
		return (length(l.base.Sub(s.Mismatch)) - s.RadiusMM - s.WidthMM) * pxPerMM
	case exitRim:
		// Seen smaller by perspective; the scale there is that of its own depth.
		return (length(l.at(-s.ThicknessMM)) - s.RadiusMM) * pxPerMM * s.exitScale
	}
	// The bore edge's depth changes slowly round the rim: one look at where the
	// pixel lies tells it well enough for the second.
	z := -s.meanDepth
	for range 2 {
		q := l.at(z)
		m := length(q.Scale(s.RadiusMM / length(q)).Sub(s.Mismatch))
		z = -max(s.RadiusMM+s.WidthMM-m, 0) * s.perTan
	}
	return (length(l.at(z)) - s.RadiusMM) * pxPerMM
}

// length is Vec.Norm without its care for huge numbers, which takes longer than all
// the rest of a departure.
func length(v Vec) float64 { return math.Sqrt(v.X*v.X + v.Y*v.Y) }

// sights are the points' lines of sight under one camera.
type sights struct {
	camera Camera
	known  bool
	of     [nRims][]sight
}

// sightsUnder returns the points' lines of sight. Half of the steps of a derivative
// leave the camera alone, so the last ones are kept.
func (f *rimFit) sightsUnder(c Camera, p *Projector) *[nRims][]sight {
	s := &f.seen
	if s.known && s.camera == c {
		return &s.of
	}
	s.camera, s.known = c, true
	for k, pts := range f.points {
		s.of[k] = s.of[k][:0]
		for i := range pts {
			s.of[k] = append(s.of[k], p.sight(pts[i].X, pts[i].Y))
		}
	}
	return &s.of
}

// solidAtWork is a Solid with what departure needs for every point.
type solidAtWork struct {
	Solid
	perTan, meanDepth, exitScale float64
}

func (s Solid) atWork(p *Projector) *solidAtWork {
	t := 1 / math.Tan(s.HalfAngle)
	return &solidAtWork{s, t, math.Max(s.WidthMM, 0) * t, p.depthRatio(-s.ThicknessMM)}
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
	work := s.atWork(&p)
	seen := f.sightsUnder(c, &p)
	i := 0
	for k := range nRims {
		for j, l := range seen[k] {
			p := &f.points[k][j]
			out[i] = (departure(k, l, work, c.PxPerMM) - p.oval(q, k)) * p.scale
			i++
		}
	}
	f.priors(q, out[i:])
}

// priors are the residuals of what is known beforehand, in the order of priorNames.
func (f *rimFit) priors(q, out []float64) {
	tilt := f.tilt(q)
	thick, thickSD := f.thicknessPrior()
	out[0] = (q[qLogDist] - math.Log(typicalDistanceMM)) / logDistanceSD
	out[1], out[2] = tilt.X/tiltSD, tilt.Y/tiltSD
	out[3] = (q[qLogThick] - math.Log(thick)) / thickSD
	out[4] = (q[qAngle] - f.job.HalfAngle) / halfAngleSD
	clear(out[5:])
	for i, v := range q[nRigid:] {
		out[5+i] = v / f.oval[i/2]
	}
}

var priorNames = [...]string{"distance", "tilt", "tilt", "thickness", "half-angle", "oval", "oval", "oval", "oval"}

// oval is by how much rim k seems to lie further out here than it does, px.
func (p *fitPoint) oval(q []float64, k rimKind) float64 {
	if k == exitRim || len(q) == nRigid {
		return 0
	}
	w := q[qOvalOuter+2*k:]
	return w[0]*p.cos2 + w[1]*p.sin2
}

func (f *rimFit) thicknessPrior() (mm, logSD float64) {
	if f.job.ThicknessMM > 0 {
		return f.job.ThicknessMM, logThicknessSD
	}
	return f.job.BoreMM, unknownLogThicknessSD
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
