package accuracy

import (
	"math"
	"math/rand/v2"

	"evenrim/model"
)

// A set's job cards are exactly right, so that its readings, whose uncertainty counts that
// a card is not, hold the truth a little too easily. What they hold on a bench is told by
// reading the same rims with a card that is off by as much as the budget says.

// JudgeCard solves r's rims again with a card that is off, and keeps whether the region
// stated then holds the truth. A refusal is not a wrong number and does not count.
func (c *Case) JudgeCard(r *model.Reading, truth model.Vec, rng *rand.Rand) {
	off, err := model.Solve(r.Trace, offCard(r, rng))
	if err != nil {
		return
	}
	c.CardJudged, c.CardCovered = true, covers(off, truth)
}

// offCard is r's job card with an error for each of its lines in the budget, drawn from the
// distribution and with the standard uncertainty that the line states.
func offCard(r *model.Reading, rng *rand.Rand) model.JobCard {
	job := r.Job
	for _, line := range r.Budget {
		e := line.U * rng.NormFloat64()
		if line.Distribution == "rectangular" {
			e = line.U * math.Sqrt(3) * (2*rng.Float64() - 1)
		}
		switch line.Source {
		case model.SourceBore:
			job.BoreMM += e
		case model.SourceThickness:
			if job.ThicknessMM > 0 { // else the card says nothing that could be off
				job.ThicknessMM += e
			}
		case model.SourceHalfAngle:
			job.HalfAngle += e * math.Pi / 180
		case model.SourcePlusX:
			job.PlusX += e * math.Pi / 180
		}
	}
	return job
}

// covers says whether the region that r states with 95 % holds the truth.
func covers(r *model.Reading, truth model.Vec) bool {
	k := model.CoverageFactor(model.EffectiveDOF(r.Budget))
	return r.Cov.Mahalanobis2(r.Mismatch.Sub(truth)) <= k*k
}
