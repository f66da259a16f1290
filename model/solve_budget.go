package model

import (
	"fmt"
	"math"
)

const (
	// A bored or reamed hole measured with a plug or a bore gauge is known to some
	// 0.01 mm either way (common practice, no source): rectangular.
	boreHalfWidthMM = 0.01
	// +X drawn by hand on the photo is good to about a degree (design).
	plusXSD = 1 * math.Pi / 180
	// A rounded, blurred edge is where it is taken to be to a quarter of its blur,
	// all round alike: it matters for the width, not for the mismatch.
	radialShare = 0.25
)

// budget lists what the mismatch d's uncertainty is made of. doubt is what rival
// solutions add.
func (f *rimFit) budget(d Vec, doubt Sym2) []BudgetLine {
	q := f.fit.P
	scale := q[qScale]
	onRim := func(r row) bool { return r.index >= 0 }
	prior := func(name string) func(row) bool {
		return func(r row) bool { return r.index < 0 && r.prior == name }
	}
	n := 0.0
	light := f.piecesCov()
	for k := range nRims {
		if len(f.points[k]) == 0 {
			continue
		}
		for _, p := range f.points[k] {
			n += p.weight
		}
		light = light.Add(f.doubtCov(k))
	}
	group := f.groupCov
	// The pieces may agree by chance; the points scatter all the same.
	points := group(onRim)
	view := group(prior("tilt")).Add(doubt)
	lines := []BudgetLine{
		{Source: SourcePoints, Value: fmt.Sprintf("%.0f points", n), Distribution: "normal", U: f.pointSD(), Unit: "px",
			Cov: points, DOF: math.Max(n-float64(len(q)), 1), Follows: FollowsPhoto,
			Why: "Scatter of the traced points about the fitted rims."},
		{Source: SourceLight, Value: "what an eighth of a rim changes", Distribution: "normal", U: math.Sqrt((light.XX+light.YY)/2) * scale, Unit: "px",
			Cov: light, Follows: FollowsCamera,
			Why: "A rounded edge lit from one side, or through the lens of a camera that leans, seems to move, and a wall that darkens gradually draws the bore edge in: how far is told by what leaving out an eighth of each rim in turn changes, with an allowance for so few pieces, by the side the light comes from, by the bore edge's softness, by the lean and by where the edges would be if the chamfer were lighter at one of them than at the other."},
		{Source: SourceView, Value: fmt.Sprintf("slope %.4f, %.4f", q[qSlopeX], q[qSlopeY]), Distribution: "normal",
			U: math.Sqrt(math.Max(f.cov.At(qSlopeX, qSlopeX), f.cov.At(qSlopeY, qSlopeY))), Unit: "rad", Cov: view, Follows: FollowsCamera,
			Why: "What the rims leave open of the view direction, where only habit says how a camera is held."},
		{Source: SourceDistance, Value: fmt.Sprintf("%.0f mm", math.Exp(q[qLogDist])), Distribution: "normal",
			U: math.Exp(q[qLogDist]) * math.Sqrt(f.cov.At(qLogDist, qLogDist)), Unit: "mm", Cov: group(prior("distance")), Follows: FollowsCamera,
			Why: "What the rims leave open of the working distance."},
		f.boreLine(d),
	}
	t, tSD := f.thicknessPrior()
	lines = append(lines,
		BudgetLine{Source: SourceThickness, Value: fmt.Sprintf("%.2f mm", t), Distribution: "normal", U: t * tSD, Unit: "mm", Cov: group(prior("thickness")), Follows: FollowsPart,
			Why: "The exit rim's shift is divided by the thickness to get the view direction."},
		BudgetLine{Source: SourceHalfAngle, Value: fmt.Sprintf("%.1f deg", f.job.HalfAngle*180/math.Pi), Distribution: "normal", U: halfAngleSD * 180 / math.Pi, Unit: "deg", Cov: group(prior("half-angle")), Follows: FollowsPart,
			Why: "The half-angle gives how far the bore edge lies below the face."},
		BudgetLine{Source: SourcePlusX, Value: fmt.Sprintf("%.1f deg", f.job.PlusX*180/math.Pi), Distribution: "normal", U: plusXSD * 180 / math.Pi, Unit: "deg",
			Cov: Vec{-d.Y, d.X}.Outer().Scale(plusXSD * plusXSD), Follows: FollowsPhoto,
			Why: "The arrow for +X is drawn by hand."})
	if f.job.ChamferMM > 0 {
		lines = append(lines, f.widthLine())
	}
	return lines
}

func (f *rimFit) boreLine(d Vec) BudgetLine {
	u := boreHalfWidthMM / math.Sqrt(3)
	return BudgetLine{Source: SourceBore, Value: fmt.Sprintf("%.3f mm", f.job.BoreMM), Distribution: "rectangular", U: u, Unit: "mm",
		Cov: d.Outer().Scale(sq(u / f.job.BoreMM)), Follows: FollowsPart,
		Why: "The bore diameter sets the scale of the photo."}
}

// pointSD is the middle sd of the traced points, px, with their excess scatter.
func (f *rimFit) pointSD() float64 {
	var all []float64
	for k := outerRim; k <= boreRim; k++ {
		for _, p := range f.points[k] {
			all = append(all, p.sd())
		}
	}
	return median(all)
}

// doubtCov takes the tracer's doubt about rim k's place through the fit.
func (f *rimFit) doubtCov(k rimKind) Sym2 {
	d := f.trace.Doubt[k]
	if d == (Sym2{}) {
		return Sym2{}
	}
	// A shift of the whole rim by (a, b) in the photo, y down, moves its points
	// along their normals by a cos - b sin of their direction (y up).
	cos, sin := f.firstWave(k)
	gx, gy, hx, hy := cos.X, cos.Y, -sin.X, -sin.Y
	return Sym2{
		XX: gx*gx*d.XX + 2*gx*hx*d.XY + hx*hx*d.YY,
		XY: gx*gy*d.XX + (gx*hy+hx*gy)*d.XY + hx*hy*d.YY,
		YY: gy*gy*d.XX + 2*gy*hy*d.XY + hy*hy*d.YY,
	}
}

// widthU is the standard uncertainty of the chamfer's width: the fit's own, what
// both edges' blur leaves open all round, and the bore diameter.
func (f *rimFit) widthU() float64 {
	q := f.fit.P
	blur := math.Max(f.trace.BlurPx, 0.5) * radialShare / q[qScale]
	return math.Sqrt(f.cov.At(qWidth, qWidth) + 2*blur*blur + sq(q[qWidth]/f.job.BoreMM*boreHalfWidthMM/math.Sqrt(3)))
}
