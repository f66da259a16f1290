package report

import (
	"errors"
	"fmt"
	"math"

	"evenrim/model"
	"evenrim/model/batch"
	"evenrim/model/chart"
)

// CompareAnswer sets one batch against another.
type CompareAnswer struct {
	A, B       batch.Batch
	Comparison *batch.Comparison // nil = too few parts
}

// AnswerCompare compares b with a, the batch before.
func AnswerCompare(a, b batch.Batch) (CompareAnswer, error) {
	out := CompareAnswer{A: a, B: b}
	c, err := batch.Compare(a.Parts, b.Parts)
	switch {
	case errors.Is(err, batch.ErrTooFew):
		return out, nil
	case err != nil:
		return out, err
	}
	out.Comparison = &c
	return out, nil
}

// Headline is the answer to "did it help?".
func (a CompareAnswer) Headline() string {
	if a.Comparison == nil {
		return "Too few parts to compare: two in each batch and four in all are the least."
	}
	return a.Comparison.Verdict
}

// Words are the figures behind the headline.
func (a CompareAnswer) Words(u chart.Unit) []string {
	c := a.Comparison
	if c == nil {
		return nil
	}
	d := u.Decimals(c.U95MM)
	interval := func(i batch.Interval, f func(float64) string) string {
		return f(i.Value) + " (95 %: " + f(i.Low) + " to " + f(i.High) + ")"
	}
	mm := func(v float64) string { return u.Signed(v, d) }
	plain := func(v float64) string { return fmt.Sprintf("%.2f", v) }
	p := "less than 1 in 10 000"
	if c.PValue >= 1e-4 {
		p = fmt.Sprintf("%.2g", c.PValue)
	}
	out := []string{
		fmt.Sprintf("From %s to %s setup 2 moved by X %s, Y %s, ± %s %s (95 %%).", BatchName(a.A.Name), BatchName(a.B.Name), mm(c.Difference.X), mm(c.Difference.Y), u.FormatU(c.U95MM, d), u),
		"Closer to even by " + interval(c.Closer, mm) + " " + u.String() + ".",
		"Probability of such a difference by chance alone: " + p + ".",
		"Spread after against before: X " + interval(c.SpreadX, plain) + " times, Y " + interval(c.SpreadY, plain) + " times.",
	}
	return append(out, a.needed(u)...)
}

// needed says how many parts would show a shift worth knowing.
func (a CompareAnswer) needed(u chart.Unit) []string {
	c := a.Comparison
	tol := a.B.ToleranceMM
	if !(tol > 0) {
		return nil
	}
	shift := u.Plain(round3(tol / 4))
	many, err := batch.SmallestBatch(tol/4, c.PartCov, c.Shared, 0.9)
	turned, alone := batch.SmallestBatch(tol/4, c.PartCov, model.Sym2{}, 0.9)
	switch {
	case alone != nil:
		return []string{fmt.Sprintf("Parts that spread like these never show a shift of %s, a quarter of the tolerance.", shift)}
	case err != nil:
		return []string{fmt.Sprintf("What the camera may have wrong on all parts alike hides a shift of %s, a quarter of the tolerance, however many are made. Turn sets take it out: then %d parts before and %d after show it 9 times in 10.", shift, turned, turned)}
	case many > 2*turned:
		return []string{fmt.Sprintf("To show a shift of %s, a quarter of the tolerance, 9 times in 10, make %d parts before and %d after; as turn sets, which take out what the camera has wrong on all alike, %d and %d.", shift, many, many, turned, turned)}
	}
	return []string{fmt.Sprintf("To show a shift of %s, a quarter of the tolerance, 9 times in 10, make %d parts before and %d after.", shift, many, many)}
}

// round3 keeps three figures, for lengths in a sentence.
func round3(x float64) float64 {
	if x == 0 {
		return 0
	}
	k := math.Pow(10, 2-math.Floor(math.Log10(math.Abs(x))))
	return math.Round(x*k) / k
}

// Doubts are the comparison's warnings.
func (a CompareAnswer) Doubts() []string {
	if a.Comparison == nil {
		return nil
	}
	return a.Comparison.Warnings
}
