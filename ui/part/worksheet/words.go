package worksheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenrim/model"
	"evenrim/model/report"
)

// Figure is a number with its sign and 95 % uncertainty; Number is "" where it
// can't be told.
type Figure struct{ Number, PM, Unit string }

// Uncertainty is the ± with its unit.
func (f Figure) Uncertainty() string {
	if f.Unit == "°" {
		return f.PM + f.Unit
	}
	return f.PM + " " + f.Unit
}

// Known says that there is a number.
func (f Figure) Known() bool { return f.Number != "" }

// Answer is what the page says of the whole part.
type Answer struct {
	Verdict           model.Verdict // "" = walls only
	Headline, Chance  string
	X, Y, Turn, Size  Figure
	Summary           string
	Setup2, Setup1    []string // two ways to correct; one of them
	LeftAlone, Left   string   // what isn't corrected; what remains after
	Cautions          []string
	Causes            []Cause
	CannotTell, Next  []string
	Warnings          []string
	Agreement         string // of photos and indicator; "" = nothing to compare
	PairWords         []string
	HasShift, HasTurn bool // to correct
}

// Cause is a likely cause in words.
type Cause struct{ Rank, Title, Evidence, Against, Check string }

func (s *Sheet) figure(mm, u95 float64, known bool) Figure {
	if !known {
		return Figure{}
	}
	d := s.Units.Decimals(u95)
	return Figure{s.Units.Signed(mm, d), "± " + s.Units.FormatU(u95, d), s.Units.String()}
}

func root(v float64) float64 { return math.Sqrt(math.Max(v, 0)) }

func degrees(rad float64) float64 { return rad * 180 / math.Pi }

// signedDegrees writes an angle to the decimals that its uncertainty deserves.
func signedDegrees(rad, u95 float64) Figure {
	v, u := degrees(rad), degrees(u95)
	d := 3
	if u > 0 {
		d = min(max(1-int(math.Floor(math.Log10(u))), 2), 4)
	}
	number := fmt.Sprintf("%+.*f", d, v)
	k := math.Pow10(d)
	return Figure{strings.Replace(number, "-", "−", 1), fmt.Sprintf("± %.*f", d, math.Ceil(u*k-1e-6)/k), "°"}
}

// Answer words what was worked out; it must be there.
func (s *Sheet) Answer() Answer {
	r, u := s.Report, s.Units
	f := r.Fit
	a := Answer{Verdict: f.Verdict, Headline: report.Headline(f.Verdict), Chance: "Least sure hole: " + model.Percent(f.PWithin) + " likely within its tolerance"}
	if len(f.Holes) == 0 {
		a.Verdict, a.Headline, a.Chance = "", "Walls only", "Without a photo of a hole there is no verdict"
	}
	both := f.KnowsX && f.KnowsY
	ux, uy := model.Factor95*root(f.Cov[0][0]), model.Factor95*root(f.Cov[1][1])
	if both {
		ux = model.U95(f.ShiftCov())
		uy = ux
	}
	a.X, a.Y = s.figure(f.Shift.X, ux, f.KnowsX), s.figure(f.Shift.Y, uy, f.KnowsY)
	if f.KnowsRotation {
		a.Turn = signedDegrees(f.RotationRad, model.Factor95*root(f.Cov[2][2]))
	}
	if len(f.Walls) > 0 {
		a.Size = s.figure(f.SizeMM, model.Factor95*root(f.Cov[3][3]), f.KnowsSize)
	}
	a.Summary = report.PartWords(f, u)
	for _, m := range r.Advice.Setup2 {
		a.Setup2 = append(a.Setup2, moveWords(m.Words))
		a.HasShift, a.HasTurn = a.HasShift || m.Axis != model.AxisTurn, a.HasTurn || m.Axis == model.AxisTurn
	}
	for _, m := range r.Advice.Setup1 {
		a.Setup1 = append(a.Setup1, moveWords(m.Words))
	}
	a.LeftAlone = strings.Join(r.Advice.LeftAlone, " ")
	if !r.Advice.Empty() && !math.IsNaN(r.Advice.RemainingU95MM) {
		d := u.Decimals(r.Advice.RemainingU95MM)
		a.Left = fmt.Sprintf("Left after that: X %s, Y %s ± %s %s", u.Signed(r.Advice.Remaining.X, d), u.Signed(r.Advice.Remaining.Y, d), u.FormatU(r.Advice.RemainingU95MM, d), u)
		if r.Advice.RemainingHole != "" {
			a.Left += " at hole " + r.Advice.RemainingHole
		}
		if !math.IsNaN(r.Advice.RemainingP) {
			a.Left += "; the least sure hole is then within its tolerance with a probability of " + model.Percent(r.Advice.RemainingP)
		}
		a.Left += "."
	}
	if a.Cautions = r.Advice.Cautions; len(a.Cautions) > 0 {
		a.Cautions = append(slices.Clone(a.Cautions), report.Caution)
	}
	for _, c := range r.Causes {
		rank := fmt.Sprint(c.Rank)
		if c.Tied {
			rank += ", tied"
		}
		a.Causes = append(a.Causes, Cause{rank, c.Title, strings.Join(c.Evidence, " "), strings.Join(c.Against, " "), c.Check})
	}
	a.CannotTell = r.CannotTell
	for _, n := range r.Next {
		a.Next = append(a.Next, n.Words())
	}
	a.Warnings = append(append([]string(nil), f.Warnings...), r.Warnings...)
	for _, p := range f.Pairs {
		a.PairWords = append(a.PairWords, fmt.Sprintf("%s and %s: %s.", capital(p.A), p.B, p.Says))
	}
	a.Agreement = agreement(f.Compare)
	return a
}

// moveWords writes a move with true minus signs.
func moveWords(s string) string { return strings.ReplaceAll(s, " -", " −") }

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func agreement(c *model.Comparison) string {
	if c == nil {
		return ""
	}
	var parts []string
	for _, v := range []struct {
		name string
		en   float64
	}{{"X", c.EnX}, {"Y", c.EnY}, {"rotation", c.EnRotation}, {"together", c.EnTogether}} {
		if !math.IsNaN(v.en) {
			parts = append(parts, fmt.Sprintf("%s %.2f", v.name, math.Abs(v.en)))
		}
	}
	switch {
	case !c.Compares:
		return "These walls tell nothing that the photos tell, too."
	case c.Agree:
		return "Photos and indicator agree: " + strings.Join(parts, ", ") + ", where 1 is as far apart as their uncertainties allow (E_n)."
	}
	return "Photos and indicator disagree: " + strings.Join(parts, ", ") + ", where 1 is as far apart as their uncertainties allow (E_n)."
}

// Row is a hole or a wall as a line of the page.
type Row struct {
	Kind      Kind
	At        int
	Name      string
	Place     string
	Verdict   model.Verdict // "" = none
	Stage     Stage         // of its first photo that isn't done
	Figures   string        // what was read, with ±
	Against   string        // the fit
	Words     string        // what else there is to say
	Odd       bool          // it does not fit
	HasResult bool
}

// fitHole finds the chosen hole in the fit, nil when nothing is read of it.
func (s *Sheet) fitHole(i int) *model.HoleFit {
	if s.Report == nil {
		return nil
	}
	name := s.holeName(i)
	for k := range s.Report.Fit.Holes {
		if s.Report.Fit.Holes[k].Hole == name {
			return &s.Report.Fit.Holes[k]
		}
	}
	return nil
}

func (s *Sheet) fitWall(i int) *model.WallFit {
	if s.Report == nil {
		return nil
	}
	k := 0
	for j := range i {
		if len(s.Walls[j].Wall.StepMM) > 0 {
			k++
		}
	}
	if len(s.Walls[i].Wall.StepMM) == 0 || k >= len(s.Report.Fit.Walls) {
		return nil
	}
	return &s.Report.Fit.Walls[k]
}

// HoleRows are the holes as lines.
func (s *Sheet) HoleRows() []Row {
	u := s.Units
	var out []Row
	for i, h := range s.Holes {
		r := Row{Kind: AHole, At: i, Name: s.holeName(i), Place: "place not given", Stage: Done}
		if h.Placed {
			r.Place = fmt.Sprintf("at %s, %s", u.Format(h.At.X, 2), u.Format(h.At.Y, 2))
		}
		for _, p := range h.Photos {
			if p.Stage != Done {
				r.Stage = p.Stage
				r.Words = stageWords(p)
			}
		}
		if len(h.Photos) == 0 {
			r.Words = "No photo yet: tap to add one, or a reading from the record."
		}
		if f := s.fitHole(i); f != nil {
			r.HasResult, r.Verdict = true, f.Verdict
			u95 := model.U95(f.Cov)
			d := u.Decimals(u95)
			r.Figures = fmt.Sprintf("X %s  Y %s  ± %s %s", u.Signed(f.Mismatch.X, d), u.Signed(f.Mismatch.Y, d), u.FormatU(u95, d), u)
			r.Against = fmt.Sprintf("off the fit %s, %s", u.Signed(f.Residual.X, d), u.Signed(f.Residual.Y, d))
			switch {
			case f.LeftOut:
				r.Odd, r.Words = true, "Does not fit the others: left out of shift and rotation."
			case f.Misfit:
				r.Odd, r.Words = true, "Does not fit the others; with so few it still counts."
			case f.Set != nil && r.Words == "":
				r.Words = f.Set.CountWords() + " of the part turned, " + f.Set.GainWords()
			}
		}
		if shared := s.sharedWords(h); shared != "" { // it may well be why the hole doesn't fit
			r.Odd, r.Words = true, strings.TrimSpace(shared+" "+r.Words)
		}
		out = append(out, r)
	}
	return out
}

func stageWords(p *Photo) string {
	switch p.Stage {
	case Waiting:
		return "Waiting to be read"
	case Reading:
		return "Being read"
	case Stopped:
		return p.Name() + ": stopped. Look again, above."
	case NoReading:
		return p.Name() + ": " + p.Problem
	}
	return ""
}

// WallRows are the walls as lines.
func (s *Sheet) WallRows() []Row {
	u := s.Units
	var out []Row
	for i, w := range s.Walls {
		r := Row{Kind: AWall, At: i, Name: w.Wall.Name, Place: fmt.Sprintf("faces %s°", angleText(w.Wall.NormalRad)), Stage: Done}
		if r.Name == "" {
			r.Name = fmt.Sprintf("wall %d", i+1)
		}
		f := s.fitWall(i)
		if f == nil {
			if len(w.Wall.StepMM) == 0 {
				r.Words = "No reading yet: tap and type what the indicator shows."
			}
			out = append(out, r)
			continue
		}
		d := u.Decimals(model.Factor95 * f.UMM)
		r.HasResult = true
		r.Figures = fmt.Sprintf("step %s  ± %s %s", u.Signed(f.MeanMM, d), u.FormatU(model.Factor95*f.UMM, d), u)
		r.Against = fmt.Sprintf("the fit has %s, off by %s", u.Signed(f.PredictedMM, d), u.Signed(f.ResidualMM, d))
		var words []string
		if f.LeftOut {
			r.Odd = true
			words = append(words, "Does not fit the rest: left out.")
		} else if f.Misfit {
			r.Odd = true
			words = append(words, "Does not fit the rest.")
		}
		if w.Seam != nil && w.Seam.Burr() {
			words = append(words, fmt.Sprintf("A burr stands %s above the step at the seam.", u.Plain(round(w.Seam.BurrMM))))
		}
		if f.N > 1 {
			words = append(words, fmt.Sprintf("%d readings", f.N))
		}
		if f.DriftIsReal() {
			words = append(words, "it changes along the wall, as on a turned part")
		}
		r.Words = strings.Join(words, ", ")
		out = append(out, r)
	}
	return out
}

func round(mm float64) float64 { return math.Round(mm*1e4) / 1e4 }

// Progress says how many photos are read.
func (s *Sheet) Progress() (done, all int) {
	for _, p := range s.Photos() {
		all++
		if p.Stage != Waiting && p.Stage != Reading {
			done++
		}
	}
	return done, all
}
