package model

import (
	"math"
	"math/rand/v2"
	"slices"
)

// What follows propagates a reading's budget by simulation (JCGM 101), to check the
// table, which adds variances up; parts are simulated by the program itself.

// simulate draws a quantity n times (JCGM 101 7); draw has to be safe for
// concurrent use apart from rng.
func simulate(n int, seed uint64, draw func(rng *rand.Rand) float64) Sample {
	s := make(Sample, n)
	inBlocks(n, seed, func(rng *rand.Rand, from, to int) {
		for i := from; i < to; i++ {
			s[i] = draw(rng)
		}
	})
	slices.Sort(s)
	return s
}

// Mean and SD are the estimate and its standard uncertainty (JCGM 101 7.6).
func (s Sample) Mean() float64 {
	sum := 0.0
	for _, v := range s {
		sum += v
	}
	return sum / float64(len(s))
}

// SD is the sample's standard deviation, with n - 1.
func (s Sample) SD() float64 {
	mean, sum := s.Mean(), 0.0
	for _, v := range s {
		sum += sq(v - mean)
	}
	return math.Sqrt(sum / float64(len(s)-1))
}

// Shortest is the shortest interval that holds a share p of the trials
// (JCGM 101 5.3.4).
func (s Sample) Shortest(p float64) (low, high float64) {
	q := int(math.Ceil(p * float64(len(s))))
	low, high = math.Inf(-1), math.Inf(1)
	for i := 0; i+q < len(s); i++ {
		if s[i+q]-s[i] < high-low {
			low, high = s[i], s[i+q]
		}
	}
	return low, high
}

// simulateBudget draws the lines of the budget of a mismatch d trials times, each
// line from its own distribution: "rectangular", "t" with the line's degrees of
// freedom, everything else normal. A line that acts along one direction is one
// variable, another two. trials is kept within MinTrials and MaxTrials.
func simulateBudget(lines []BudgetLine, d Vec, toleranceMM float64, zone Zone, trials int, seed uint64) MonteCarlo {
	trials = min(max(trials, MinTrials), MaxTrials)
	type source struct {
		along, across Vec
		line          BudgetLine
	}
	var sources []source
	for _, l := range lines {
		major, minor, angle := l.Cov.Eigen()
		s := source{along: Polar(sqrt0(major), angle), line: l}
		if minor > 1e-9*major {
			s.across = Polar(sqrt0(minor), angle+math.Pi/2)
		}
		sources = append(sources, s)
	}
	at := make([]Vec, trials)
	inBlocks(trials, seed, func(rng *rand.Rand, from, to int) {
		for i := from; i < to; i++ {
			v := d
			for _, s := range sources {
				v = v.Add(s.along.Scale(drawStandard(s.line, rng)))
				if s.across != (Vec{}) {
					v = v.Add(s.across.Scale(drawStandard(s.line, rng)))
				}
			}
			at[i] = v
		}
	})
	return summarise(at, toleranceMM, zone)
}
