package words

import (
	"fmt"
	"math"

	"evenrim/model/chart"
	"evenrim/model/plan"
)

// Chamfer says which chamfer shows a mismatch of the tolerance.
func Chamfer(o plan.Sight, u chart.Unit) Answer {
	a := Answer{}
	tol := u.Plain(o.See.ToleranceMM)
	who := "your eye"
	if o.See.Eye.Person != "" {
		who = o.See.Eye.Person + "'s eye"
	}
	if o.Fits {
		a.Grade, a.Headline = Good, "Cut it this wide"
		a.Figure, a.Unit = span(o.LeastMM, o.MostMM, u), u.String()
		a.About = fmt.Sprintf("of chamfer, radial, on a %s bore: a mismatch of %s then shows to %s and to this camera.", u.Plain(o.See.BoreMM), tol, who)
	} else {
		a.Grade, a.Headline = Doubt, "No width serves both"
		a.About = fmt.Sprintf("A mismatch of %s shows to %s only on a chamfer up to %s, and this camera needs at least %s.", tol, who, dim(o.EyeMostMM, u, math.Floor), orNone(o.LeastMM, u))
	}
	a.Lines = append(a.Lines,
		fmt.Sprintf("By eye: up to %s wide (95 %%: %s to %s). The wider the chamfer, the less of it a mismatch is.", dim(o.EyeMostMM, u, math.Floor), dim(o.EyeMostLowMM, u, math.Floor), dim(o.EyeMostHighMM, u, math.Floor)))
	if math.IsInf(o.CameraLeastMM, 1) {
		a.Lines = append(a.Lines, "By this camera: at no width on this bore. Use a closer lens or more pixels.")
	} else {
		c := o.See.At(o.See.BoreMM, math.Min(math.Max(o.LeastMM, o.CameraLeastMM), o.See.BoreMM/2))
		a.Lines = append(a.Lines, fmt.Sprintf("By this camera: from %s; a photo from %s is then good to ± %s (95 %%, exit rim seen or part turned).", dim(o.CameraLeastMM, u, math.Ceil), away(math.Ceil(c.DistanceMM), u), small(c.CameraMM, u)))
	}
	a.Lines = append(a.Lines, "Wider than the tolerance in any case: a chamfer that a mismatch outgrows is gone on one side and no longer tells how much.")
	if o.See.Eye.Person == "" {
		a.Warnings = append(a.Warnings, fmt.Sprintf("No eye was tested: %.0f %% of the chamfer's width (%.0f to %.0f %%) is a start without a source. The Apprentice page measures yours.", 100*o.See.Eye.Share, 100*o.See.Eye.Low, 100*o.See.Eye.High))
	} else {
		a.Lines = append(a.Lines, "What an eye catches was measured on a screen: look at the part through a loupe that shows it as large.")
	}
	a.Tables = []Table{sightTable(o, u)}
	return a
}

// decimals of a chamfer's width.
func decimals(u chart.Unit) int {
	if u == chart.Inch {
		return 3
	}
	return 2
}

// span writes a range of widths to as many decimals as keep it one after rounding
// inwards.
func span(least, most float64, u chart.Unit) string {
	d := decimals(u)
	for extra := range 3 {
		k := math.Pow10(d + extra)
		if math.Floor(u.Of(most)*k+1e-6) > math.Ceil(u.Of(least)*k-1e-6) {
			return rounded(least, u, math.Ceil, d+extra) + " to " + rounded(most, u, math.Floor, d+extra)
		}
	}
	return u.Format((least+most)/2, d+2)
}

func width(mm float64, u chart.Unit, round func(float64) float64) string {
	return rounded(mm, u, round, decimals(u))
}

func rounded(mm float64, u chart.Unit, round func(float64) float64, d int) string {
	k := math.Pow10(d)
	v := u.Of(mm) * k
	// A width that is a whole step already stays what it is.
	if near := math.Round(v); math.Abs(v-near) < 1e-6 {
		v = near
	}
	return u.Format(u.MM(round(v)/k), d)
}

// dim is a width with its unit, rounded to the safe side.
func dim(mm float64, u chart.Unit, round func(float64) float64) string {
	return width(mm, u, round) + " " + u.String()
}

func orNone(mm float64, u chart.Unit) string {
	if math.IsInf(mm, 1) {
		return "more than there is"
	}
	return dim(mm, u, math.Ceil)
}

// Words of the table: what shows a mismatch of the tolerance.
const (
	wordBoth   = "both"
	wordEye    = "eye"
	wordCamera = "camera"
	wordGone   = "gone"
	wordNone   = "–"
)

func sightTable(o plan.Sight, u chart.Unit) Table {
	t := Table{Title: "Which chamfer, on which bore", Head: []string{"bore"},
		Note: "both: shows to eye and camera. eye, camera: to one only. gone: narrower than the tolerance, it can vanish on one side. –: neither."}
	for _, w := range o.Widths {
		t.Head = append(t.Head, trim(u, w))
	}
	for i, b := range o.Bores {
		row := []string{trim(u, b)}
		for _, c := range o.Table[i] {
			row = append(row, mark(c))
		}
		t.Rows = append(t.Rows, row)
	}
	t.Title += ", " + u.String()
	return t
}

func mark(c plan.Chamfer) string {
	eye, camera := c.ByEye != plan.No, c.ByCamera != plan.No
	switch {
	case c.Vanishes:
		return wordGone
	case c.WidthMM >= c.BoreMM/2:
		return wordNone
	case eye && camera:
		return wordBoth
	case eye:
		return wordEye
	case camera:
		return wordCamera
	}
	return wordNone
}

// trim writes a size without its unit.
func trim(u chart.Unit, mm float64) string {
	d := 2
	if u == chart.Inch {
		d = 3
	}
	s := u.Format(mm, d)
	for s[len(s)-1] == '0' {
		s = s[:len(s)-1]
	}
	if s[len(s)-1] == '.' {
		s = s[:len(s)-1]
	}
	return s
}
