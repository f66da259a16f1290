package batch

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"evenrim/model"
)

// FunnelShow sets habits of correcting beside each other on the same chance.
type FunnelShow struct {
	OffsetMM, SDMM float64
	Parts, Group   int
	Runs           []Funnel // one of each habit, same seed
	// Cost is the mean of |mismatch|² of each run's habit over many repetitions,
	// in units of that of a right offset left alone (2 sd²).
	Cost []float64
}

// funnelRepeats makes the costs good to about 2 %.
const funnelRepeats = 400

// ShowFunnel runs each habit on an offset of offsetMM (0 = the offset is right)
// under scatter sdMM an axis. It is deterministic.
func ShowFunnel(offsetMM, sdMM float64, parts, group int) FunnelShow {
	f := FunnelShow{OffsetMM: offsetMM, SDMM: sdMM, Parts: parts, Group: group}
	start := model.Polar(offsetMM, 0.6)
	for _, h := range []Habit{LeaveAlone, LastPart, WholeMean, Reduced} {
		f.Runs = append(f.Runs, RunFunnel(h, start, sdMM, parts, group, 7))
		sum := 0.0
		for seed := range funnelRepeats {
			sum += RunFunnel(h, start, sdMM, parts, group, 1000+uint64(seed)).MeanSquare
		}
		f.Cost = append(f.Cost, sum/funnelRepeats/(2*sdMM*sdMM))
	}
	return f
}

// Sentences say what came of it.
func (f FunnelShow) Sentences() []string {
	what := "The offset is right to begin with, only chance moves the parts."
	if f.OffsetMM > 0 {
		what = fmt.Sprintf("The offset is wrong to begin with, by %.1f times the scatter of a part.", f.OffsetMM/f.SDMM)
	}
	out := []string{what, fmt.Sprintf("Scatter about even, against a right offset left alone (1.0), over %d runs of %d parts:", funnelRepeats, f.Parts)}
	for i, r := range f.Runs {
		out = append(out, fmt.Sprintf("%.2f times when one would %s.", math.Sqrt(f.Cost[i]), r.Habit))
	}
	return out
}

// T2Next is the T squared, about the mean and in the spread of n parts, below
// which the next part stays with the given probability if all are normal.
//
// Source: Johnson & Wichern, Applied Multivariate Statistical Analysis, 5.4 (control
// ellipse for future observations); NaN below three parts.
func T2Next(n int, share float64) float64 {
	if n < 3 {
		return math.NaN()
	}
	m := float64(n)
	return 2 * (m + 1) * (m - 1) / (m * (m - 2)) * distuv.F{D1: 2, D2: m - 2}.Quantile(share)
}
