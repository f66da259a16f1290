package model

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// oneAxis makes a line that varies along X alone, in units of the source.
func oneAxis(u, dof float64) BudgetLine {
	return BudgetLine{Source: "x", U: u, Unit: "mm", Cov: Sym2{XX: u * u}, DOF: dof}
}

// In one dimension the plane's formula is the Welch-Satterthwaite formula.
func TestEffectiveDOFAgainstJCGM100(t *testing.T) {
	// G.4.1: u 0.25 (9 dof), 0.57 (4), 0.82 (14): uc 1.03, 19.0 effective (19.04
	// with the rounded uc; 18.95 without).
	lines := []BudgetLine{oneAxis(0.25, 9), oneAxis(0.57, 4), oneAxis(0.82, 14)}
	near(t, "G.4.1 uc", math.Sqrt(TotalCov(lines).XX), 1.03, 0.005)
	near(t, "G.4.1 dof", EffectiveDOF(lines), 19.0, 0.1)
	// H.1, end gauge: u 25, 9.7, 2.9, 16.6 nm with 18, 25.6, 50, 2 dof: 31.7 nm,
	// 16.8 effective.
	lines = []BudgetLine{oneAxis(25, 18), oneAxis(9.7, 25.6), oneAxis(2.9, 50), oneAxis(16.6, 2)}
	near(t, "H.1 uc", math.Sqrt(TotalCov(lines).XX), 31.67, 0.05)
	near(t, "H.1 dof", EffectiveDOF(lines), 16.76, 0.05)
}

// Johnson & Wichern's electricity data (sections 6.3 to 6.4): two means of 45 and
// 55 households; covariance of the difference S1/45 + S2/55. Effective degrees of
// freedom 77.59, recomputed with independent code; the textbook's form divides by
// the numbers of households, not by one less, so they stand in for dof here.
func TestEffectiveDOFInThePlane(t *testing.T) {
	lines := []BudgetLine{
		{Cov: Sym2{13825.3, 23823.4, 73107.4}.Scale(1. / 45), DOF: 45},
		{Cov: Sym2{8632, 19616.7, 55964.5}.Scale(1. / 55), DOF: 55},
	}
	total := TotalCov(lines)
	// T² of the difference of means with unequal covariances.
	near(t, "T2", total.Mahalanobis2(Vec{204.4 - 130, 556.6 - 355}), 15.6585, 5e-4)
	near(t, "dof", EffectiveDOF(lines), 77.59, 0.01)
	// The critical T² at 5 % is the square of the coverage factor; 6.31 recomputed
	// with independent code.
	near(t, "critical T2", sq(CoverageFactor(77.59)), 6.31, 0.01)
}

func TestEffectiveDOFDoesNotDependOnTheAxes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var lines, turned []BudgetLine
		a := rapid.Float64Range(-3, 3).Draw(t, "turn")
		for range rapid.IntRange(1, 5).Draw(t, "lines") {
			_, cov := drawReading(t)
			if rapid.Bool().Draw(t, "rank one") {
				cov = Vec{math.Sqrt(cov.XX), 0.001}.Outer()
			}
			l := BudgetLine{Cov: cov, DOF: rapid.Float64Range(2, 50).Draw(t, "dof")}
			lines = append(lines, l)
			l.Cov = l.Cov.Rotate(a).Scale(1e6) // and not on the unit
			turned = append(turned, l)
		}
		x, y := EffectiveDOF(lines), EffectiveDOF(turned)
		if math.Abs(x-y) > 1e-5*x {
			t.Fatalf("dof %.8g, turned %.8g", x, y)
		}
		least := math.Inf(1)
		for _, l := range lines {
			least = math.Min(least, l.DOF)
		}
		if x < least*(1-1e-6) {
			t.Fatalf("dof %.6g is less than the smallest line's %.6g", x, least)
		}
	})
}

func TestBudgetTableAddsUpLargestFirst(t *testing.T) {
	lines := []BudgetLine{
		{Source: "point noise", Distribution: "normal", U: 0.1, Unit: "px", Cov: Sym2{1e-6, 0, 1e-6}, DOF: 300},
		{Source: "view direction", Distribution: "normal", U: 0.5, Unit: "deg", Cov: Vec{0.002, -0.001}.Outer()},
	}
	got := TableOf(lines, Vec{0, 0.05})
	if got.Rows[0].Source != "view direction" {
		t.Fatalf("first row %q, want the larger share first", got.Rows[0].Source)
	}
	near(t, "total X, um", got.XUm, math.Sqrt(5), 1e-9)
	near(t, "total Y, um", got.YUm, math.Sqrt(2), 1e-9)
	near(t, "along d (+Y), um", got.AlongUm, math.Sqrt(2), 1e-9)
	// 0.0001 in is 2.54 um exactly.
	near(t, "total X, 0.0001 in", got.XTenths, math.Sqrt(5)/2.54, 1e-9)
	near(t, "sensitivity X, mm/deg", got.Rows[0].SensitivityX, 0.004, 1e-12)
	near(t, "sensitivity Y, mm/deg", got.Rows[0].SensitivityY, -0.002, 1e-12)
	near(t, "shares", got.Rows[0].Share+got.Rows[1].Share, 1, 1e-12)
	near(t, "correlation", got.Correlation, -2/math.Sqrt(10), 1e-12)
}

func TestCorrectionsHaveTheSignsOfTheFlip(t *testing.T) {
	d := Vec{0.03, -0.02}
	for flip, want := range map[FlipAxis]Correction{
		FlipAboutY: {Setup2: Vec{-0.03, 0.02}, Setup1: Vec{-0.03, -0.02}},
		FlipAboutX: {Setup2: Vec{-0.03, 0.02}, Setup1: Vec{0.03, 0.02}},
		"":         {Setup2: Vec{-0.03, 0.02}, Setup1: Vec{-0.03, -0.02}},
	} {
		if got := Correct(d, flip); got != want {
			t.Errorf("Correct(%v, %q) = %v, want %v", d, flip, got, want)
		}
	}
	if c := Correct(Vec{}, FlipAboutY); math.Signbit(c.Setup2.X) || math.Signbit(c.Setup1.Y) {
		t.Error("a zero correction carries a minus sign")
	}
}

// A width in mm that is known in px is shown in the page's unit all the same.
func TestShownPutsEveryLengthIntoThePagesUnit(t *testing.T) {
	lines := []BudgetLine{
		{Source: SourceWidth, Value: "0.254 mm", U: 0.04, Unit: "px"},
		{Source: SourceBore, Value: "12.700 mm", U: 0.00254, Unit: "mm"},
		{Source: SourcePoints, Value: "300 points", U: 0.1, Unit: "px"},
	}
	for _, tt := range []struct {
		inch bool
		want []BudgetLine
	}{
		{false, lines},
		{true, []BudgetLine{
			{Source: SourceWidth, Value: "0.01000 in", U: 0.04, Unit: "px"},
			{Source: SourceBore, Value: "0.50000 in", U: 0.0001, Unit: "in"},
			{Source: SourcePoints, Value: "300 points", U: 0.1, Unit: "px"},
		}},
	} {
		for i, got := range Shown(lines, tt.inch) {
			want := tt.want[i]
			if got.Value != want.Value || got.Unit != want.Unit || math.Abs(got.U-want.U) > 1e-12 {
				t.Errorf("inch %v: %q, %g %s, want %q, %g %s", tt.inch, got.Value, got.U, got.Unit, want.Value, want.U, want.Unit)
			}
		}
	}
}
