package batch

import (
	"math/rand/v2"

	"evenrim/model"
)

// Habit is a way of correcting.
type Habit string

const (
	LeaveAlone Habit = "leave it alone"
	LastPart   Habit = "correct by the last part"
	WholeMean  Habit = "correct by the mean of a few parts"
	Reduced    Habit = "correct as advised"
)

// Funnel is one run of the funnel experiment: a marble dropped again and again at
// a target, the funnel moved after each drop or not.
type Funnel struct {
	Habit Habit
	Parts []model.Vec // mismatch of each part, mm
	// MeanSquare is the mean of |mismatch|² over the parts after the first group,
	// mm²: what the habit costs.
	MeanSquare float64
	Moves      int
}

// RunFunnel makes parts with scatter sd (mm, each axis) about an offset that
// starts at offset and that the habit corrects, deciding after each group of
// parts (LastPart after every one). It is deterministic in seed.
//
// Source of the experiment and of the cost of LastPart, twice the variance of
// leaving a right offset alone: Deming, Out of the Crisis (1986), ch. 11, rule 2
// (from memory).
func RunFunnel(h Habit, offset model.Vec, sd float64, parts, group int, seed uint64) Funnel {
	rng := rand.New(rand.NewPCG(seed, 0xf0))
	f := Funnel{Habit: h}
	var batch []Part
	move := func(by model.Vec) {
		if by != (model.Vec{}) {
			offset = offset.Sub(by)
			f.Moves++
		}
		batch = nil
	}
	counted := 0
	for i := range parts {
		d := offset.Add(vecOf(sd*rng.NormFloat64(), sd*rng.NormFloat64()))
		f.Parts = append(f.Parts, d)
		if i >= group {
			f.MeanSquare += d.Dot(d)
			counted++
		}
		batch = append(batch, Part{D: d})
		switch {
		case h == LastPart:
			move(d)
		case h == LeaveAlone || len(batch) < group:
		default:
			s, err := Summarise(batch)
			if err != nil {
				continue
			}
			if h == WholeMean {
				move(s.Mean)
			} else {
				move(Advise(s, model.FlipAboutY, nil).Offset)
			}
		}
	}
	if counted > 0 {
		f.MeanSquare /= float64(counted)
	}
	return f
}
