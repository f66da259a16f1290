package report

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"evenrim/model"
	"evenrim/model/batch"
	"evenrim/model/chart"
)

// BatchAnswer is all that the parts of one batch tell.
type BatchAnswer struct {
	Batch       batch.Batch
	Summary     batch.Summary
	Control     *batch.Control    // nil = too few parts for charts
	Capability  *batch.Capability // nil = too few parts
	Advice      batch.Advice
	Assumptions batch.Assumptions
	Causes      []model.Cause // likely ones, the likeliest first
}

// AnswerBatch works b out. history is the spread of earlier parts of the same
// job, mm², for batches of one or two parts; nil = none.
func AnswerBatch(b batch.Batch, history *model.Sym2) (BatchAnswer, error) {
	a := BatchAnswer{Batch: b}
	var err error
	if a.Summary, err = batch.Summarise(b.Parts); err != nil {
		return a, err
	}
	switch c, err := batch.Charts(b.Parts); {
	case err == nil:
		a.Control = &c
	case !errors.Is(err, batch.ErrTooFew):
		return a, err
	}
	switch c, err := batch.Capable(b.Parts, b.ToleranceMM, b.Zone); {
	case err == nil:
		a.Capability = &c
	case !errors.Is(err, batch.ErrTooFew):
		return a, err
	}
	if a.Summary.N >= 3 {
		history = nil
	}
	a.Advice = batch.Advise(a.Summary, b.Flip, history)
	a.Assumptions = batch.CheckAssumptions(b.Parts)
	a.Causes, _ = model.Causes(model.Evidence{Batch: batch.FactsOf(b.Parts, a.Summary, a.Control)})
	return a, nil
}

// AnswerBatches works batches out in their order. One of one or two parts is told by the
// spread of the last one before it that has more.
func AnswerBatches(batches []batch.Batch) ([]BatchAnswer, error) {
	var out []BatchAnswer
	var history *model.Sym2
	for _, b := range batches {
		a, err := AnswerBatch(b, history)
		if err != nil {
			return nil, err
		}
		if a.Summary.N >= 3 {
			history = &a.Summary.Cov
		}
		out = append(out, a)
	}
	return out, nil
}

// FunnelsOf are the simulations of correcting for parts that scatter like the
// first batch that says how much they do; nil where none does.
func FunnelsOf(answers []BatchAnswer) []batch.FunnelShow {
	for _, a := range answers {
		if sd := math.Sqrt((a.Summary.Cov.XX + a.Summary.Cov.YY) / 2); sd > 0 && a.Summary.N >= 3 {
			return []batch.FunnelShow{batch.ShowFunnel(0, sd, 40, 5), batch.ShowFunnel(3*sd, sd, 40, 5)}
		}
	}
	return nil
}

// BatchName names a batch in a sentence.
func BatchName(name string) string {
	if name == "" {
		return "the batch without a name"
	}
	return "batch " + name
}

func (a BatchAnswer) decimals(u chart.Unit) int {
	for _, v := range []float64{a.Summary.MeanU95MM, a.Summary.SD.X, a.Summary.SD.Y, a.Summary.MeasuredU95MM} {
		if v > 0 && !math.IsNaN(v) && !math.IsInf(v, 0) {
			return u.Decimals(v)
		}
	}
	return u.Decimals(0.001)
}

func number(u chart.Unit, mm float64, dec int) string {
	if math.IsNaN(mm) || math.IsInf(mm, 0) {
		return "unknown"
	}
	return u.Signed(mm, dec)
}

// Figures are the mean mismatch with its uncertainty.
func (a BatchAnswer) Figures(u chart.Unit) string {
	d := a.decimals(u)
	f := fmt.Sprintf("X %s   Y %s", number(u, a.Summary.Mean.X, d), number(u, a.Summary.Mean.Y, d))
	if m := a.Summary.MeanU95MM; m > 0 && !math.IsInf(m, 0) {
		return f + "   ± " + u.FormatU(m, d) + " " + u.String()
	}
	return f + "   ± " + u.FormatU(a.Summary.MeasuredU95MM, d) + " " + u.String() + ", without how parts differ"
}

// Of says what the parts are and when they were read: by job card, bore and day. It is ""
// where the readings aren't at hand.
func (a BatchAnswer) Of(u chart.Unit) string {
	var cards, bores []string
	var first, last time.Time
	add := func(list []string, s string) []string {
		if s == "" || slices.Contains(list, s) {
			return list
		}
		return append(list, s)
	}
	for _, p := range a.Batch.Parts {
		for _, r := range p.Readings {
			cards, bores = add(cards, r.Job.Name), add(bores, u.Plain(r.Job.BoreMM))
			if t := r.MadeAt.UTC(); !t.IsZero() {
				if first.IsZero() || t.Before(first) {
					first = t
				}
				if t.After(last) {
					last = t
				}
			}
		}
	}
	const most = 3
	list := func(one, several string, names []string) string {
		switch n := len(names); {
		case n == 0:
			return ""
		case n == 1:
			return one + " " + names[0]
		case n > most:
			return several + " " + strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", n-most)
		}
		return several + " " + strings.Join(names, ", ")
	}
	var out []string
	for _, s := range []string{list("job card", "job cards", cards), list("bore", "bores", bores), dayWords(first, last)} {
		if s != "" {
			out = append(out, s)
		}
	}
	if len(out) == 0 {
		return ""
	}
	return capital(strings.Join(out, "; ")) + "."
}

// dayWords say on which days readings were made.
func dayWords(first, last time.Time) string {
	const day = "2 January 2006"
	switch from, to := first.Format(day), last.Format(day); {
	case first.IsZero():
		return ""
	case from == to:
		return "read on " + from
	default:
		return "read from " + from + " to " + to
	}
}

// Where says where the batch lies and how much it spreads.
func (a BatchAnswer) Where(u chart.Unit) string {
	s, d := a.Summary, a.decimals(u)
	parts := "1 part"
	if s.N != 1 {
		parts = fmt.Sprintf("%d parts", s.N)
	}
	if s.N < 2 || math.IsNaN(s.SD.X) {
		return parts + ": one part has no spread."
	}
	w := fmt.Sprintf("%s. A part differs from the next by X %s, Y %s %s (one standard deviation", parts, u.Format(s.SD.X, d), u.Format(s.SD.Y, d), u)
	px, py := math.Sqrt(math.Max(s.ProcessCov.XX, 0)), math.Sqrt(math.Max(s.ProcessCov.YY, 0))
	switch {
	case math.IsNaN(px + py):
		return w + ")."
	case s.Masked:
		return w + "); the readings alone scatter as much, at least one way."
	}
	return w + fmt.Sprintf("); without the readings' own scatter X %s, Y %s.", u.Format(px, d), u.Format(py, d))
}

// SignalWords name each part that a chart calls out, with the chart and the rule
// that was broken.
func (a BatchAnswer) SignalWords() []string {
	if a.Control == nil {
		return []string{fmt.Sprintf("Control charts need %d parts and deserve 20.", batch.MinChart)}
	}
	type key struct {
		part int
		axis string
	}
	var order []key
	rules := map[key][]string{}
	for _, l := range []struct {
		axis string
		s    []batch.Signal
	}{{"X", a.Control.X.Signals}, {"Y", a.Control.Y.Signals}, {"X", a.Control.DriftX.Signals}, {"Y", a.Control.DriftY.Signals}, {"X and Y together", a.Control.Plane.Signals}} {
		for _, s := range l.s {
			k := key{s.Index, l.axis}
			if rules[k] == nil {
				order = append(order, k)
			}
			rules[k] = append(rules[k], string(s.Rule))
		}
	}
	if len(order) == 0 {
		return []string{"The batch is steady as far as these parts show."}
	}
	slices.SortStableFunc(order, func(a, b key) int { return cmp.Compare(a.part, b.part) })
	var out []string
	for _, k := range order {
		out = append(out, fmt.Sprintf("Part %s, %s: %s.", a.Batch.Parts[k.part].Name, k.axis, strings.Join(rules[k], "; ")))
	}
	return out
}

// StandOut is SignalWords in one sentence.
func (a BatchAnswer) StandOut() string {
	switch {
	case a.Control == nil:
		return "Too few parts for charts."
	case len(a.Control.OutOfControl) == 0:
		return "No part stands out."
	}
	var names []string
	for _, i := range a.Control.OutOfControl {
		names = append(names, a.Batch.Parts[i].Name)
	}
	more := ""
	if len(names) > 6 {
		more = fmt.Sprintf(" and %d more", len(names)-6)
		names = names[:6]
	}
	verb := " stand out: "
	if len(names) == 1 {
		return "One part stands out: " + names[0] + "."
	}
	return fmt.Sprintf("%d parts", len(a.Control.OutOfControl)) + verb + strings.Join(names, ", ") + more + "."
}

// What the shorthand of statistics means, for who never met it.
const (
	PpkWords   = "Ppk is the room from the mean to the nearer limit over three standard deviations of the parts: below 1 some parts fall outside, below 0 the mean itself does; 1.33 is often asked for (common practice, no source)."
	PlaneWords = "T squared is how far a part lies from the middle of all, X and Y taken together and measured by how much the parts spread each way: one above the line is unlike the others."
	RMSWords   = "root mean square (rms), an average in which far parts count more"
)

// CapabilityWords rate the batch against its tolerance.
func (a BatchAnswer) CapabilityWords() []string {
	c := a.Capability
	if c == nil {
		return []string{"Capability needs three parts and deserves thirty."}
	}
	between := func(name string, i batch.Interval) string {
		if math.IsNaN(i.Value) || math.IsInf(i.Value, 0) {
			return name + " unknown"
		}
		return fmt.Sprintf("%s %.2f (95 %%: %.2f to %.2f)", name, i.Value, i.Low, i.High)
	}
	out := []string{
		between("Ppk of X", c.PpkX) + "; " + between("of Y", c.PpkY) + ".",
		fmt.Sprintf("The next part measures inside the tolerance with a probability of %s (95 %%: %s to %s).", Probability(c.PInside.Value), Probability(c.PInside.Low), Probability(c.PInside.High)),
	}
	if a.Control != nil && len(a.Control.OutOfControl) > 0 {
		out = append(out, "The batch is not steady, so that neither figure foretells the parts to come.")
	}
	return out
}

// Unsteady is a caution for a batch whose mean is that of a moving target; "" when
// nothing shows that it moves.
func (a BatchAnswer) Unsteady() string {
	moves := math.Min(a.Assumptions.IndependentX, a.Assumptions.IndependentY) < unsteadyLevel
	if a.Control != nil {
		moves = moves || len(a.Control.DriftX.Signals)+len(a.Control.DriftY.Signals) > 0
	}
	if !moves {
		return ""
	}
	return "The parts do not stay where the mean is: see the run charts, and find what changes from part to part before moving an offset."
}

// unsteadyLevel is the probability below which neighbours are taken to be alike by
// more than chance; half of 5 % for each axis.
const unsteadyLevel = 0.025

// CorrectionWords say what to move after this batch, if anything.
func (a BatchAnswer) CorrectionWords(u chart.Unit) []string {
	out := []string{a.Advice.Sentence}
	if s := a.Unsteady(); s != "" {
		out = append([]string{s}, out...)
	}
	if !a.Advice.Known || a.Advice.Offset == (model.Vec{}) {
		return out
	}
	d := a.decimals(u)
	move := func(v model.Vec) string {
		switch {
		case !a.Advice.MoveY:
			return fmt.Sprintf("X\u00a0%s\u00a0%s", u.Signed(v.X, d), u)
		case !a.Advice.MoveX:
			return fmt.Sprintf("Y\u00a0%s\u00a0%s", u.Signed(v.Y, d), u)
		}
		return fmt.Sprintf("X\u00a0%s, Y\u00a0%s\u00a0%s", u.Signed(v.X, d), u.Signed(v.Y, d), u)
	}
	flip := "end for end, about Y"
	if a.Batch.Flip == model.FlipAboutX {
		flip = "about X"
	}
	out = append(out, "Setup 2: add "+move(a.Advice.Correction.Setup2)+" to its work offset.",
		"Or setup 1 (part turned "+flip+"): add "+move(a.Advice.Correction.Setup1)+" to its own. One of the two, not both.")
	if m := a.Summary.MeanU95MM; m > 0 && !math.IsInf(m, 0) {
		out = append(out, fmt.Sprintf("The mean is good to ± %s %s (95 %%).", u.FormatU(m, d), u))
	}
	return out
}

// Doubts are the warnings of everything that was worked out, each once.
func (a BatchAnswer) Doubts() []string {
	var all []string
	add := func(list ...string) {
		for _, s := range list {
			s = sentence(s)
			for _, o := range all {
				if o == s {
					s = ""
				}
			}
			if s != "" {
				all = append(all, s)
			}
		}
	}
	add(a.Batch.Warnings...)
	add(a.Summary.Warnings...)
	if a.Capability != nil {
		add(a.Capability.Warnings...)
	}
	if a.Assumptions.Doubtful() {
		add(a.Assumptions.Sentences...)
	}
	return all
}

// Move is one way to put a batch right: add X and Y to a setup's work offset. An
// axis that is left alone has "".
type Move struct {
	Setup       int
	Title, X, Y string
}

// Moves are the two ways, nil where the offset is better left alone.
func (a BatchAnswer) Moves(u chart.Unit) []Move {
	if !a.Advice.Known || a.Advice.Offset == (model.Vec{}) {
		return nil
	}
	d := a.decimals(u)
	flip := "end for end, about Y"
	if a.Batch.Flip == model.FlipAboutX {
		flip = "over, about X"
	}
	figure := func(move bool, mm float64) string {
		if !move {
			return ""
		}
		return u.Signed(mm, d)
	}
	x, y := a.Advice.MoveX, a.Advice.MoveY
	two, one := a.Advice.Correction.Setup2, a.Advice.Correction.Setup1
	return []Move{
		{2, "Add to setup 2's work offset", figure(x, two.X), figure(y, two.Y)},
		{1, "or to setup 1's, part turned " + flip, figure(x, one.X), figure(y, one.Y)},
	}
}
