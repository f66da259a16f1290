package batch

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenrim/model"
)

// Constants of the moving range of two, exact: d2 = 2/sqrt(pi), D4 = 1 + 3 d3/d2.
// Printed tables have 1.128 and 3.267 (ASTM MNL7).
var (
	d2of2 = 2 / math.Sqrt(math.Pi)
	d4of2 = 1 + 3*math.Sqrt(2-4/math.Pi)/d2of2
)

// MinChart is the fewest parts that a chart is made of: with fewer the limits say
// next to nothing (common practice, no source, asks for 20 or more).
const MinChart = 5

// Individuals is a chart of single values with the moving range of neighbours.
type Individuals struct {
	Values               []float64
	Centre, Lower, Upper float64
	Sigma                float64 // from the mean moving range: short-term spread
	Ranges               []float64
	RangeCentre          float64
	RangeUpper           float64
	Signals              []Signal
}

// ChartIndividuals makes the chart of values in the order of making. It returns
// ErrTooFew below MinChart.
//
// Source: NIST/SEMATECH e-Handbook 6.3.2.2, with exact constants.
func ChartIndividuals(values []float64) (Individuals, error) {
	if len(values) < MinChart {
		return Individuals{}, ErrTooFew
	}
	c := Individuals{Values: values, Centre: stat.Mean(values, nil)}
	for i := 1; i < len(values); i++ {
		c.Ranges = append(c.Ranges, math.Abs(values[i]-values[i-1]))
	}
	c.RangeCentre = stat.Mean(c.Ranges, nil)
	c.RangeUpper = d4of2 * c.RangeCentre
	c.Sigma = c.RangeCentre / d2of2
	c.Lower, c.Upper = c.Centre-3*c.Sigma, c.Centre+3*c.Sigma
	c.Signals = RunsRules(values, c.Centre, c.Sigma)
	for i, r := range c.Ranges {
		if r > c.RangeUpper {
			c.Signals = append(c.Signals, Signal{i + 1, RangeOut})
		}
	}
	return c, nil
}

// Rule names what a chart calls out.
type Rule string

// The runs rules are those of the Western Electric handbook (1956) as in the
// NIST/SEMATECH e-Handbook 6.3.2: rules of thumb that together cry wolf about
// once in 92 values of a steady process (Champ & Woodall 1987, from memory).
const (
	OneOut     Rule = "beyond three standard deviations"
	TwoOfThree Rule = "two of three beyond two standard deviations on one side"
	FourOfFive Rule = "four of five beyond one standard deviation on one side"
	EightSide  Rule = "eight in a row on one side"
	RangeOut   Rule = "a jump larger than the others explain"
	T2Out      Rule = "outside the others' region in the plane"
	EWMAOut    Rule = "the weighted average has drifted"
)

// Signal is one value called out.
type Signal struct {
	Index int // from 0
	Rule  Rule
}

// RunsRules applies the four Western Electric rules; a signal is given at the
// value that completes a pattern.
func RunsRules(values []float64, centre, sigma float64) []Signal {
	if !(sigma > 0) {
		return nil
	}
	var out []Signal
	for i := range values {
		if math.Abs(values[i]-centre) > 3*sigma {
			out = append(out, Signal{i, OneOut})
		}
		for _, r := range []struct {
			need, of int
			beyond   float64
			rule     Rule
		}{{2, 3, 2, TwoOfThree}, {4, 5, 1, FourOfFive}, {8, 8, 0, EightSide}} {
			if i+1 < r.of {
				continue
			}
			for _, side := range []float64{1, -1} {
				count := 0
				for _, v := range values[i+1-r.of : i+1] {
					if side*(v-centre) > r.beyond*sigma {
						count++
					}
				}
				if count >= r.need && side*(values[i]-centre) > r.beyond*sigma {
					out = append(out, Signal{i, r.rule})
				}
			}
		}
	}
	return out
}

// EWMA is a chart of the exponentially weighted moving average: it sees a slow
// drift that single values hide.
type EWMA struct {
	Values               []float64 // averages, one a part
	Centre               float64
	Lower, Upper         []float64 // per part: the first averages vary less
	SteadyLow, SteadyTop float64   // what they tend to
	Signals              []Signal
}

// ChartEWMA averages values from start on with weight lambda for the newest (0.2
// to 0.3 is usual) and standard deviation sigma of a single value.
//
// Source: NIST/SEMATECH e-Handbook 6.3.2.4; the limits of the first averages by
// the exact variance there.
func ChartEWMA(values []float64, start, sigma, lambda float64) EWMA {
	c := EWMA{Centre: start}
	z := start
	steady := 3 * sigma * math.Sqrt(lambda/(2-lambda))
	c.SteadyLow, c.SteadyTop = start-steady, start+steady
	for i, v := range values {
		z = lambda*v + (1-lambda)*z
		limit := steady * math.Sqrt(1-math.Pow(1-lambda, 2*float64(i+1)))
		c.Values, c.Lower, c.Upper = append(c.Values, z), append(c.Lower, start-limit), append(c.Upper, start+limit)
		if math.Abs(z-start) > limit {
			c.Signals = append(c.Signals, Signal{i, EWMAOut})
		}
	}
	return c
}

// T2Chart is a chart of the distance in the plane of each part from the batch's
// mean, in its own spread: it sees what neither axis shows alone.
type T2Chart struct {
	Values  []float64
	Upper   float64 // exact for parts that belong to the batch it is made of
	Future  float64 // for a part made later
	Signals []Signal
}

// chartAlpha is the false alarm rate of one value, as three standard deviations
// have it.
const chartAlpha = 0.0027

// ChartT2 makes the chart; it returns ErrTooFew below MinChart or for parts
// without a spread in the plane.
//
// Source: NIST/SEMATECH e-Handbook 6.5.4.3 (Tracy, Young & Mason 1992).
func ChartT2(parts []Part) (T2Chart, error) {
	s, err := Summarise(parts)
	if err != nil {
		return T2Chart{}, err
	}
	if len(parts) < MinChart || s.Cov.Det() <= 0 {
		return T2Chart{}, ErrTooFew
	}
	c := T2Chart{Upper: t2LimitInside(len(parts)), Future: t2LimitFuture(len(parts))}
	for i, p := range parts {
		t2 := s.Cov.Mahalanobis2(p.D.Sub(s.Mean))
		c.Values = append(c.Values, t2)
		if t2 > c.Upper {
			c.Signals = append(c.Signals, Signal{i, T2Out})
		}
	}
	return c, nil
}

func t2LimitInside(m int) float64 {
	n := float64(m)
	return (n - 1) * (n - 1) / n * distuv.Beta{Alpha: 1, Beta: (n - 3) / 2}.Quantile(1-chartAlpha)
}

func t2LimitFuture(m int) float64 { return T2Next(m, 1-chartAlpha) }

// Control is all charts of a batch.
type Control struct {
	X, Y         Individuals
	DriftX       EWMA
	DriftY       EWMA
	Plane        T2Chart
	OutOfControl []int // parts that any chart calls out, in order
}

// EWMAWeight is the weight of the newest value (Hunter 1986 and the e-Handbook
// recommend 0.2 to 0.3).
const EWMAWeight = 0.25

// Charts makes them all from parts in the order of making.
func Charts(parts []Part) (Control, error) {
	var c Control
	x, y := axes(parts)
	var err error
	if c.X, err = ChartIndividuals(x); err != nil {
		return c, err
	}
	if c.Y, err = ChartIndividuals(y); err != nil {
		return c, err
	}
	if c.Plane, err = ChartT2(parts); err != nil {
		return c, err
	}
	c.DriftX = ChartEWMA(x, c.X.Centre, c.X.Sigma, EWMAWeight)
	c.DriftY = ChartEWMA(y, c.Y.Centre, c.Y.Sigma, EWMAWeight)
	out := make([]bool, len(parts))
	for _, list := range [][]Signal{c.X.Signals, c.Y.Signals, c.DriftX.Signals, c.DriftY.Signals, c.Plane.Signals} {
		for _, s := range list {
			out[s.Index] = true
		}
	}
	for i, o := range out {
		if o {
			c.OutOfControl = append(c.OutOfControl, i)
		}
	}
	return c, nil
}

// vecOf joins two axes.
func vecOf(x, y float64) model.Vec { return model.Vec{X: x, Y: y} }
