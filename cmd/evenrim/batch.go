package main

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"math"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"evenrim/model"
	"evenrim/model/batch"
	"evenrim/model/chart"
	"evenrim/model/record"
	"evenrim/model/report"
)

func newBatchCmd(a *app) *cobra.Command {
	v := &batchVerb{app: a}
	cmd := &cobra.Command{
		Use:   "batch --list readings.csv [flags] | batch NAME...",
		Short: "Statistics over the parts of a batch, and of one batch against the next",
		Long: `Reads the photos of a list, or takes the kept readings of the batches named, and
says where each batch lies, how much it spreads, which parts stand out, how well
it keeps to the tolerance, what to correct, and whether it differs from the batch
before.`,
		Example: `  evenrim batch --list readings.csv --bore 10mm --json
  evenrim batch March April
  evenrim batch March April --out batches.pdf --plots pictures`,
		RunE: func(cmd *cobra.Command, args []string) error { return v.run(cmd.Context(), args) },
	}
	addJobFlags(cmd.Flags(), &v.job)
	cmd.Flags().StringVar(&v.list, "list", "", "read the photos named in this `csv file`")
	cmd.Flags().BoolVar(&v.json, "json", false, "write one JSON object a line instead of words")
	cmd.Flags().StringVar(&v.to, "out", "", "also write a report to this PDF `file`")
	cmd.Flags().StringVar(&v.plots, "plots", "", "also write each chart as PNG into this `folder`")
	return cmd
}

type batchVerb struct {
	*app
	job       model.JobCard
	list      string
	json      bool
	to, plots string
}

func (v *batchVerb) run(ctx context.Context, names []string) error {
	if err := v.checkOut(); err != nil {
		return err
	}
	var items []batch.Item
	var missed int
	var err error
	photos := photoLoaders{}
	done := func() {}
	defer func() { done() }()
	switch {
	case v.list != "" && len(names) > 0:
		return usage("Give either --list or the names of kept batches, not both.")
	case v.list != "":
		items, missed, err = v.fromList(ctx, photos)
	case len(names) > 0:
		items, done, err = v.fromRecord(ctx, names, photos)
	default:
		return usage("No batch is named: use --list readings.csv, or the name of a batch that was kept.")
	}
	if err != nil {
		return err
	}
	if len(items) > 0 {
		batches, err := batch.Group(items)
		if err != nil {
			return err
		}
		answers, err := report.AnswerBatches(batches)
		if err != nil {
			return err
		}
		if err := v.write(answers); err != nil {
			return err
		}
		if err := v.print(answers, photos); err != nil {
			return err
		}
	}
	if missed > 0 {
		were := "were"
		if missed == 1 {
			were = "was"
		}
		v.say("%s gave no reading and %s left out.", counted(missed, "photo"), were)
		return errMissed
	}
	return nil
}

// fromList reads the photos of the list; what cannot be read is said on stderr.
func (v *batchVerb) fromList(ctx context.Context, photos photoLoaders) (items []batch.Item, missed int, err error) {
	rows, err := v.loadList(v.list, v.job)
	if err != nil {
		return nil, 0, err
	}
	workers := runtime.GOMAXPROCS(0)
	err = inOrder(len(rows), workers, 4*workers, func(i int) result {
		if rows[i].Err != nil {
			return result{err: rows[i].Err}
		}
		return readPhoto(ctx, rows[i].Path, rows[i].Job, false)
	}, func(i int, res result) error {
		r := rows[i]
		if !v.quiet() {
			fmt.Fprintf(v.errOut, "\r%d of %d photos\r", i+1, len(rows))
		}
		switch {
		case errors.Is(res.err, context.Canceled):
			return res.err
		case res.err != nil:
			missed++
			v.say("%s: %s", r.Photo, model.AsRefusal(res.err).Sentence)
			return nil
		}
		photos[res.reading.Photo.SHA256] = v.fromFile(ctx, r.Path, res.reading.Photo.SHA256)
		items = append(items, batch.Item{Batch: r.Batch, Part: r.Part, Hole: r.Hole, HoleAt: r.HoleAt, TurnRad: r.Turn, Reading: res.reading})
		return nil
	})
	return items, missed, err
}

// fromRecord takes the kept readings of the batches named, the first kept first; one that
// corrects another stands where that one stood.
// The photos can be loaded until done is called.
func (v *batchVerb) fromRecord(ctx context.Context, names []string, photos photoLoaders) (items []batch.Item, done func(), err error) {
	done = func() {}
	s, err := v.openKept(ctx)
	if err != nil {
		return nil, done, err
	}
	done = func() { s.Close() }
	for _, name := range names {
		entries, err := s.Find(ctx, record.Query{Batch: name, Limit: math.MaxInt32})
		if err != nil {
			return nil, done, err
		}
		if len(entries) == 0 {
			return nil, done, fmt.Errorf("No reading of batch %q has been kept in %s: see evenrim records.", name, s.Dir())
		}
		slices.SortFunc(entries, func(a, b record.Entry) int { return cmp.Compare(a.First, b.First) })
		for _, e := range entries {
			reading, e, err := s.Get(ctx, e.ID)
			if err != nil {
				return nil, done, err
			}
			reading.Job.ShowInch = reading.Job.ShowInch || v.job.ShowInch // how it is shown, not what was read
			photos[reading.Photo.SHA256] = func() *image.RGBA { return v.keptPhoto(ctx, s, idText(e.ID), reading) }
			items = append(items, batch.Item{Batch: e.Batch, Part: e.Part, Hole: e.Hole, HoleAt: e.HoleAt, TurnRad: e.TurnRad, Reading: reading})
		}
	}
	return items, done, nil
}

// batchLine is one batch in the JSON of evenrim batch; what the parts don't tell
// is null.
type batchLine struct {
	Batch        string         `json:"batch"`
	N            int            `json:"n"`
	Mean         [2]*float64    `json:"mean_mm"`
	SD           [2]*float64    `json:"sd_mm"`
	Cov          *[2][2]float64 `json:"cov_mm2"`
	MeanU95      *float64       `json:"mean_u95_mm"`
	ProcessSD    [2]*float64    `json:"process_sd_mm"`
	OutOfControl []string       `json:"out_of_control"`
	Charted      bool           `json:"charted"`
	Ppk          *float64       `json:"ppk"`
	Ppk95        [2]*float64    `json:"ppk_95"`
	PInside      *float64       `json:"p_within"`
	PInside95    [2]*float64    `json:"p_within_95"`
	Correction   struct {
		Weight *float64    `json:"weight"`
		Setup2 *[2]float64 `json:"setup2_mm"`
		Words  string      `json:"words"`
	} `json:"correction"`
	Assumptions []string `json:"assumptions"`
	Warnings    []string `json:"warnings"`
}

type compareLine struct {
	Compare      [2]string  `json:"compare"`
	Difference   [2]float64 `json:"difference_mm"`
	U95          *float64   `json:"u95_mm"`
	PValue       *float64   `json:"p_value"`
	PUnequal     *float64   `json:"p_value_unequal_spread"`
	PPermutation *float64   `json:"p_value_permutation"`
	Closer       *float64   `json:"closer_mm"`
	Closer95     [2]float64 `json:"closer_95_mm"`
	Verdict      string     `json:"words"`
	Warnings     []string   `json:"warnings"`
}

func pair(v model.Vec) [2]*float64 { return [2]*float64{orNull(v.X), orNull(v.Y)} }

func (v *batchVerb) write(answers []report.BatchAnswer) error {
	advised := false
	for i, a := range answers {
		line := lineOfBatch(a)
		advised = advised || line.moves()
		if err := v.put(line, func() string { return batchInWords(line, a) }); err != nil {
			return err
		}
		if i == 0 {
			continue
		}
		compared, err := report.AnswerCompare(answers[i-1].Batch, a.Batch)
		if err != nil {
			return err
		}
		c := compared.Comparison
		if c == nil {
			v.say("%s and %s: too few parts to compare.", named(compared.A.Name), named(compared.B.Name))
			continue
		}
		l := compareLine{Compare: [2]string{compared.A.Name, compared.B.Name}, Difference: [2]float64{c.Difference.X, c.Difference.Y}, U95: orNull(c.U95MM),
			PValue: orNull(c.PValue), PUnequal: orNull(c.PUnequal), PPermutation: orNull(c.PPermutation),
			Closer: orNull(c.Closer.Value), Closer95: [2]float64{c.Closer.Low, c.Closer.High}, Verdict: c.Verdict, Warnings: append([]string{}, c.Warnings...)}
		if err := v.put(l, func() string { return compareInWords(compared) }); err != nil {
			return err
		}
	}
	if advised && !v.json {
		v.caution()
	}
	return nil
}

// put writes one result in one piece.
func (v *batchVerb) put(line any, words func() string) error {
	text := []byte(nil)
	if v.json {
		b, err := json.Marshal(line)
		if err != nil {
			return err
		}
		text = append(b, '\n')
	} else {
		text = []byte(plainASCII(words()))
	}
	_, err := v.out.Write(text)
	return err
}

func lineOfBatch(a report.BatchAnswer) batchLine {
	b, s := a.Batch, a.Summary
	l := batchLine{Batch: b.Name, N: s.N, Mean: pair(s.Mean), SD: pair(s.SD), MeanU95: orNull(s.MeanU95MM), OutOfControl: []string{},
		ProcessSD: pair(model.Vec{X: math.Sqrt(s.ProcessCov.XX), Y: math.Sqrt(s.ProcessCov.YY)}),
		Warnings:  append(append([]string{}, b.Warnings...), s.Warnings...)}
	if orNull(s.Cov.XX) != nil {
		l.Cov = &[2][2]float64{{s.Cov.XX, s.Cov.XY}, {s.Cov.XY, s.Cov.YY}}
	}
	if a.Control == nil {
		l.Warnings = append(l.Warnings, fmt.Sprintf("Too few parts, or none that differ, for control charts: they need %d and deserve 20.", batch.MinChart))
	} else {
		l.Charted = true
		for _, i := range a.Control.OutOfControl {
			l.OutOfControl = append(l.OutOfControl, b.Parts[i].Name)
		}
	}
	if c := a.Capability; c != nil {
		l.Ppk, l.Ppk95 = orNull(c.Ppk.Value), [2]*float64{orNull(c.Ppk.Low), orNull(c.Ppk.High)}
		l.PInside, l.PInside95 = orNull(c.PInside.Value), [2]*float64{orNull(c.PInside.Low), orNull(c.PInside.High)}
		l.Warnings = append(l.Warnings, c.Warnings...)
	}
	l.Correction.Words = a.Advice.Sentence
	if a.Advice.Known {
		l.Correction.Weight = orNull(a.Advice.Weight)
		l.Correction.Setup2 = &[2]float64{a.Advice.Correction.Setup2.X, a.Advice.Correction.Setup2.Y}
	}
	l.Assumptions = a.Assumptions.Sentences
	l.Warnings = eachOnce(l.Warnings)
	return l
}

// eachOnce leaves out what was said before: several parts may warn of the same.
func eachOnce(words []string) []string {
	out := words[:0]
	for _, w := range words {
		if !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

// moves says whether a machine is told to move.
func (l *batchLine) moves() bool {
	return l.Correction.Setup2 != nil && *l.Correction.Setup2 != [2]float64{}
}

func named(batchName string) string {
	if batchName == "" {
		return "The batch without a name"
	}
	return "Batch " + batchName
}

func batchInWords(l batchLine, a report.BatchAnswer) string {
	measured := a.Summary.MeasuredU95MM // by the readings alone
	u := chart.UnitOf(a.Batch.ShowInch)
	var w strings.Builder
	line := func(format string, a ...any) { fmt.Fprintf(&w, "  "+format+"\n", a...) }
	length := func(f *float64, d int) string {
		if f == nil {
			return "unknown"
		}
		return u.Signed(*f, d)
	}
	d := u.Decimals(measured)
	if l.MeanU95 != nil {
		d = u.Decimals(*l.MeanU95)
	}
	fmt.Fprintf(&w, "%s: %s\n", named(l.Batch), counted(l.N, "part"))
	mean := fmt.Sprintf("Mean X %s   Y %s", length(l.Mean[0], d), length(l.Mean[1], d))
	if l.MeanU95 != nil {
		line("%s   +/- %s %s (95 %%)", mean, u.FormatU(*l.MeanU95, d), u)
	} else {
		line("%s   +/- %s %s (95 %%), without how parts differ, which is not known yet", mean, u.FormatU(measured, d), u)
	}
	if l.SD[0] != nil {
		line("Spread (one standard deviation) X %s   Y %s %s; without the readings' own X %s   Y %s", u.Format(*l.SD[0], d), u.Format(*l.SD[1], d), u, u.Format(*l.ProcessSD[0], d), u.Format(*l.ProcessSD[1], d))
	}
	if l.Charted {
		if len(l.OutOfControl) == 0 {
			line("No part stands out.")
		} else {
			line("These parts stand out: %s.", strings.Join(l.OutOfControl, ", "))
		}
	}
	if l.Ppk != nil {
		line("Ppk %.2f (95 %%: %.2f to %.2f); the next part measures inside with probability %s (%s to %s).", *l.Ppk, *l.Ppk95[0], *l.Ppk95[1],
			model.Percent(*l.PInside), model.Percent(*l.PInside95[0]), model.Percent(*l.PInside95[1]))
	}
	if s := a.Unsteady(); s != "" {
		line("%s", s)
	}
	line("%s", l.Correction.Words)
	if l.moves() {
		c := model.Vec{X: l.Correction.Setup2[0], Y: l.Correction.Setup2[1]}
		other := model.Correct(c.Scale(-1), a.Batch.Flip).Setup1
		flip := "Y"
		if a.Batch.Flip == model.FlipAboutX {
			flip = "X"
		}
		by := func(v model.Vec) string {
			switch {
			case c.Y == 0:
				return fmt.Sprintf("X by %s %s", u.Signed(v.X, d), u)
			case c.X == 0:
				return fmt.Sprintf("Y by %s %s", u.Signed(v.Y, d), u)
			}
			return fmt.Sprintf("X by %s, Y by %s %s", u.Signed(v.X, d), u.Signed(v.Y, d), u)
		}
		line("That is setup 2's work offset in %s,", by(c))
		line("or setup 1's in %s (part turned over about %s).", by(other), flip)
	}
	causesInWords(line, a.Causes)
	for _, s := range l.Assumptions {
		line("%s", s)
	}
	for _, s := range l.Warnings {
		line("Caution: %s", s)
	}
	return w.String()
}

func compareInWords(compared report.CompareAnswer) string {
	a, b, c := compared.A, compared.B, compared.Comparison
	u := chart.UnitOf(b.ShowInch)
	d := u.Decimals(c.U95MM)
	var w strings.Builder
	fmt.Fprintf(&w, "%s against %s\n  %s\n", named(b.Name), strings.ToLower(named(a.Name)[:1])+named(a.Name)[1:], c.Verdict)
	fmt.Fprintf(&w, "  Difference X %s   Y %s   +/- %s %s (95 %%); by chance alone with probability %s.\n", u.Signed(c.Difference.X, d), u.Signed(c.Difference.Y, d), u.FormatU(c.U95MM, d), u, model.Percent(c.PValue))
	fmt.Fprintf(&w, "  Closer to even by %s %s (95 %%: %s to %s).\n", u.Signed(c.Closer.Value, d), u, u.Signed(c.Closer.Low, d), u.Signed(c.Closer.High, d))
	for _, s := range c.Warnings {
		fmt.Fprintf(&w, "  Caution: %s\n", s)
	}
	return w.String()
}
