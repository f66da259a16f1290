package report

import (
	"fmt"
	"math"
	"strings"

	"evenrim/model"
	"evenrim/model/chart"
)

// ShiftFigures are shift and rotation as figures.
func ShiftFigures(f *model.PartFit, u chart.Unit) string {
	u95 := shiftU95(f)
	dec := u.Decimals(u95)
	axis := func(name string, v float64, known bool) string {
		if !known {
			return name + " ?"
		}
		return name + " " + u.Signed(v, dec)
	}
	s := axis("X", f.Shift.X, f.KnowsX) + "   " + axis("Y", f.Shift.Y, f.KnowsY)
	if f.KnowsX && f.KnowsY {
		s += "   ± " + u.FormatU(u95, dec)
	}
	s += " " + u.String()
	if f.KnowsRotation {
		s += "   turn " + turnFigures(f)
	}
	return s
}

func turnFigures(f *model.PartFit) string {
	deg := func(rad float64) float64 { return rad * 180 / math.Pi }
	v := fmt.Sprintf("%+.3f", deg(f.RotationRad))
	if v[0] == '-' {
		v = "−" + v[1:]
	}
	return fmt.Sprintf("%s° ± %.3f°", v, math.Ceil(deg(rotationU95(f))*1000-1e-6)/1000)
}

// PartWords say what the part as a whole shows.
func PartWords(f *model.PartFit, u chart.Unit) string {
	u95 := shiftU95(f)
	var s string
	switch {
	case f.Disputed():
		s = "Photos and indicator contradict each other: neither shift nor rotation is given before that is cleared."
	case f.KnowsX && f.KnowsY && f.ShiftCov().Mahalanobis2(f.Shift) < 5.991464547: // chi-squared, 2 d.o.f., 95 %
		s = fmt.Sprintf("No shift of setup 2 as a whole can be told: it is below ± %s %s.", u.FormatU(u95, u.Decimals(u95)), u)
	case f.KnowsX && f.KnowsY:
		s = fmt.Sprintf("Setup 2 as a whole landed %s of setup 1.", Displacement(f.Shift, u95, u))
	case f.KnowsX || f.KnowsY:
		s = "The shift is known along one axis only."
	default:
		s = "The shift cannot be told from these readings."
	}
	switch {
	case f.Disputed():
	case !f.KnowsRotation:
		s += " A rotation cannot be told from these readings and is taken as none."
	case f.RotationP > 0.05:
		s += " A rotation cannot be told from none."
	default:
		way := "counter-clockwise"
		if f.RotationRad < 0 {
			way = "clockwise"
		}
		s += fmt.Sprintf(" It is turned %s as seen from above: %s.", way, slopeWords(math.Abs(f.RotationRad), u))
	}
	if f.DOF > 0 && !f.Disputed() {
		if f.PValue < 0.01 {
			s += fmt.Sprintf(" The readings do not fit one rigid part: they depart %.1f times as far as they state.", f.Scale)
		} else {
			s += " The readings fit one rigid part."
		}
	}
	if len(f.Holes) > 0 {
		s += " Each hole is judged by its own reading, the part by its worst hole."
	}
	return s
}

// slopeWords say a small rotation as an indicator along a wall shows it.
func slopeWords(rad float64, u chart.Unit) string {
	if u == chart.Inch {
		return fmt.Sprintf("%.4f\u00a0in over 4\u00a0in", 4*rad)
	}
	return fmt.Sprintf("%.3f\u00a0mm over 100\u00a0mm", 100*rad)
}

// PartCorrectionWords say what to change on the machine, one way a line.
func PartCorrectionWords(f *model.PartFit, flip model.FlipAxis, u chart.Unit) []string {
	u95 := shiftU95(f)
	shifted := f.KnowsX && f.KnowsY && f.ShiftCov().Mahalanobis2(f.Shift) >= 5.991464547
	turned := f.KnowsRotation && f.RotationP <= 0.05
	if why := f.NoCorrection(); why != "" {
		return []string{"None. " + why}
	}
	if !shifted && !turned {
		return []string{"None: neither shift nor rotation can be told from zero, and a correction now would chase chance."}
	}
	dec := u.Decimals(u95)
	move := func(v model.Vec) string {
		return fmt.Sprintf("X\u00a0%s, Y\u00a0%s\u00a0%s", u.Signed(v.X, dec), u.Signed(v.Y, dec), u)
	}
	c := model.Correct(f.Shift, flip)
	var lines []string
	if shifted {
		lines = append(lines, "Setup 2: add "+move(c.Setup2)+" to its work offset, taken at part zero.")
	}
	if turned {
		deg := f.RotationRad * 180 / math.Pi
		lines = append(lines, fmt.Sprintf("Turn the part by %s° in the vise (counter-clockwise from above is +), or the coordinate system by %s°, about part zero.", signed3(deg), signed3(-deg)))
	} else {
		over := "end for end, about Y"
		if flip == model.FlipAboutX {
			over = "about X"
		}
		lines = append(lines, "Or setup 1 (part turned "+over+"): add "+move(c.Setup1)+" to its own. One of the two, not both.")
	}
	return append(lines, fmt.Sprintf("Good to ± %s %s (95 %%). Work offset means the machine position of part zero.", u.FormatU(u95, dec), u))
}

func signed3(v float64) string {
	s := fmt.Sprintf("%+.3f", v)
	if s[0] == '-' {
		s = "−" + s[1:]
	}
	return s
}

// AdviceWords are a part's corrections as sentences, minus signs true.
func AdviceWords(a model.Advice) []string {
	sign := func(s string) string { return strings.ReplaceAll(s, " -", " −") }
	var out []string
	if a.Empty() {
		out = append(out, "None.")
	}
	for _, m := range a.Setup2 {
		out = append(out, sign(m.Words))
	}
	for i, m := range a.Setup1 {
		words := sign(m.Words)
		if i == 0 {
			words = "Or instead: " + words
		}
		out = append(out, words)
	}
	for _, s := range a.LeftAlone {
		out = append(out, sign(s))
	}
	return out
}

// CauseWords say the two likeliest causes with what speaks for them, and what would confirm each.
func CauseWords(causes []model.Cause) []string {
	var out []string
	for _, c := range causes[:min(len(causes), 2)] {
		tied := ""
		if c.Tied {
			tied = " (tied)"
		}
		out = append(out, fmt.Sprintf("%d%s: %s. %s To be sure: %s", c.Rank, tied, c.Title, strings.Join(c.Evidence, " "), c.Check))
	}
	return out
}
