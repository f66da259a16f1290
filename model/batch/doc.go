// Package batch is the statistics of parts made with one pair of setups: where a
// batch lies and how much it spreads, whether it is under control, whether a
// change helped, what a correction should be, and how good the readings
// themselves are.
//
// Values are mismatches in mm, in setup 2's axes, one a part. All chance
// (bootstrap, permutation, simulation) is seeded: the same data give the same
// answer. What the data cannot tell is NaN with a sentence in Warnings, never a
// guess.
package batch

import (
	"errors"
	"math"

	"evenrim/model"
)

// ErrTooFew says that there are too few parts for the question.
var ErrTooFew = errors.New("batch: too few parts")

// Part is what the readings say of one part.
type Part struct {
	Name string
	D    model.Vec  // mismatch, mm
	Cov  model.Sym2 // its measurement covariance, mm², everything included
	// Shared is the share of Cov that all parts of the batch have in common (the
	// camera stood where it stood): it shifts the batch, and spreads nothing.
	Shared model.Sym2
	// Readings are what it was joined from, in their order; nil = not at hand.
	Readings []*model.Reading
}

// Verdict judges the part: by what its photos say together, or as a single photo's reading
// is judged.
func (p Part) Verdict(toleranceMM float64, zone model.Zone) model.Verdict {
	judge := model.Judge
	if len(p.Readings) == 1 {
		judge = model.JudgePhoto
	}
	v, _ := judge(p.D, p.Cov, toleranceMM, zone)
	return v
}

// Typical is the place of the part nearest to the mean: the one to show when one
// must stand for all. -1 without parts.
func Typical(parts []Part) int {
	s, err := Summarise(parts)
	if err != nil {
		return -1
	}
	best, at := math.Inf(1), -1
	for i, p := range parts {
		if d := p.D.Sub(s.Mean).Norm(); d < best {
			best, at = d, i
		}
	}
	return at
}

// own is the share of the measurement covariance that differs from part to part.
func (p Part) own() model.Sym2 { return p.Cov.Add(p.Shared.Scale(-1)) }

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// axes returns the parts' X and Y.
func axes(parts []Part) (x, y []float64) {
	for _, p := range parts {
		x, y = append(x, p.D.X), append(y, p.D.Y)
	}
	return x, y
}
