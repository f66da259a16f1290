package model

import (
	"fmt"
	"math"
)

// deepestShare bounds how deep in the wall the bore edge may have been taken, as a
// share of the part's thickness: the view straight down a far-off camera shows no
// depth at all.
const deepestShare = 0.25

// depthLine is what the mismatch has in doubt because light that falls off down the
// bore's wall may have drawn the bore edge in: an edge that is softer than the lens
// makes it lies somewhere in its softness. What was traced is then a circle deeper in
// the wall. Seen straight on it is only smaller, which the fit takes for a narrower
// bore edge; seen at a slant it is shifted, which passes for a mismatch.
func (f *rimFit) depthLine() BudgetLine {
	camera, solid := f.camera(f.fit.P), f.solid(f.fit.P)
	p := camera.Projector()
	work := solid.atWork(&p)
	var move Vec // of the mismatch, mm, for each mm that the bore edge was taken too deep
	var inward, n float64
	for r, row := range f.rows {
		if row.index < 0 || row.rim != boreRim {
			continue
		}
		pt := &f.points[boreRim][row.index]
		l := p.sight(pt.X, pt.Y)
		at := l.at(-work.meanDepth)
		px := at.Dot(l.lean) / length(at) * camera.PxPerMM // by which the point moves inwards
		move = move.Add(Vec{f.gain.At(qDX, r), f.gain.At(qDY, r)}.Scale(px * pt.scale))
		inward, n = inward+pt.weight*px, n+pt.weight
	}
	line := BudgetLine{Source: SourceDepth, Value: fmt.Sprintf("%.2f px softer than the outer edge", f.trace.BoreSoftPx), Distribution: "normal", Unit: "mm", Follows: FollowsCamera,
		Why: "Light that falls off down the bore's wall makes the bore edge softer than the lens does, and draws it into the wall; seen at a slant, that is a shift."}
	if f.trace.BoreSoftPx > 0 && n > 0 {
		line.U = math.Min(f.trace.BoreSoftPx*n/math.Abs(inward), deepestShare*solid.ThicknessMM)
	}
	line.Cov = move.Outer().Scale(sq(line.U))
	return line
}
