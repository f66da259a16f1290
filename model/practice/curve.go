package practice

import "math"

// sides is among how many sides the eye test lets a person choose; a blind guess
// is right once in as many.
const sides = 4

const guessRate = 1.0 / sides

// curve is a psychometric function: how often a person names the wide side
// rightly at a mismatch of exp(x) chamfer widths. It is Weibull's in the mismatch,
//
//	p(x) = g + (1 - g - slip) (1 - 3^(-exp(slope (x - x0))))
//
// with g the guess rate and slip the share of wrong answers that have nothing to
// do with the eye. At x = x0 the eye alone is right 2 times in 3, which with
// guessing and without slips makes 3 times in 4. Sources: Weibull's form for
// forced choice, R. F. Quick, Kybernetik 16:65 (1974); slips, F. A. Wichmann and
// N. J. Hill, Perception & Psychophysics 63:1293 (2001); both from memory.
type curve struct{ x0, slope, slip float64 }

func (c curve) at(x float64) float64 {
	seen := 1 - math.Exp(-math.Log(3)*math.Exp(c.slope*(x-c.x0)))
	return guessRate + (1-guessRate-c.slip)*seen
}

// entropy is that of an answer which is right with probability p, nat.
func entropy(p float64) float64 {
	if p <= 0 || p >= 1 {
		return 0
	}
	return -p*math.Log(p) - (1-p)*math.Log(1-p)
}
