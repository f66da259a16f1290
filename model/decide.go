package model

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sort"
)

// NextStep is something that would make a reading surer, with what to expect.
type NextStep struct {
	What  string // one sentence on what to do
	Cov   Sym2   // expected covariance of the new reading, mm²
	U95MM float64
	// Verdict is what it would be if the mismatch came out the same.
	Verdict Verdict
	// Chance is the probability that the new reading gets a verdict at all, from
	// what is known of the mismatch now.
	Chance float64
}

// WhatWouldDecide lists what would decide r's verdict, the surest first; it is
// empty where there is a verdict already. Whatever would not lessen the
// uncertainty by a tenth is left out.
func WhatWouldDecide(r *Reading) []NextStep {
	if r.Verdict != Undecided || !(r.Job.BoreMM > 0) {
		return nil
	}
	job := r.Job.WithDefaults()
	var out []NextStep
	judge := Judge // of several photos
	add := func(what string, cov Sym2) {
		if U95(cov) < 0.9*U95(r.Cov) {
			out = append(out, nextStep(what, r, cov, job, judge))
		}
	}
	scaled := func(factor func(l BudgetLine) float64) Sym2 {
		var sum Sym2
		for _, l := range r.Budget {
			sum = sum.Add(l.Cov.Scale(factor(l)))
		}
		return sum
	}
	if len(r.Budget) == 0 {
		return nil
	}
	for _, k := range []int{2, 4} {
		what := "Turn the part by half a turn under the same camera and light and take a second photo."
		if k == 4 {
			what = "Take four photos with the part turned by a quarter turn each under the same camera and light."
		}
		add(what, scaled(func(l BudgetLine) float64 {
			return l.Share(FollowsPart) + l.Share(FollowsPhoto)/float64(k)
		}))
	}
	judge = JudgePhoto
	// White paper shows the exit rim, which gives the view to about 0.01 degree.
	if r.Exit == nil && job.ThicknessMM > 0 {
		depth := job.ChamferMM
		if r.WidthMM > 0 {
			depth = r.WidthMM
		}
		depth /= math.Tan(job.HalfAngle)
		view := sq(depth * exitRimViewU)
		var sum Sym2
		for _, l := range r.Budget {
			if l.Source != SourceView && l.Source != SourceDistance {
				sum = sum.Add(l.Cov)
			}
		}
		add("Put white paper under the hole, so that its far rim can be seen, and take the photo again.", sum.Add(Sym2{view, 0, view}))
	}
	// Twice the scale: what is so many pixels is half as many mm.
	add("Take the photo from closer, with the hole twice as large in the picture.", scaled(func(l BudgetLine) float64 {
		if l.Unit == "px" || l.Source == SourcePoints || l.Source == SourceLight {
			return 0.25
		}
		return 1
	}))
	for source, what := range map[string]string{
		SourceBore:      "Measure the bore's diameter to 0.001 mm and type it in.",
		SourceThickness: "Measure the part's thickness with a micrometer and type it in.",
		SourcePlusX:     "Photograph the part square to the picture's edge, or draw the +X arrow along a milled edge.",
	} {
		add(what, scaled(func(l BudgetLine) float64 {
			if l.Source == source {
				return 0.01
			}
			return 1
		}))
	}
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].Chance != out[j].Chance {
			return out[i].Chance > out[j].Chance
		}
		return out[i].What < out[j].What
	})
	return out
}

// WhatWouldDecideHole is WhatWouldDecide for a hole, which may be a turn set.
func WhatWouldDecideHole(h HoleReading) []NextStep {
	if h.Verdict != Undecided || len(h.Readings) == 0 {
		return nil
	}
	r := *h.Readings[0]
	if h.Set == nil || h.Set.Pictures() == 1 {
		return WhatWouldDecide(&r)
	}
	r.Mismatch, r.Cov, r.Verdict = h.Mismatch, h.Cov, h.Verdict
	n := h.Set.Pictures()
	var part Sym2
	for i, v := range h.Readings {
		if !h.Set.Turns[i].LeftOut {
			part = part.Add(v.CovOf(FollowsPart).Scale(1 / float64(n)))
		}
	}
	// What is new in each photo is halved by as many photos again.
	cov := part.Add(h.Cov.Add(part.Scale(-1)).Scale(0.5))
	if U95(cov) >= 0.9*U95(h.Cov) {
		return nil
	}
	return []NextStep{nextStep(fmt.Sprintf("Take %d more photos of the hole at other turns.", n), &r, cov, h.Job, Judge)}
}

// exitRimViewU is the standard uncertainty of the view direction from the exit
// rim, rad: about 0.01 degree (geometry of the bore, by simulation).
const exitRimViewU = 0.01 * math.Pi / 180

func nextStep(what string, r *Reading, cov Sym2, job JobCard, judge func(Vec, Sym2, float64, Zone) (Verdict, float64)) NextStep {
	s := NextStep{What: what, Cov: cov, U95MM: U95(cov)}
	s.Verdict, _ = judge(r.Mismatch, cov, job.ToleranceMM, job.Zone)
	// The truth lies within Cov of this reading, the new reading within cov of the
	// truth.
	rng := rand.New(rand.NewPCG(1, 106))
	const trials = 400
	decided := 0
	for range trials {
		d := r.Mismatch.Add(drawNormal(rng, r.Cov)).Add(drawNormal(rng, cov))
		if v, _ := judge(d, cov, job.ToleranceMM, job.Zone); v != Undecided {
			decided++
		}
	}
	s.Chance = float64(decided) / trials
	return s
}

// drawNormal draws from the normal with covariance cov and mean 0.
func drawNormal(rng *rand.Rand, cov Sym2) Vec {
	major, minor, angle := cov.Eigen()
	return Vec{sqrt0(major) * rng.NormFloat64(), sqrt0(minor) * rng.NormFloat64()}.Rotate(angle)
}

// Words says the step with what to expect of it.
func (s NextStep) Words() string {
	return fmt.Sprintf("%s Expected uncertainty %s; %s chance of a verdict.", s.What, small(s.U95MM), Percent(s.Chance))
}
