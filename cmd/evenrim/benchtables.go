package main

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"evenrim/model"
	"evenrim/model/accuracy"
	"evenrim/vision/synth"
)

// lines prints a line for each photo.
type lines struct {
	v *benchVerb
	w *tabwriter.Writer
}

func (v *benchVerb) table(head string) *tabwriter.Writer {
	w := tabwriter.NewWriter(v.app.out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, head)
	return w
}

func newLines(v *benchVerb) *lines {
	if v.brief {
		return &lines{v: v}
	}
	return &lines{v, v.table("photo\tlight\tbacking\tview\terror um\terror px\tu95 um\tcovered\ts\tdecode s\t")}
}

func (l *lines) add(c accuracy.Case) error {
	if l.w == nil {
		return nil
	}
	var err error
	switch {
	case c.Refused != "":
		_, err = fmt.Fprintf(l.w, "%s\t%s\t%s\t%s\t\t\t\t\t%.2f\t%.2f\t\n", c.Photo, c.Light, c.Backing, c.Refused, c.Seconds, c.Decode)
	case !c.HasHole:
		_, err = fmt.Fprintf(l.w, "%s\t%s\t%s\t%s\t\t\t%.1f\tNO HOLE\t%.2f\t%.2f\t\n", c.Photo, c.Light, c.Backing, c.View, 1000*c.U95MM, c.Seconds, c.Decode)
	default:
		word := "no"
		if c.Covered {
			word = "yes"
		}
		_, err = fmt.Fprintf(l.w, "%s\t%s\t%s\t%s\t%.1f\t%.2f\t%.1f\t%s\t%.2f\t%.2f\t\n", c.Photo, c.Light, c.Backing, c.View,
			1000*c.ErrMM, c.ErrPx(), 1000*c.U95MM, word, c.Seconds, c.Decode)
	}
	return err
}

func (l *lines) flush() error {
	if l.w == nil {
		return nil
	}
	return l.w.Flush()
}

// tables prints sums by groups, and how far stated probabilities can be trusted.
func (v *benchVerb) tables(cases []accuracy.Case) {
	var lights, backings []string
	for _, l := range synth.Lights {
		lights = append(lights, string(l))
	}
	for _, b := range synth.Backings {
		backings = append(backings, string(b))
	}
	holes := slices.DeleteFunc(slices.Clone(cases), func(c accuracy.Case) bool { return !c.HasHole })
	if len(holes) >= 12 {
		read := slices.DeleteFunc(slices.Clone(holes), func(c accuracy.Case) bool { return c.Refused != "" })
		for _, g := range []struct {
			head string
			rows []accuracy.Row
		}{
			{"light", accuracy.GroupBy(holes, func(c accuracy.Case) string { return c.Light }, lights...)},
			{"backing", accuracy.GroupBy(holes, func(c accuracy.Case) string { return c.Backing }, backings...)},
			{"chamfer width", accuracy.GroupBy(holes, func(c accuracy.Case) string { return accuracy.In(c.WidthPx, accuracy.WidthBins) }, accuracy.Names(accuracy.WidthBins)...)},
			{"pixel", accuracy.GroupBy(holes, func(c accuracy.Case) string { return accuracy.In(c.UmPerPx, accuracy.PixelBins) }, accuracy.Names(accuracy.PixelBins)...)},
			{"view from", accuracy.GroupBy(read, func(c accuracy.Case) string { return string(c.View) }, string(model.FromExitRim), string(model.FromFlattening), string(model.Assumed))},
		} {
			fmt.Fprintln(v.app.out)
			v.rows(g.head, g.rows)
		}
		v.trust(cases)
		fmt.Fprintln(v.app.out)
	}
	fmt.Fprintln(v.app.out, sumLine(cases))
}

func (v *benchVerb) rows(head string, rows []accuracy.Row) {
	w := v.table(head + "\treadings\trefused\tmedian px\t95 % px\tmedian um\t95 % um\tmean u95 um\tcovered\t95 % interval\tcard off\t")
	for _, r := range rows {
		fmt.Fprintf(w, "%s\t%d\t%d\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t\n", r.Name, r.Readings, r.Refused, figure(r.MedianPx, 2), figure(r.P95Px, 2),
			figure(r.MedianUM, 1), figure(r.P95UM, 1), figure(r.MeanU95UM, 1), percent(r.Covered), interval(r.Covered), percent(r.CardCovered))
	}
	w.Flush()
}

// trust prints the reliability of p_within: about the zone as it is, which depends on
// how the set's mismatches are spread, and with zones laid evenly.
func (v *benchVerb) trust(cases []accuracy.Case) {
	v.trustTable("stated p_within", accuracy.Reliability(cases))
	v.trustTable("p_within, even zones", accuracy.EvenReliability(cases))
}

func (v *benchVerb) trustTable(head string, lines []accuracy.Trust) {
	fmt.Fprintln(v.app.out)
	w := v.table(head + "\treadings\tmean stated\ttruly within\t95 % interval\t")
	for _, t := range lines {
		if t.True.N > 0 {
			fmt.Fprintf(w, "%.2f to %.2f\t%d\t%.3f\t%s\t%s\t\n", t.From, t.To, t.True.N, t.Stated, percent(t.True), interval(t.True))
		}
	}
	w.Flush()
}

func percent(s accuracy.Share) string {
	if s.N == 0 {
		return "-"
	}
	return fmt.Sprintf("%.0f %%", 100*s.Of())
}

func interval(s accuracy.Share) string {
	if s.N == 0 {
		return "-"
	}
	return fmt.Sprintf("%.0f to %.0f %%", 100*s.Lo, 100*s.Hi)
}

func figure(x float64, decimals int) string {
	if math.IsNaN(x) {
		return "-"
	}
	return fmt.Sprintf("%.*f", decimals, x)
}

// sumLine sums a bench up in a sentence or two.
func sumLine(cases []accuracy.Case) string {
	r := accuracy.Sum("", cases)
	if r.Readings == 0 {
		return fmt.Sprintf("No readings; %d photos refused%s.", r.Refused, reasons(r))
	}
	within := 0
	for _, c := range cases {
		if c.Refused == "" && c.HasHole && c.ErrMM < 0.010 {
			within++
		}
	}
	text := fmt.Sprintf("%d readings, %d refused%s. Error: median %.1f um (%.2f px), 95 %% %.1f um (%.2f px), %d of %d below 10 um. The stated 95 %% region covered %s (%s), and %s (%s) where the job card is off by what is stated of it.",
		r.Readings, r.Refused, reasons(r), r.MedianUM, r.MedianPx, r.P95UM, r.P95Px, within, r.Readings, percent(r.Covered), interval(r.Covered), percent(r.CardCovered), interval(r.CardCovered))
	if r.WronglyWithout > 0 {
		text += fmt.Sprintf(" %d photos without a hole got a number.", r.WronglyWithout)
	}
	return text
}

func reasons(r accuracy.Row) string {
	if r.Refused == 0 {
		return ""
	}
	var words []string
	for _, k := range slices.Sorted(maps.Keys(r.RefusedReasons)) {
		words = append(words, fmt.Sprintf("%d %s", r.RefusedReasons[k], k))
	}
	return " (" + strings.Join(words, ", ") + ")"
}
