package model

import (
	"fmt"
	"math"
)

// Solve turns traced rims into a reading by the full perspective model. job's
// optional fields get their defaults. Photo, Seconds, Version and MadeAt are the
// caller's to fill in.
//
// The error is a *FieldError for a bad job card or a *Refusal when the rims carry
// no mismatch.
func Solve(t Trace, job JobCard) (*Reading, error) {
	job = job.WithDefaults()
	if err := job.Validate(); err != nil {
		return nil, err
	}
	f, err := fitRims(&t, job)
	if err != nil {
		return nil, err
	}
	q := f.fit.P
	r := &Reading{Job: job, Trace: t, Camera: f.camera(q), WidthMM: q[qWidth]}
	var doubt Sym2
	r.Mismatch, doubt = f.rivalMean()
	r.Budget = f.budget(r.Mismatch, doubt)
	r.Cov = TotalCov(r.Budget)
	r.U95MM = U95DOF(r.Cov, EffectiveDOF(r.Budget))
	r.WidthUMM = f.widthU()
	r.View = f.view()
	r.Outer, r.Bore = f.shape(outerRim), f.shape(boreRim)
	if len(f.points[exitRim]) > 0 {
		s := f.shape(exitRim)
		r.Exit = &s
	}
	solid := r.Solid()
	r.VanishedRad = solid.VanishedArc().WidthRad
	r.Damage = f.damage()
	r.Curve = f.curve(solid)
	if err := f.carries(r); err != nil {
		return nil, err
	}
	r.Verdict, r.PWithin = JudgePhoto(r.Mismatch, r.Cov, job.ToleranceMM, job.Zone)
	r.Correction = Correct(r.Mismatch, job.Flip)
	r.Warnings = append(append([]string(nil), t.Warnings...), f.warnings(r)...)
	return r, nil
}

// maxU95MM is the largest uncertainty that still makes a reading: no tolerance a
// chamfer is looked at for is as wide.
const maxU95MM = 0.15

// carries refuses a fit whose evidence is too thin for a number.
func (f *rimFit) carries(r *Reading) error {
	for k := outerRim; k <= boreRim; k++ {
		used := f.used(k)
		if used < minPoints || used < 0.35*float64(len(f.points[k])) {
			return &Refusal{Reason: Unsure, Cause: fmt.Errorf("model: %s: weight %.0f of %d points", k, used, len(f.points[k])),
				Sentence: fmt.Sprintf("The %s does not follow a circle, so there is no sure reading: clean the edge, light it from all sides and take the photo again, or mark the hole by hand.", k)}
		}
	}
	if seen, whole := f.used(outerRim), float64(len(f.points[boreRim]))*(1-r.VanishedRad/(2*math.Pi)); seen < leastOuter*whole {
		return &Refusal{Reason: Unsure, Cause: fmt.Errorf("model: outer edge: weight %.0f where the bore edge has %.0f points", seen, whole),
			Sentence: "The outer edge shows on less than half of the hole, so there is no sure reading: light it from all sides, focus on the chamfer and take the photo again, or mark the hole by hand."}
	}
	if r.Bore.ArcRad < leastBore*2*math.Pi {
		return &Refusal{Reason: Unsure, Cause: fmt.Errorf("model: bore edge: on %.0f degrees", r.Bore.ArcRad*180/math.Pi),
			Sentence: "The bore edge shows on less than half of the hole, so there is no sure reading: turn the light until chamfer and bore wall differ all round, focus on the chamfer and take the photo again, or mark the hole by hand."}
	}
	if !(r.U95MM > 0) || r.U95MM > maxU95MM || !r.Mismatch.IsFinite() {
		return &Refusal{Reason: Unsure, Cause: fmt.Errorf("model: 95 %% uncertainty %.3f mm", r.U95MM),
			Sentence: "The edges are too unclear for a reading: check that the job card has this bore's diameter, move closer, focus on the chamfer, light it from all sides and put white paper under the part."}
	}
	if r.WidthMM <= 0 {
		return Refuse(NoChamfer, "No chamfer is to be seen round the bore: check that this is the face that lay up in setup 2.")
	}
	if n := r.Job.ChamferMM; n > 0 && r.Trace.HelpedBy == "" && (r.WidthMM > mostWidthRatio*n || r.WidthMM < n/mostWidthRatio) {
		return &Refusal{Reason: Unsure, Cause: fmt.Errorf("model: chamfer %.4f mm wide, nominal %.4f mm", r.WidthMM, n),
			Sentence: fmt.Sprintf("The edges found make a chamfer %s ± %s wide, and it was to be %s: either they are other edges, or the job card is wrong. Correct the width, leave it out, or mark the hole by hand.",
				FormatLength(r.WidthMM, r.Job.ShowInch), FormatLength(Factor95*r.WidthUMM, r.Job.ShowInch), FormatLength(n, r.Job.ShowInch))}
	}
	return nil
}

// mostWidthRatio is how far a chamfer may be off its nominal width and pass for it: a
// tool set to twice the depth is a mistake made at the bench, more is other edges.
// Common practice, no source. Of 593 drawn photos none read is off by as much; photos whose
// bore edge was a wrong one were, by 2.3 to 2.9.
const mostWidthRatio = 2.2

// leastOuter is the share of the hole on which the outer edge must show: with less,
// what was traced may as well be marks of the mill.
const leastOuter = 0.5

// leastBore is the share of the hole on which the bore edge must show: a circle drawn through
// nothing on the other half is no edge. Of 593 drawn photos each shows it on 0.55 and more; of
// 137 drawn chamfers of 3 to 7 px three show less, and one of these was 4.6 px off and stated 1.7.
const leastBore = 0.5

// used is the sum of the robust weights of rim k's points.
func (f *rimFit) used(k rimKind) float64 {
	sum := 0.0
	for _, p := range f.points[k] {
		sum += p.weight
	}
	return sum
}

// view returns the view direction and how it is known.
func (f *rimFit) view() View {
	q := f.fit.P
	v := View{SlopeX: q[qSlopeX], SlopeY: q[qSlopeY],
		SlopeUX: math.Sqrt(f.cov.At(qSlopeX, qSlopeX)), SlopeUY: math.Sqrt(f.cov.At(qSlopeY, qSlopeY)), How: Assumed}
	switch {
	case len(f.points[exitRim]) > 0:
		v.How = FromExitRim
	case math.Max(v.SlopeUX, v.SlopeUY) < 0.6*tiltSD:
		// The rims' flattening says more than the habit of holding a camera square.
		v.How = FromFlattening
	}
	return v
}

// shape returns the ellipse of rim k in the photo, with the scatter and the reach
// of its used points.
func (f *rimFit) shape(k rimKind) RimShape {
	q := f.fit.P
	c, s := f.camera(q), f.solid(q)
	p := c.Projector()
	pts := make([]Vec, 72)
	for i := range pts {
		a := 2 * math.Pi * float64(i) / float64(len(pts))
		var w Vec
		z := 0.0
		switch k {
		case outerRim:
			w = s.Mismatch.Add(Polar(s.RadiusMM+s.WidthMM, a))
		case boreRim:
			d, _ := s.ChamferDepth(a)
			w, z = Polar(s.RadiusMM, a), -d
		case exitRim:
			w, z = Polar(s.RadiusMM, a), -s.ThicknessMM
		}
		u, v := p.ToPhoto(w.X, w.Y, z)
		pts[i] = Vec{u, v}
	}
	var out RimShape
	if e, err := FitEllipseDirect(pts); err == nil {
		// y is down in the photo, angles are counter-clockwise on the screen.
		out = RimShape{CX: e.X, CY: e.Y, A: e.A, B: e.B, AngleRad: halfTurn(-e.Angle)}
	}
	out.RMSPx = f.scatter(k)
	var seen [72]bool
	for _, pt := range f.points[k] {
		if pt.weight > 0 {
			seen[int((pt.theta/(2*math.Pi)+1)*72)%72] = true
		}
	}
	for _, s := range seen {
		if s {
			out.ArcRad += 2 * math.Pi / 72
		}
	}
	return out
}

// scatter is the rms of rim k's used points about the fitted rim, px; 0 where it has none.
func (f *rimFit) scatter(k rimKind) float64 {
	sum, n := 0.0, 0.0
	for i, d := range f.departures(k) {
		w := f.points[k][i].weight
		sum, n = sum+w*sq(d), n+w
	}
	if n == 0 {
		return 0
	}
	return math.Sqrt(sum / n)
}

// curve returns the chamfer's width at each traced point of the outer edge.
func (f *rimFit) curve(s Solid) []CurvePoint {
	c := f.camera(f.fit.P)
	p := c.Projector()
	out := make([]CurvePoint, 0, len(f.points[outerRim]))
	for _, pt := range f.points[outerRim] {
		q := p.ToPlane(pt.X, pt.Y, 0)
		a := q.Angle()
		out = append(out, CurvePoint{AngleRad: a, WidthMM: q.Norm() - s.RadiusMM, SigmaMM: pt.sd() / c.PxPerMM,
			FitMM: s.WidthAt(a), Used: pt.weight > 0})
	}
	return out
}

// warnings says in words what makes the reading less sure than it could be.
func (f *rimFit) warnings(r *Reading) []string {
	var w []string
	if r.Exit == nil {
		how := "is assumed to be square to the face"
		if r.View.How == FromFlattening {
			how = "was taken from the flattening of the rims"
		}
		w = append(w, "The exit rim was not seen, so the view direction "+how+": white paper or a light under the part, or a second photo with the part turned half round, makes the reading surer.")
	}
	if len(f.rivals) > 0 {
		w = append(w, "The picture fits a camera tilted to one side or to the other: the reading lies between the two and its uncertainty covers both. White paper under the part, or turning it, decides.")
	}
	if r.Job.ThicknessMM == 0 && r.Exit != nil {
		w = append(w, "The thickness is not on the job card, so the exit rim gives the view direction only roughly: add it for a surer reading.")
	}
	if n := r.Job.ChamferMM; n > 0 && math.Abs(r.WidthMM-n) > math.Max(0.25*n, 4*r.WidthUMM) {
		w = append(w, fmt.Sprintf("The chamfer is %s wide and was to be %s: check the chamfer tool's set diameter and length.", FormatLength(r.WidthMM, r.Job.ShowInch), FormatLength(n, r.Job.ShowInch)))
	}
	if r.VanishedRad > 0 {
		w = append(w, fmt.Sprintf("Over %.0f degrees the chamfer never touched the bore: the mismatch is larger than the chamfer is wide.", r.VanishedRad*180/math.Pi))
	}
	if a := r.Outer.ArcRad; a < 1.5*math.Pi && r.VanishedRad == 0 {
		w = append(w, fmt.Sprintf("Only %.0f degrees of the outer edge could be traced: light from all sides shows more.", a*180/math.Pi))
	}
	return w
}
