package words

import (
	"fmt"
	"math"
	"strconv"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/plan"
)

// Share of parts at which a flip is said to hold, and below which it doesn't
// (common practice, no source).
const holds, fails = 0.95, 0.80

// Flip says whether a flip holds the tolerance, and what the carrier would change.
func Flip(s plan.SideBySide, u chart.Unit) Answer {
	o := s.Vise.Outlook
	a := Answer{Figure: model.Percent(o.All), Cautions: Cautions}
	switch {
	case o.All >= holds:
		a.Grade, a.Headline = Good, "It holds"
	case o.All >= fails:
		a.Grade, a.Headline = Doubt, "It is close"
	default:
		a.Grade, a.Headline = Bad, "It does not hold"
	}
	a.About = fmt.Sprintf("of parts within %s at every hole and wall; known to ± %s %% from %d parts cut by simulation, if the inputs are right.",
		u.Plain(o.Flip.ToleranceMM), strconv.FormatFloat(100*model.Factor95*o.AllU, 'f', 1, 64), o.Parts)
	if len(o.Features) == 0 {
		return a
	}
	worst := o.Features[o.Worst]
	a.Lines = append(a.Lines, fmt.Sprintf("Worst at %s: 95 %% of parts stay below %s there.", place(worst), small(worst.Mid95MM, u)))
	for i, c := range o.Sources {
		if i == 3 || c.Share < 0.005 { // none, as it would be written
			break
		}
		a.Lines = append(a.Lines, fmt.Sprintf("%d. %s makes %.0f %% of it. Halve it: the share within at %s goes from %s to %s, 95 %% below %s.",
			i+1, c.Source, 100*c.Share, place(worst), model.Percent(worst.Within), model.Percent(c.HalvedWithin), small(c.HalvedMid95MM, u)))
	}
	if len(o.Sources) == 0 {
		a.Lines = append(a.Lines, "No error was entered, so none is expected: no machine is like that.")
	}
	a.Tables = append(a.Tables, features(o, u), carrier(s, u))
	return a
}

// place is what the table calls a feature, and everything else too.
func place(f plan.FeatureOutlook) string {
	if f.Wall {
		return "wall " + f.Name
	}
	return f.Name
}

// small writes a length of an error to a tenth of what matters.
func small(mm float64, u chart.Unit) string { return bare(mm, u) + " " + u.String() }

// bare is the same without its unit.
func bare(mm float64, u chart.Unit) string { return u.FormatU(math.Max(mm, 1e-9), u.Decimals(mm)) }

func features(o plan.Outlook, u chart.Unit) Table {
	t := Table{Title: "Expected mismatch, " + u.String(), Head: []string{"place", "X, Y or step", "± 95 %", "95 % below", "within", "within, simulated"},
		Note: "Closed form beside parts cut by simulation. Signs: setup 2 against setup 1 in setup 2's axes; a step is + where setup 2's half stands proud."}
	for _, f := range o.Features {
		if f.Wall {
			mean, sd := f.StepMM()
			d := u.Decimals(model.Factor95 * sd)
			t.Rows = append(t.Rows, []string{place(f), u.Signed(mean, d), u.FormatU(model.Factor95*sd, d), bare(f.Mid95MM, u), model.Percent(f.Within), model.Percent(f.SimWithin)})
			continue
		}
		major, _, _ := f.Cov.Eigen()
		half := 2.4477468 * math.Sqrt(math.Max(major, 0)) // sqrt(-2 ln 0.05)
		d := u.Decimals(half)
		t.Rows = append(t.Rows, []string{place(f), u.Signed(f.Mean.X, d) + ", " + u.Signed(f.Mean.Y, d), u.FormatU(half, d), bare(f.Mid95MM, u), model.Percent(f.Within), model.Percent(f.SimWithin)})
	}
	return t
}

func carrier(s plan.SideBySide, u chart.Unit) Table {
	v, c := s.Vise, s.Carrier
	row := func(name string, f func(plan.Way) string) []string { return []string{name, f(v), f(c)} }
	stock := func(w plan.Way) string {
		if u == chart.Inch {
			return strconv.FormatFloat(w.StockMM3/16387.064, 'f', 2, 64) + " in³"
		}
		return strconv.FormatFloat(w.StockMM3/1000, 'f', 1, 64) + " cm³"
	}
	worst := func(w plan.Way) string {
		if len(w.Features) == 0 {
			return "unknown"
		}
		f := w.Features[w.Worst]
		return small(f.Mid95MM, u) + " at " + place(f)
	}
	first := func(w plan.Way) string {
		if len(w.Sources) == 0 {
			return "none"
		}
		return w.Sources[0].Source.String()
	}
	return Table{Title: "Flip in the vise, or a sacrificial carrier", Head: []string{"", "vise", "carrier"},
		Rows: [][]string{
			row("parts within", func(w plan.Way) string { return model.Percent(w.All) }),
			row("95 % below", worst),
			row("largest source", first),
			row("stock", stock),
			row("passes", func(w plan.Way) string { return strconv.Itoa(w.Passes) }),
		},
		Note: "Carrier: the part stays in a frame of its own stock, whose faces setup 1 mills and setup 2 touches. Passes are depth steps of the side mill, counted, not timed."}
}
