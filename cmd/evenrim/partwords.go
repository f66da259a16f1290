package main

import (
	"fmt"
	"math"
	"strings"

	"evenrim/model"
	"evenrim/model/chart"
)

// partInWords is a part as lines to read in a terminal.
func partInWords(p model.PartReport) []byte {
	f, u := p.Fit, chart.UnitOf(p.Job.ShowInch)
	var b strings.Builder
	line := func(format string, a ...any) { fmt.Fprintf(&b, "  "+format+"\n", a...) }
	name := f.Part
	if name == "" {
		name = "Part without a name"
	}
	fmt.Fprintf(&b, "%s\n", name)
	if f.KnowsX && f.KnowsY {
		u95 := model.U95(f.ShiftCov())
		d := u.Decimals(u95)
		line("Shift X %s   Y %s   +/- %s %s (95 %%)", u.Signed(f.Shift.X, d), u.Signed(f.Shift.Y, d), u.FormatU(u95, d), u)
	} else {
		for i, axis := range []struct {
			name  string
			mm    float64
			known bool
		}{{"X", f.Shift.X, f.KnowsX}, {"Y", f.Shift.Y, f.KnowsY}} {
			if axis.known {
				u95 := model.Factor95 * math.Sqrt(f.Cov[i][i])
				d := u.Decimals(u95)
				line("Shift %s %s +/- %s %s (95 %%)", axis.name, u.Signed(axis.mm, d), u.FormatU(u95, d), u)
			}
		}
	}
	if f.KnowsRotation {
		line("Rotation %+.4f +/- %.4f degrees (95 %%), by chance with probability %s", degreesOf(f.RotationRad), model.Factor95*degreesOf(math.Sqrt(f.Cov[2][2])), model.Percent(f.RotationP))
	}
	if f.KnowsSize {
		u95 := model.Factor95 * math.Sqrt(f.Cov[3][3])
		d := u.Decimals(u95)
		line("Size difference %s +/- %s %s (95 %%)", u.Signed(f.SizeMM, d), u.FormatU(u95, d), u)
	}
	if f.DOF > 0 {
		line("Fit: chi-squared %.1f with %d degrees of freedom, probability %s", f.Chi2, f.DOF, model.Percent(f.PValue))
	}
	if len(f.Holes) > 0 {
		verdict := strings.ToUpper(string(f.Verdict[:1])) + string(f.Verdict[1:])
		line("%s: the least sure hole is within its tolerance with probability %s.", verdict, model.Percent(f.PWithin))
	}
	for _, h := range f.Holes {
		line("%s", holeInWords(h, u))
	}
	for _, w := range f.Walls {
		d := u.Decimals(2 * w.UMM)
		odd := ""
		switch {
		case w.LeftOut:
			odd = "; left out"
		case w.Misfit:
			odd = "; does not fit"
		}
		line("Wall %s: step %s +/- %s %s (95 %%), %s from the fit%s", w.Wall, u.Signed(w.MeanMM, d), u.FormatU(model.Factor95*w.UMM, d), u, u.Signed(w.ResidualMM, d), odd)
	}
	for _, w := range f.Pairs {
		line("Walls %s and %s: %s.", w.A, w.B, w.Says)
	}
	if c := f.Compare; c != nil {
		line("Photos against indicator: %s", enInWords(c))
	}
	adviceInWords(line, p.Advice, u)
	for _, n := range p.Next {
		line("Would decide: %s", n.Words())
	}
	causesInWords(line, p.Causes)
	for _, c := range p.CannotTell {
		line("%s", c)
	}
	if s := p.Simulation; s != nil && !f.Disputed() {
		d := u.Decimals(s.ShiftU95MM)
		line("By simulation (%d trials): shift +/- %s %s, rotation +/- %.4f degrees (95 %%)", s.Trials, u.FormatU(s.ShiftU95MM, d), u, model.Factor95*degreesOf(s.URotation))
	}
	for _, w := range append(append([]string(nil), f.Warnings...), p.Warnings...) {
		line("Caution: %s", w)
	}
	return []byte(plainASCII(b.String()))
}

func holeInWords(h model.HoleFit, u chart.Unit) string {
	u95 := model.U95(h.Cov)
	d := u.Decimals(u95)
	name := h.Hole
	if name == "" {
		name = "(no name)"
	}
	s := fmt.Sprintf("Hole %s: X %s Y %s +/- %s %s, %s", name, u.Signed(h.Mismatch.X, d), u.Signed(h.Mismatch.Y, d), u.FormatU(u95, d), u, h.Verdict)
	s += fmt.Sprintf("; off the fit by %s, %s", u.Signed(h.Residual.X, d), u.Signed(h.Residual.Y, d))
	switch {
	case h.LeftOut:
		s += "; left out"
	case h.Misfit:
		s += "; does not fit"
	}
	if h.Set != nil {
		s += fmt.Sprintf("; %s joined, %s", h.Set.CountWords(), h.Set.GainWords())
	}
	return s
}

func enInWords(c *model.Comparison) string {
	var s []string
	for _, v := range []struct {
		name string
		en   float64
	}{{"X", c.EnX}, {"Y", c.EnY}, {"rotation", c.EnRotation}, {"together", c.EnTogether}} {
		if !math.IsNaN(v.en) {
			s = append(s, fmt.Sprintf("%s %.2f", v.name, v.en))
		}
	}
	switch {
	case !c.Compares:
		return "these walls tell nothing that the photos tell, too."
	case c.Agree:
		return "they agree, E_n " + strings.Join(s, ", ") + " (1 is as far apart as their uncertainties allow)."
	}
	return "they disagree, E_n " + strings.Join(s, ", ") + " (1 is as far apart as their uncertainties allow)."
}

func adviceInWords(line func(string, ...any), a model.Advice, u chart.Unit) {
	if a.Empty() {
		line("No correction.")
	}
	for i, m := range a.Setup2 {
		if i == 0 {
			line("To correct:")
		}
		line("  %s", m.Words)
	}
	for i, m := range a.Setup1 {
		if i == 0 {
			line("or instead:")
		}
		line("  %s", m.Words)
	}
	for _, s := range a.LeftAlone {
		line("%s", s)
	}
	if !a.Empty() && !math.IsNaN(a.RemainingU95MM) {
		d := u.Decimals(a.RemainingU95MM)
		line("Left after that: X %s Y %s +/- %s %s", u.Signed(a.Remaining.X, d), u.Signed(a.Remaining.Y, d), u.FormatU(a.RemainingU95MM, d), u)
	}
	for _, c := range a.Cautions {
		line("Mind: %s", c)
	}
}

func degreesOf(rad float64) float64 { return rad * 180 / math.Pi }

func causesInWords(line func(format string, a ...any), causes []model.Cause) {
	for _, c := range causes {
		tied := ""
		if c.Tied {
			tied = " (tied)"
		}
		line("Likely cause %d%s: %s. %s", c.Rank, tied, c.Title, strings.Join(c.Evidence, " "))
		if len(c.Against) > 0 {
			line("  Against it: %s", strings.Join(c.Against, " "))
		}
		line("  To check: %s", c.Check)
	}
}
