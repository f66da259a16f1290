package batch

import (
	"fmt"
	"math"

	"evenrim/model"
)

// Advice is how much to correct after a batch.
type Advice struct {
	// Offset is the part of the mean mismatch to take out, mm: Weight times it.
	Offset     model.Vec
	Correction model.Correction
	// Weight is the share of the mean that is likely not chance, 0 to 1.
	Weight   float64
	Known    bool // false: the parts don't tell, and Offset is nothing
	Sentence string
}

// Advise proposes a correction from the mean of a batch, reduced by what of it
// may be chance: with few or scattered parts little, with many nearly all. It
// never follows a single part, which would add its scatter to the next one's.
//
// history is the parts' covariance from earlier batches, mm², readings included
// (nil = none); without it fewer than three parts give no advice.
//
// The weight is 1 - tr C / |m|², at least 0, with m the mean and C its
// covariance: of the linear corrections w m the one of least mean square error
// has w = |mu|²/(|mu|² + tr C), and |m|² - tr C estimates |mu|² without bias. A
// covariance from few parts is enlarged by nu/(nu - 2) as Student's t is.
func Advise(s Summary, flip model.FlipAxis, history *model.Sym2) Advice {
	var c model.Sym2
	nu := float64(s.N - 1)
	shared := s.MeanCov.Add(s.Cov.Scale(-1 / float64(s.N)))
	switch {
	case history != nil:
		c = history.Scale(1 / float64(s.N))
		if finite(shared.XX + shared.YY) {
			c = c.Add(shared)
		}
	case s.N >= 3:
		inflate := 4.0 // nu = 2, where t has no variance: cautious, no source
		if nu > 2 {
			inflate = math.Min(nu/(nu-2), 4)
		}
		c = s.Cov.Scale(inflate / float64(s.N)).Add(shared)
	default:
		return Advice{Sentence: "Leave the offset alone: fewer than three parts don't tell a wrong offset from chance. Make more, or choose an earlier batch of this job to compare the spread with."}
	}
	a := Advice{Known: true}
	m2 := s.Mean.Dot(s.Mean)
	if m2 > 0 {
		a.Weight = math.Max(0, 1-(c.XX+c.YY)/m2)
	}
	a.Offset = s.Mean.Scale(a.Weight)
	a.Correction = model.Correct(a.Offset, flip)
	switch {
	case a.Weight == 0:
		a.Sentence = "Leave the offset alone: the mean is no larger than chance makes it."
	case a.Weight > 0.95:
		a.Sentence = "Correct by the mean: chance plays next to no part in it."
	default:
		a.Sentence = fmt.Sprintf("Correct by %.0f %% of the mean: the rest of it may well be chance.", 100*a.Weight)
	}
	return a
}
