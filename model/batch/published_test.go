package batch

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenrim/model"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g within %.2g", what, got, want, tol)
	}
}

func numbers(s string) []float64 {
	var out []float64
	for _, f := range strings.Fields(s) {
		v, err := strconv.ParseFloat(f, 64)
		if err != nil {
			panic(err)
		}
		out = append(out, v)
	}
	return out
}

// along makes parts of values along X, with something across.
func along(values []float64) []Part {
	var p []Part
	for i, v := range values {
		p = append(p, Part{Name: strconv.Itoa(i + 1), D: model.Vec{X: v, Y: float64(i % 3)}})
	}
	return p
}

// NIST/SEMATECH e-Handbook 6.3.2.2, flow rate example.
const nistTen = "49.6 47.6 49.9 51.3 47.8 51.2 52.6 52.4 53.6 52.1"

func TestIndividualsChartOfTheNISTHandbook(t *testing.T) {
	c, err := ChartIndividuals(numbers(nistTen))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "centre", c.Centre, 50.81, 5e-3)
	near(t, "mean moving range", c.RangeCentre, 1.8778, 5e-5)
	// The handbook has 55.8041 and 45.8159 with d2 = 1.128; with the exact d2 the
	// upper limit is 55.8024 (recomputed for this project).
	near(t, "upper limit", c.Upper, 55.8024, 1e-4)
	near(t, "upper limit of the handbook", c.Centre+3*c.RangeCentre/1.128, 55.8041, 1e-4)
	near(t, "lower limit of the handbook", c.Centre-3*c.RangeCentre/1.128, 45.8159, 1e-4)
	near(t, "range limit", c.RangeUpper, 6.1347, 2e-3) // the handbook's D4 is 3.267
	// The handbook: the process is in control, no point is plotted beyond.
	for _, s := range c.Signals {
		if s.Rule == OneOut || s.Rule == RangeOut {
			t.Errorf("signal %+v, want none beyond the limits", s)
		}
	}
}

// ASTM MNL7 constants for n = 2, by integration (recomputed for this project).
func TestConstantsOfTheMovingRange(t *testing.T) {
	near(t, "d2(2)", d2of2, 1.1284, 5e-5)
	near(t, "D4(2)", d4of2, 3.2665, 5e-5)
	near(t, "E2(2)", 3/d2of2, 2.6587, 5e-5)
}

func TestEWMAOfTheNISTHandbook(t *testing.T) {
	// NIST/SEMATECH e-Handbook 6.3.2.4: EWMA0 = 50, s = 2.0539, lambda = 0.3.
	c := ChartEWMA(numbers("52 47 53 49.3 50.1 47 51 50.1 51.2 50.5 "+nistTen), 50, 2.0539, 0.3)
	want := numbers("50.60 49.52 50.56 50.18 50.16 49.21 49.75 49.85 50.26 50.33 50.11 49.36 49.52 50.05 49.38 49.92 50.73 51.23 51.94 51.99")
	for i, w := range want {
		near(t, "EWMA "+strconv.Itoa(i+1), c.Values[i], w, 5.01e-3)
	}
	near(t, "upper limit", c.SteadyTop, 52.5884, 1e-4)
	near(t, "lower limit", c.SteadyLow, 47.4116, 1e-4) // the page cuts it to 47.4115
	near(t, "last upper limit", c.Upper[19], 52.5884, 1e-3)
	if len(c.Signals) != 0 {
		t.Errorf("signals %v, want none (the handbook: in control)", c.Signals)
	}
}

func given(n int, mean []float64, cov ...float64) sample {
	return sample{n: n, p: 2, mean: mat.NewVecDense(2, mean), cov: mat.NewSymDense(2, []float64{cov[0], cov[1], cov[1], cov[2]})}
}

// critical is the T2 that chance exceeds with a probability of 5 %.
func critical(t T2) float64 {
	return distuv.F{D1: t.D1, D2: t.D2}.Quantile(0.95) * t.T2 / t.F
}

func TestHotellingTwoOfTextbooks(t *testing.T) {
	// Johnson & Wichern example 6.3, soap; T2 recomputed.
	soap, err := hotellingTwo(given(50, []float64{8.3, 4.1}, 2, 1, 6), given(50, []float64{10.2, 3.9}, 2, 1, 4), nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "soap T2", soap.T2, 52.472, 5e-4)
	// Johnson & Wichern examples 6.4 and 6.5, electricity.
	a, b := given(45, []float64{204.4, 556.6}, 13825.3, 23823.4, 73107.4), given(55, []float64{130, 355}, 8632, 19616.7, 55964.5)
	pooled, err := hotellingTwo(a, b, nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "electricity pooled T2", pooled.T2, 16.066, 5e-4)
	near(t, "electricity 5 % point", critical(pooled), 6.244, 5e-4)
	near(t, "electricity p", pooled.P, .000634, 5e-7)
	unequal, err := hotellingUnequal(a, b, nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "electricity unequal T2", unequal.T2, 15.6585, 5e-5)
	near(t, "electricity degrees of freedom", unequal.D2+unequal.D1-1, 77.59, 5e-3)
	near(t, "electricity unequal 5 % point", critical(unequal), 6.31, 5e-3)
}

// Limits for single values in the plane at alpha = 0.0027, recomputed for this
// project from the formulae of NIST/SEMATECH e-Handbook 6.5.4.3.
func TestT2ChartLimits(t *testing.T) {
	for _, tt := range []struct {
		m              int
		inside, future float64
	}{{10, 6.605, 33.53}, {20, 9.049, 18.54}, {25, 9.582, 16.79}, {50, 10.685, 13.97}} {
		near(t, "inside", t2LimitInside(tt.m), tt.inside, 5e-4)
		near(t, "future", t2LimitFuture(tt.m), tt.future, 6e-3) // 16.785 at 25
	}
}

func TestCapabilityOfTheNISTHandbook(t *testing.T) {
	// NIST/SEMATECH e-Handbook 6.1.6: USL 20, LSL 8, mean 16, s 2: Cpk 0.6667.
	near(t, "Cpk", Ppk(16, 2, 8, 20, 50).Value, .6667, 5e-5)
	// Specific risk: N(10, .4) and N(10.5, .4) in 9..11 (suncal's test_risk.py).
	near(t, "Cpk centred", Ppk(10, .4, 9, 11, 50).Value, .83333, 5e-6)
	near(t, "Cpk off", Ppk(10.5, .4, 9, 11, 50).Value, .41667, 5e-6)
	// Bissell's interval, recomputed: n = 50, Cpk 1.33.
	i := Ppk(0, 1, -3*1.33, 1e9, 50)
	near(t, "low", i.Low, 1.0509, 5e-5)
	near(t, "high", i.High, 1.6091, 5e-5)
}

// NIST StRD, certified means, standard deviations and lag-1 autocorrelations.
func TestNISTReferenceData(t *testing.T) {
	alternating := func(first, a, b float64, pairs int) []float64 {
		x := []float64{first}
		for range pairs {
			x = append(x, a, b)
		}
		return x
	}
	scaled := func(base, unit float64, s string) []float64 {
		x := numbers(s)
		for i := range x {
			x[i] = math.Round((base+unit*x[i])*1e6) / 1e6
		}
		return x
	}
	for _, tt := range []struct {
		name         string
		x            []float64
		mean, sd, l1 float64
		digits       float64 // relative, of the sd
	}{
		{"NumAcc1", []float64{10000001, 10000003, 10000002}, 10000002, 1, -.5, 1e-12},
		{"NumAcc2", alternating(1.2, 1.1, 1.3, 500), 1.2, .1, -.999, 1e-12},
		{"NumAcc3", alternating(1000000.2, 1000000.1, 1000000.3, 500), 1000000.2, .1, -.999, 1e-9},
		{"NumAcc4", alternating(10000000.2, 10000000.1, 10000000.3, 500), 10000000.2, .1, -.999, 1e-7},
		{"Mavro", scaled(2, 1e-4, "18 17 18 19 18 17 15 14 15 15 17 18 18 19 19 21 20 16 14 13 13 15 15 16 15 14 13 14 15 14 15 16 15 16 19 20 20 21 22 23 24 25 27 26 26 26 27 26 25 24"), 2.001856, .000429123454003053, .937989183438248, 1e-9},
		{"Michelso", scaled(299, .01, "85 74 90 107 93 85 95 98 98 88 100 98 93 65 76 81 100 100 96 96 96 94 96 94 88 80 85 88 90 84 83 79 81 88 88 83 80 79 76 80 88 88 88 86 72 72 62 86 97 95 88 91 85 87 84 84 85 84 84 84 89 81 81 82 80 77 76 74 75 76 91 92 89 86 88 72 84 85 85 78 89 84 78 81 76 81 79 81 82 85 87 87 81 74 81 94 95 80 81 87"), 299.8524, .0790105478190518, .535199668621283, 1e-9},
	} {
		s, err := Summarise(along(tt.x))
		if err != nil {
			t.Fatal(err)
		}
		near(t, tt.name+" mean", s.Mean.X, tt.mean, 1e-14*math.Abs(tt.mean)+1e-12)
		near(t, tt.name+" sd", s.SD.X, tt.sd, tt.digits*tt.sd)
		near(t, tt.name+" lag 1", lag(tt.x), tt.l1, 10*tt.digits)
	}
}

// AIAG's study of 10 parts, 3 persons, 3 trials; the analysis of variance of the
// same data from a published package's tests.
func TestStudyOfPublishedData(t *testing.T) {
	rows := map[string]string{
		"A": ".29 -.56 1.34 .47 -.80 .02 .59 -.31 2.26 -1.36 .41 -.68 1.17 .50 -.92 -.11 .75 -.20 1.99 -1.25 .64 -.58 1.27 .64 -.84 -.21 .66 -.17 2.01 -1.31",
		"B": ".08 -.47 1.19 .01 -.56 -.20 .47 -.63 1.80 -1.68 .25 -1.22 .94 1.03 -1.20 .22 .55 .08 2.12 -1.62 .07 -.68 1.34 .20 -1.28 .06 .83 -.34 2.19 -1.50",
		"C": ".04 -1.38 .88 .14 -1.46 -.29 .02 -.46 1.77 -1.49 -.11 -1.13 1.09 .20 -1.07 -.67 .01 -.56 1.45 -1.77 -.15 -.96 .67 .11 -1.45 -.49 .21 -.49 1.87 -2.16",
	}
	var trials []Trial
	for person, row := range rows {
		for i, v := range numbers(row) {
			trials = append(trials, Trial{Part: strconv.Itoa(i%10 + 1), Person: person, Value: v})
		}
	}
	s, err := StudyOf(trials, 4)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "MS part", s.MSPart, 9.81799, 5e-6)
	near(t, "MS person", s.MSPerson, 1.58363, 5e-6)
	near(t, "MS interaction", s.MSInteraction, .01994, 5e-6)
	near(t, "F interaction", s.FInteraction, .434, 5e-4)
	near(t, "p interaction", s.PInteraction, .974, 5e-4)
	if !s.Pooled {
		t.Error("the interaction was not pooled")
	}
	near(t, "MS repeat, pooled", s.MSRepeat, .03997, 5e-6)
	near(t, "repeatability", s.Repeatability.Value, .19993, 5e-6)
	near(t, "reproducibility", s.Reproducibility.Value, .22684, 5e-6)
	near(t, "reading", s.Reading.Value, .30237, 5e-6)
	near(t, "parts", s.PartToPart.Value, 1.04233, 5e-6)
	near(t, "total", s.Total.Value, 1.08530, 5e-6)
	near(t, "study share", s.StudyShare.Value, .2786, 5e-5)
	near(t, "distinct categories", s.Distinct, 4.86, 2e-2) // published with 1.41 for the root of two
	near(t, "tolerance share", s.ToleranceShare.Value, 6*.30237/8, 1e-5)
	// Exact interval of repeatability: chi-squared with 78 degrees of freedom, 2.5
	// and 97.5 % points 55.47 and 104.32 (SciPy-style tables, from memory to 4
	// digits; the draws agree to about 1 %).
	near(t, "repeatability low", s.Repeatability.Low, .19993*math.Sqrt(78/104.32), 2e-3)
	near(t, "repeatability high", s.Repeatability.High, .19993*math.Sqrt(78/55.47), 2e-3)
	for _, i := range []Interval{s.Repeatability, s.Reproducibility, s.Reading, s.PartToPart, s.Total, s.ToleranceShare, s.StudyShare} {
		if !(i.Low <= i.Value && i.Value <= i.High) {
			t.Errorf("interval %+v does not hold its value", i)
		}
	}
}
