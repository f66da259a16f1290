package batch

import (
	"fmt"
	"math"

	"evenrim/model"
)

// Advice is how much to correct after a batch.
type Advice struct {
	// Offset is the part of the mean mismatch to take out, mm: Weight times it, and
	// nothing in an axis that is left alone.
	Offset     model.Vec
	Correction model.Correction
	// MoveX and MoveY say in which axes the mean can be told from none.
	MoveX, MoveY bool
	// Weight is the share of the mean that is likely not chance, 0 to 1.
	Weight   float64
	Known    bool // false: the parts don't tell, and Offset is nothing
	Sentence string
}

// Advise proposes a correction from the mean of a batch. An axis whose mean is
// smaller than its own 95 % uncertainty, the reach of MeanU95MM's region along it,
// is left alone, as model.Advise leaves one of a single reading; the others are
// reduced by what of their mean may be chance.
//
// history is the parts' covariance from earlier batches, mm², readings included
// (nil = none); without it fewer than three parts give no advice, for to follow each
// part adds its scatter to the next one's.
//
// The weight is 1 - tr C / |m|², at least 0, with m the mean and C its
// covariance: of the linear corrections w m the one of least mean square error
// has w = |mu|²/(|mu|² + tr C), and |m|² - tr C estimates |mu|² without bias. A
// covariance from few parts is enlarged by nu/(nu - 2) as Student's t is.
func Advise(s Summary, flip model.FlipAxis, history *model.Sym2) Advice {
	var scatter model.Sym2 // of the mean, by how the parts differ
	k2, inflate := known95, 1.0
	switch {
	case history != nil:
		scatter = history.Scale(1 / float64(s.N))
	case s.N >= 3:
		nu := float64(s.N - 1)
		scatter = s.Cov.Scale(1 / float64(s.N))
		k2 = regionFactor(s.N, 2)
		inflate = 4.0 // nu = 2, where t has no variance: cautious, no source
		if nu > 2 {
			inflate = math.Min(nu/(nu-2), 4)
		}
	default:
		return Advice{Sentence: "Leave the offset alone: fewer than three parts don't tell a wrong offset from chance. Make more, or choose an earlier batch of this job to compare the spread with."}
	}
	a := Advice{Known: true}
	c := scatter.Scale(inflate).Add(s.Shared)
	if m2 := s.Mean.Dot(s.Mean); m2 > 0 {
		a.Weight = math.Max(0, 1-(c.XX+c.YY)/m2)
	}
	told := func(mean, scatter, shared float64) bool {
		return a.Weight > 0 && mean*mean > k2*scatter+known95*shared
	}
	a.MoveX = told(s.Mean.X, scatter.XX, s.Shared.XX)
	a.MoveY = told(s.Mean.Y, scatter.YY, s.Shared.YY)
	if a.MoveX {
		a.Offset.X = a.Weight * s.Mean.X
	}
	if a.MoveY {
		a.Offset.Y = a.Weight * s.Mean.Y
	}
	a.Correction = model.Correct(a.Offset, flip)
	a.Sentence = a.words()
	return a
}

// known95 is regionFactor for a scatter that is known.
var known95 = model.CoverageFactor(0) * model.CoverageFactor(0)

func (a Advice) words() string {
	what, left := "the mean", ""
	switch {
	case !a.MoveX && !a.MoveY:
		return "Leave the offset alone: the mean is no larger than chance makes it."
	case !a.MoveY:
		what, left = "the mean in X", " Leave Y: its mean is smaller than its own uncertainty."
	case !a.MoveX:
		what, left = "the mean in Y", " Leave X: its mean is smaller than its own uncertainty."
	}
	if a.Weight > 0.95 {
		return "Correct by " + what + ": chance plays next to no part in it." + left
	}
	return fmt.Sprintf("Correct by %.0f %% of %s: the rest of it may well be chance.%s", 100*a.Weight, what, left)
}
