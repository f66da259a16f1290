package model

import (
	"math"
	"sort"
	"strconv"
	"strings"
)

// TotalCov adds the contributions of a budget's lines, mm². The lines are
// independent of each other; what is correlated belongs on one line.
func TotalCov(lines []BudgetLine) Sym2 {
	var sum Sym2
	for _, l := range lines {
		sum = sum.Add(l.Cov)
	}
	return sum
}

// Shown are the lines as a page in mm, or in inches, shows them: what the inputs
// were taken as and known to in its unit, angles in degrees. The contributions to the mismatch
// stay, and so does what is known in px.
func Shown(lines []BudgetLine, inch bool) []BudgetLine {
	out := make([]BudgetLine, len(lines))
	for i, l := range lines {
		if inch {
			l.Value = inInches(l.Value)
		}
		switch {
		case l.Unit == "rad":
			l.U, l.Unit = l.U*180/math.Pi, "deg"
		case l.Unit == "mm" && inch:
			l.U, l.Unit = l.U/MMPerInch, "in"
		}
		out[i] = l
	}
	return out
}

// inInches rewrites "12.70 mm" to the same fineness; other words stay.
func inInches(value string) string {
	number, ok := strings.CutSuffix(value, " mm")
	mm, err := strconv.ParseFloat(number, 64)
	if !ok || err != nil {
		return value
	}
	decimals := 2 // a hundredth of an inch is a quarter of a mm
	if _, fine, has := strings.Cut(number, "."); has {
		decimals += len(fine)
	}
	return strconv.FormatFloat(mm/MMPerInch, 'f', min(decimals, 5), 64) + " in"
}

// EffectiveDOF returns the effective degrees of freedom of a budget's total: 0
// when it is infinite, that is when no line with finite degrees of freedom
// contributes.
//
// In one dimension it is the Welch-Satterthwaite formula (JCGM 100 G.4). In the
// plane it is the generalisation of Nel & van der Merwe (1986) in the invariant
// form of Krishnamoorthy & Yu (2004; both from memory): with V the sum of the
// contributions Vi and Ai = Vi V⁻¹,
//
//	dof = (p² + p) / Σ (tr Ai² + (tr Ai)²)/dofi
//
// where p is the rank, so that the answer depends neither on the axes nor on the
// unit. Where the total varies along one line only, p is 1.
func EffectiveDOF(lines []BudgetLine) float64 {
	total := TotalCov(lines)
	major, minor, angle := total.Eigen()
	if !(major > 0) {
		return 0
	}
	p := 2.0
	if minor < 1e-12*major {
		p = 1
	}
	sum := 0.0
	for _, l := range lines {
		if l.DOF <= 0 || math.IsInf(l.DOF, 1) {
			continue
		}
		// In the axes in which the total is a unit matrix.
		a := l.Cov.Rotate(-angle)
		w := Sym2{XX: a.XX / major}
		if p == 2 {
			w.XY, w.YY = a.XY/math.Sqrt(major*minor), a.YY/minor
		}
		tr := w.XX + w.YY
		sum += (w.XX*w.XX + 2*w.XY*w.XY + w.YY*w.YY + tr*tr) / l.DOF
	}
	if sum == 0 {
		return 0
	}
	return (p*p + p) / sum
}

// BudgetRow is a line of the budget as printed.
type BudgetRow struct {
	Source, Value, Distribution, Unit, Why string
	U                                      float64 // of the input, in Unit
	// SensitivityX and Y are mm of mismatch per Unit of the input. Their common
	// sign is not known; where the input acts in many directions at once (point
	// noise) they are the root mean squares along the axes.
	SensitivityX, SensitivityY float64
	XUm, YUm, AlongUm          float64 // standard contribution along X, Y and the mismatch, um
	XTenths, YTenths           float64 // the same in 0.0001 in
	DOF                        float64 // 0 = infinite
	Share                      float64 // of the total variance, X and Y together
}

// BudgetTable is the whole budget of a mismatch as printed: rows by falling
// share, then the totals.
type BudgetTable struct {
	Rows              []BudgetRow
	XUm, YUm, AlongUm float64 // standard uncertainty of dx, dy and |d|, um
	XTenths, YTenths  float64 // 0.0001 in
	Correlation       float64 // of dx and dy
	DOF               float64 // effective; 0 = infinite
	Factor            float64 // CoverageFactor(DOF)
	U95Um, U95Tenths  float64 // larger half axis of the 95 % region
}

const (
	umPerMM     = 1000.0
	tenthsPerMM = 1 / 0.00254 // 0.0001 in = 2.54 um
)

// TableOf lays out the lines of the budget of a mismatch d, mm.
func TableOf(lines []BudgetLine, d Vec) BudgetTable {
	total := TotalCov(lines)
	t := BudgetTable{
		XUm: umPerMM * sqrt0(total.XX), YUm: umPerMM * sqrt0(total.YY), AlongUm: umPerMM * MagnitudeOf(d, total).U,
		XTenths: tenthsPerMM * sqrt0(total.XX), YTenths: tenthsPerMM * sqrt0(total.YY),
		DOF: EffectiveDOF(lines),
	}
	if p := total.XX * total.YY; p > 0 {
		t.Correlation = total.XY / math.Sqrt(p)
	}
	t.Factor = CoverageFactor(t.DOF)
	u95 := U95DOF(total, t.DOF)
	t.U95Um, t.U95Tenths = umPerMM*u95, tenthsPerMM*u95
	along := Vec{1, 0}
	if n := d.Norm(); n > 0 {
		along = d.Scale(1 / n)
	}
	for _, l := range lines {
		c := l.Cov
		r := BudgetRow{
			Source: l.Source, Value: l.Value, Distribution: l.Distribution, Unit: l.Unit, Why: l.Why, U: l.U, DOF: l.DOF,
			XUm: umPerMM * sqrt0(c.XX), YUm: umPerMM * sqrt0(c.YY),
			AlongUm: umPerMM * sqrt0(along.X*along.X*c.XX+2*along.X*along.Y*c.XY+along.Y*along.Y*c.YY),
			XTenths: tenthsPerMM * sqrt0(c.XX), YTenths: tenthsPerMM * sqrt0(c.YY),
		}
		if l.U > 0 {
			r.SensitivityX, r.SensitivityY = sqrt0(c.XX)/l.U, math.Copysign(sqrt0(c.YY), c.XY)/l.U
		}
		if tr := total.XX + total.YY; tr > 0 {
			r.Share = (c.XX + c.YY) / tr
		}
		t.Rows = append(t.Rows, r)
	}
	sort.SliceStable(t.Rows, func(i, j int) bool { return t.Rows[i].Share > t.Rows[j].Share })
	return t
}

func sqrt0(x float64) float64 { return math.Sqrt(math.Max(0, x)) }
