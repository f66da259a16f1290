package model

import (
	"math"
	"math/rand/v2"
	"testing"
)

// traceTooDeep draws exact rims, the bore edge taken deepMM too deep in the wall.
func (v view) traceTooDeep(deepMM float64, rng *rand.Rand) Trace {
	t := v.trace(0.02, true, rng)
	p := v.cam.Projector()
	for i := range t.Bore {
		a := 2 * math.Pi * float64(i) / float64(len(t.Bore))
		d, _ := v.solid.ChamferDepth(a)
		q := Polar(v.solid.RadiusMM, a)
		t.Bore[i].X, t.Bore[i].Y = p.ToPhoto(q.X, q.Y, -d-deepMM)
	}
	return t
}

func depthOf(r *Reading) BudgetLine {
	for _, l := range r.Budget {
		if l.Source == SourceDepth {
			return l
		}
	}
	return BudgetLine{}
}

// A bore edge that was taken too deep is shifted by slope times depth (geometry.md:
// a point h below the face appears shifted by h times the slope), and a softness of
// the size that the depth shows in the photo has that shift as its uncertainty.
func TestABoreEdgeTakenTooDeepIsAShiftAlongTheSlope(t *testing.T) {
	const deep, slope = 0.4, 0.05
	rng := rand.New(rand.NewPCG(7, 26))
	v := leaning(slope, rng)
	tr := v.traceTooDeep(deep, rng)
	px := deep * v.cam.InvDistPerMM * v.solid.RadiusMM * v.cam.PxPerMM // by which the edge looks smaller
	tr.BoreSoftPx = px
	r, err := Solve(tr, v.job())
	if err != nil {
		t.Fatal(err)
	}
	off := r.Mismatch.Sub(v.solid.Mismatch)
	if want := deep * slope; math.Abs(off.Norm()-want) > 0.1*want {
		t.Errorf("mismatch off by %.4f mm, want %.4f", off.Norm(), want)
	}
	line := depthOf(r)
	if math.Abs(line.U-deep) > 0.1*deep {
		t.Errorf("depth in doubt by %.3f mm, want %.3f", line.U, deep)
	}
	major, minor, angle := line.Cov.Eigen()
	if sd := math.Sqrt(major); math.Abs(sd-off.Norm()) > 0.1*off.Norm() || minor > 1e-3*major {
		t.Errorf("shift in doubt by %.4f mm along one line (%.1e across), want %.4f", sd, math.Sqrt(minor), off.Norm())
	}
	if across := math.Abs(off.Rotate(-angle).Y); across > 0.05*off.Norm() {
		t.Errorf("of a shift of %.4f mm %.4f lie across the line that is in doubt", off.Norm(), across)
	}
}

func TestDepthIsNoShiftSeenStraightOn(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 26))
	v := leaning(0, rng)
	tr := v.traceTooDeep(0.4, rng)
	tr.BoreSoftPx = 1
	r, err := Solve(tr, v.job())
	if err != nil {
		t.Fatal(err)
	}
	if off := r.Mismatch.Sub(v.solid.Mismatch).Norm(); off > 0.001 {
		t.Errorf("mismatch off by %.4f mm, want none", off)
	}
	line := depthOf(r)
	if u := U95(line.Cov); u > 0.001 || line.U < 0.3 {
		t.Errorf("depth in doubt by %.2f mm shifts by %.4f mm, want a depth and no shift", line.U, u)
	}
}

func TestNoDepthInDoubtWhereTheLensExplainsTheBoreEdge(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 26))
	v := leaning(0.05, rng)
	r, err := Solve(v.trace(0.05, true, rng), v.job())
	if err != nil {
		t.Fatal(err)
	}
	if line := depthOf(r); line.U != 0 || line.Cov != (Sym2{}) || line.Source == "" {
		t.Errorf("got %+v, want a line without uncertainty", line)
	}
}

// Of an undecided reading that depth makes so, looking straight down the bore is
// what would decide it; not of one that already does.
func TestStraightDownTheBoreWouldDecideWhereDepthIsInDoubt(t *testing.T) {
	advice := func(slope float64) bool {
		r := &Reading{Job: JobCard{BoreMM: 8, ChamferMM: 0.3, ToleranceMM: 0.0254}.WithDefaults(), Verdict: Undecided, Mismatch: Vec{X: 0.02},
			View: View{SlopeX: slope, How: FromExitRim}, Exit: &RimShape{},
			Budget: []BudgetLine{
				{Source: SourcePoints, Unit: "px", Cov: Sym2{1e-7, 0, 1e-7}, Follows: FollowsPhoto},
				{Source: SourceDepth, Unit: "mm", Cov: Sym2{2e-5, 0, 1e-9}, Follows: FollowsCamera}}}
		r.Cov = TotalCov(r.Budget)
		for _, s := range WhatWouldDecide(r) {
			if s.What == straightDown {
				return true
			}
		}
		return false
	}
	if !advice(0.08) {
		t.Error("a slant of 0.08: no advice to look straight down the bore")
	}
	if advice(0.01) {
		t.Error("straight on already, and still the advice to look straight down the bore")
	}
}
