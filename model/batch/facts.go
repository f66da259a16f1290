package batch

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenrim/model"
)

// FactsOf is what parts in the order of making tell of a mismatch's cause; nil below
// MinChart parts, which tell none. control is nil where there are no charts.
//
// Rules ask how often a standard uncertainty a value is. From few parts that is less
// sure, so uncertainties are enlarged until three of them are as seldom exceeded by chance
// as of a normal value (Student's t).
func FactsOf(parts []Part, s Summary, control *Control) *model.BatchFacts {
	n := len(parts)
	if n < MinChart {
		return nil
	}
	k := studentOver3(n - 1)
	f := &model.BatchFacts{N: n, Mean: s.Mean, MeanCov: s.Cov.Scale(k * k / float64(n)).Add(s.Shared),
		SpreadMM: model.Vec{X: math.Sqrt(math.Max(s.ProcessCov.XX, 0)), Y: math.Sqrt(math.Max(s.ProcessCov.YY, 0))}}
	x, y := axes(parts)
	f.TrendMM.X, f.UTrendMM.X = trend(x)
	f.TrendMM.Y, f.UTrendMM.Y = trend(y)
	if control != nil {
		for _, i := range control.OutOfControl {
			f.Odd = append(f.Odd, parts[i].Name)
		}
	}
	return f
}

// trend is the change from the first value to the last along the line of least squares,
// and its uncertainty for rules.
func trend(values []float64) (change, u float64) {
	n := len(values)
	at := make([]float64, n)
	for i := range at {
		at[i] = float64(i) / float64(n-1)
	}
	start, change := stat.LinearRegression(at, values, nil, false)
	sum := 0.0
	for i, v := range values {
		sum += math.Pow(v-start-change*at[i], 2)
	}
	nu := n - 2
	return change, studentOver3(nu) * math.Sqrt(sum/float64(nu)/(stat.Variance(at, nil)*float64(n-1)))
}

// studentOver3 is what chance exceeds, by Student's t with nu degrees of freedom, as seldom
// as a normal value exceeds 3, over 3.
func studentOver3(nu int) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(nu)}.Quantile(distuv.UnitNormal.CDF(3)) / 3
}
