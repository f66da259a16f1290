package batch

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenrim/model"
)

// Summary is where a batch lies and how much it spreads.
type Summary struct {
	N    int
	Mean model.Vec // mm
	SD   model.Vec // mm, per axis, n-1; NaN for one part
	Cov  model.Sym2
	// MeasureCov is the mean measurement covariance of a part, as the readings
	// state it, without what they share; ProcessCov is what remains of Cov without
	// it, mm². Masked says that the readings' own scatter accounts for all of Cov
	// in some direction, where ProcessCov is then zero.
	MeasureCov, ProcessCov model.Sym2
	Masked                 bool
	// Shared is what the readings have in common, mm²: known for any number of parts.
	// MeanCov is the covariance of Mean, mm²: Cov/n and Shared.
	Shared, MeanCov model.Sym2
	// MeanU95MM is the larger half axis of the 95 % region of the mean: Hotelling's
	// for the scatter between parts, and what the readings share on top.
	MeanU95MM float64
	// MeasuredU95MM is what the readings by themselves leave open of the mean, mm,
	// 95 %; how the parts differ comes on top. It is known for any number of parts.
	MeasuredU95MM float64
	Warnings      []string
}

// Summarise describes parts; it needs one. With fewer than three the spread in
// the plane is unknown and what rests on it is NaN.
func Summarise(parts []Part) (Summary, error) {
	n := len(parts)
	if n == 0 {
		return Summary{}, fmt.Errorf("batch: summary: %w", ErrTooFew)
	}
	nan := math.NaN()
	nanCov := model.Sym2{XX: nan, XY: nan, YY: nan}
	s := Summary{N: n, SD: model.Vec{X: nan, Y: nan}, Cov: nanCov, ProcessCov: nanCov, MeanCov: nanCov, MeanU95MM: nan}
	for _, p := range parts {
		if !p.D.IsFinite() {
			return Summary{}, fmt.Errorf("batch: part %q has no mismatch", p.Name)
		}
	}
	x, y := axes(parts)
	s.Mean = model.Vec{X: stat.Mean(x, nil), Y: stat.Mean(y, nil)}
	for _, p := range parts {
		s.MeasureCov = s.MeasureCov.Add(p.own().Scale(1 / float64(n)))
		s.Shared = s.Shared.Add(p.Shared.Scale(1 / float64(n)))
	}
	s.MeasuredU95MM = model.U95(s.MeasureCov.Scale(1 / float64(n)).Add(s.Shared))
	if n == 1 {
		s.MeanCov, s.MeanU95MM = nanCov, nan
		s.Warnings = append(s.Warnings, "One part says nothing about how much the parts differ.")
		return s, nil
	}
	s.Cov = model.Sym2{XX: stat.Variance(x, nil), XY: stat.Covariance(x, y, nil), YY: stat.Variance(y, nil)}
	s.SD = model.Vec{X: math.Sqrt(s.Cov.XX), Y: math.Sqrt(s.Cov.YY)}
	s.ProcessCov, s.Masked = withoutNegative(s.Cov.Add(s.MeasureCov.Scale(-1)))
	s.MeanCov = s.Cov.Scale(1 / float64(n)).Add(s.Shared)
	if n == 2 {
		s.Warnings = append(s.Warnings, "Two parts show a spread but not its shape in the plane: no region can be given for their mean.")
		return s, nil
	}
	k2 := regionFactor(n, 2)
	major, _, _ := s.Cov.Scale(k2 / float64(n)).Add(s.Shared.Scale(known95)).Eigen()
	s.MeanU95MM = math.Sqrt(major)
	if n < 8 {
		s.Warnings = append(s.Warnings, fmt.Sprintf("%d parts: the spread is known to a factor of about %.1f only.", n, sdFactor(n)))
	}
	if s.Masked {
		s.Warnings = append(s.Warnings, "The readings' own uncertainty accounts for all of the spread in some direction: the parts differ by less than can be seen.")
	}
	return s, nil
}

// regionFactor is the square of the factor k by which the 95 % region of a mean
// of n values in p dimensions extends beyond S/n: Hotelling's T2, exact for
// normal values.
//
// Source: Johnson & Wichern, Applied Multivariate Statistical Analysis, 5.4
// (from memory); NIST/SEMATECH e-Handbook 6.5.4.3.
func regionFactor(n, p int) float64 {
	if n <= p {
		return math.NaN()
	}
	f := distuv.F{D1: float64(p), D2: float64(n - p)}.Quantile(0.95)
	return float64(p) * float64(n-1) / float64(n-p) * f
}

// sdFactor is how far the true standard deviation may lie above the one of n
// values, at 97.5 %.
func sdFactor(n int) float64 {
	nu := float64(n - 1)
	return math.Sqrt(nu / distuv.ChiSquared{K: nu}.Quantile(0.025))
}

// withoutNegative is a with negative variances along its own axes set to zero.
func withoutNegative(a model.Sym2) (model.Sym2, bool) {
	major, minor, angle := a.Eigen()
	if minor >= 0 {
		return a, false
	}
	u, v := model.Polar(1, angle), model.Polar(1, angle+math.Pi/2)
	return u.Outer().Scale(math.Max(major, 0)).Add(v.Outer().Scale(0)), true
}
