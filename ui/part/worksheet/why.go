package worksheet

import (
	"fmt"
	"math"

	"evenrim/model"
	"evenrim/model/report"
	"evenrim/ui/state"
)

// Topic is a number on the page that can say where it comes from.
type Topic int

const (
	WhyX Topic = iota
	WhyY
	WhyTurn
	WhySize
	WhyChance
)

// Why says where a number comes from: what was read, the formula, and the formula
// with this part's numbers put in. Something must have been worked out.
func (s *Sheet) Why(t Topic) (title string, lines []string) {
	f, u := s.Report.Fit, s.Units
	n := fmt.Sprintf("Least squares over %s and %s, each weighted by its own uncertainty: shift s, rotation ω", counted(used(f), "hole"), counted(usedWalls(f), "wall"))
	if len(f.Walls) > 0 {
		n += " and size difference g"
	}
	n += " that leave the smallest rest."
	model1 := "A hole at r is off by s + (Rot(ω) − 1) r; to first order X: sX − ω·y, Y: sY + ω·x."
	model2 := "A wall that faces n steps by n·(s + (Rot(ω) − 1) r) + g."
	rest := fmt.Sprintf("What is left over: chi-squared %.1f with %d degrees of freedom, which chance exceeds with a probability of %s.", f.Chi2, f.DOF, report.Probability(f.PValue))
	if f.Scale > 1 {
		rest += fmt.Sprintf(" That is too much: every ± was enlarged %.1f times.", f.Scale)
	}
	corr := "The camera's own error is the same in all photos of one session and is not averaged away."
	switch t {
	case WhyX, WhyY:
		axis, k, sv := "X", 0, f.Shift.X
		if t == WhyY {
			axis, k, sv = "Y", 1, f.Shift.Y
		}
		title = "Shift in " + axis
		lines = []string{n, model1}
		for _, h := range f.Holes {
			if !h.HasPlace {
				continue
			}
			u95 := model.U95(h.Cov)
			d := u.Decimals(u95)
			read, fit, arm := h.Mismatch.X, h.Predicted.X, -h.At.Y
			if t == WhyY {
				read, fit, arm = h.Mismatch.Y, h.Predicted.Y, h.At.X
			}
			lines = append(lines, fmt.Sprintf("Hole %s: %s + (%.6f × %s) = %s; read %s ± %s%s", h.Hole, u.Signed(sv, d), f.RotationRad, u.Format(arm, 2), u.Signed(fit, d), u.Signed(read, d), u.FormatU(u95, d), out(h.LeftOut)))
		}
		d := u.Decimals(root(f.Cov[k][k]))
		lines = append(lines, rest, fmt.Sprintf("Standard uncertainty %s %s. %s", u.FormatU(root(f.Cov[k][k]), d), u, corr))
		if f.KnowsX && f.KnowsY {
			lines = append(lines, fmt.Sprintf("± %s %s is the longer half axis of the 95 %% region of X and Y together: 2.45 times its standard uncertainty.", u.FormatU(model.U95(f.ShiftCov()), d), u))
		}
	case WhyTurn:
		title = "Rotation"
		g := signedDegrees(f.RotationRad, model.Factor95*root(f.Cov[2][2]))
		lines = []string{n, model1,
			fmt.Sprintf("ω = %s° = %.6f rad: %s at a hole %s from part zero.", g.Number, f.RotationRad, u.Plain(round(math.Abs(f.RotationRad)*100)), u.Plain(100)),
			fmt.Sprintf("%s° is 1.96 standard uncertainties. A rotation this large comes by chance with a probability of %s.", g.PM, report.Probability(f.RotationP)), rest}
	case WhySize:
		title = "Size difference"
		lines = []string{n, model2, "g is the same on every wall: opposite walls both proud is size, one proud and one shy is mismatch. Half the sum of two opposite steps is size, half the difference mismatch."}
		for _, p := range f.Pairs {
			d := u.Decimals(model.Factor95 * p.UMM)
			lines = append(lines, fmt.Sprintf("%s and %s: mismatch %s, size %s, ± %s %s", capital(p.A), p.B, u.Signed(p.MismatchMM, d), u.Signed(p.SizeMM, d), u.FormatU(model.Factor95*p.UMM, d), u))
		}
		lines = append(lines, rest)
	case WhyChance:
		title = "Verdict"
		lines = []string{"Each hole is judged by its own reading, the part by its worst hole. The probability is the reading's two-dimensional normal distribution summed over the tolerance zone (JCGM 106); it conforms from 95 % on, does not up to 5 % (where the reading is sharp enough to say so), and is undecided between."}
		for _, h := range f.Holes {
			lines = append(lines, fmt.Sprintf("Hole %s: %s likely within %s: %s", h.Hole, model.Percent(h.PWithin), u.Plain(h.Job.ToleranceMM), h.Verdict))
		}
	}
	return title, lines
}

// WhyHole says where a hole's figures come from.
func (s *Sheet) WhyHole(i int) []string {
	f, u := s.fitHole(i), s.Units
	if f == nil {
		return nil
	}
	u95 := model.U95(f.Cov)
	d := u.Decimals(u95)
	var lines []string
	if b := f.Set; b != nil && b.Pictures() > 1 {
		lines = append(lines, fmt.Sprintf("%s with the part turned: what turns with it is its mismatch, what stays is the camera's own error, X %s Y %s %s, and is taken out.", b.CountWords(), u.Signed(b.CameraBias.X, d), u.Signed(b.CameraBias.Y, d), u))
	} else if len(f.Readings) > 0 {
		r := f.Readings[0]
		lines = append(lines, fmt.Sprintf("From %s: bore %s, chamfer %s wide. The fit of the rims gives X %s, Y %s.", r.Photo.Name, u.Plain(r.Job.BoreMM), u.Format(f.WidthMM, d)+" ± "+u.FormatU(model.Factor95*f.WidthUMM, d)+" "+u.String(), u.Signed(f.Mismatch.X, d), u.Signed(f.Mismatch.Y, d)))
		t := model.TableOf(r.Budget, r.Mismatch)
		for k, row := range t.Rows {
			if k == 4 || row.Share < 0.01 {
				break
			}
			value := fmt.Sprintf("X %.2f, Y %.2f µm", row.XUm, row.YUm)
			if u == state.Inch {
				value = fmt.Sprintf("X %.2f, Y %.2f × 0.0001 in", row.XTenths, row.YTenths)
			}
			lines = append(lines, fmt.Sprintf("%s: %s, %.0f %% of the whole", capital(string(row.Source)), value, 100*row.Share))
		}
	}
	lines = append(lines, fmt.Sprintf("The fit puts X %s, Y %s there. A hole that belongs is this far off or further with a probability of %s.", u.Signed(f.Predicted.X, d), u.Signed(f.Predicted.Y, d), report.Probability(f.PValue)))
	return lines
}

// WhyWall says where a wall's figures come from.
func (s *Sheet) WhyWall(i int) []string {
	f, u := s.fitWall(i), s.Units
	if f == nil {
		return nil
	}
	fine := func(mm float64) string { return u.FormatU(mm, u.Decimals(f.UMM)+1) }
	lines := []string{fmt.Sprintf("The mean of %s. Standard uncertainty from setting zero and reading the division %s, from repeating %s, from the indicator's gain %s: together %s %s.",
		counted(f.N, "reading"), fine(f.UDivisionMM), fine(f.URepeatMM), fine(f.UGainMM), fine(f.UMM), u)}
	if f.HasDrift {
		lines = append(lines, fmt.Sprintf("Along the wall it changes by %.1f ± %.1f µm in 100 mm; the rotation alone would give %.1f.", 1e5*f.DriftPerMM, 1e5*model.Factor95*f.UDriftPerMM, -1e5*s.Report.Fit.RotationRad))
	}
	return append(lines, fmt.Sprintf("A wall that belongs is this far off or further with a probability of %s.", report.Probability(f.PValue)))
}

func used(f *model.PartFit) (n int) {
	for _, h := range f.Holes {
		if !h.LeftOut {
			n++
		}
	}
	return n
}

func usedWalls(f *model.PartFit) (n int) {
	for _, w := range f.Walls {
		if !w.LeftOut {
			n++
		}
	}
	return n
}

func out(left bool) string {
	if left {
		return " (left out)"
	}
	return ""
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
