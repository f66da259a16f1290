package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"evenrim/model/chart"
	"evenrim/model/plan"
	"evenrim/model/plan/words"
	"evenrim/model/record"
	"evenrim/model/report"
	"evenrim/ui/planner/draft"
)

// planUse is what the flags of the plan verb ask for.
type planUse struct {
	inch, json, fields bool
	out                string
}

func newPlanCmd(a *app) *cobra.Command {
	u := &planUse{}
	cmd := &cobra.Command{
		Use:   "plan flip|chamfer|photo|pick-up [FIELD=VALUE...]",
		Short: "Decide before cutting and before photographing",
		Long: `Answers what the window's Planner page answers, from the same fields: will a flip
hold the tolerance (flip), which chamfer shows a mismatch of it (chamfer), how to
photograph (photo), and where part zero is once the original reference faces are
gone (pick-up). Fields not given have their defaults, most of them common practice
without a source; --fields lists them with where each comes from.`,
		Example: `  evenrim plan flip form=0.02mm jaw=0.005mm "features=A 10 -10; B 70 -40"
  evenrim plan photo bore=6mm chamfer=0.2mm "camera=Bench camera, 25 mm lens" --out sheet.pdf
  evenrim plan flip --fields`,
		ValidArgs: []string{string(draft.Flip), string(draft.Chamfer), string(draft.Photo), string(draft.PickUp)},
		RunE:      func(cmd *cobra.Command, args []string) error { return u.run(cmd.Context(), a, args) },
	}
	f := cmd.Flags()
	f.BoolVar(&u.inch, "inch", false, "bare numbers are inches, and so is what is shown (default: mm)")
	f.BoolVar(&u.json, "json", false, "write one JSON object")
	f.BoolVar(&u.fields, "fields", false, "list the fields with their values and sources")
	f.StringVar(&u.out, "out", "", "also write the setup sheet to this PDF `file`")
	return cmd
}

func (u *planUse) run(ctx context.Context, a *app, args []string) error {
	if len(args) == 0 {
		return usage("Say what to plan: evenrim plan flip, chamfer, photo or pick-up.")
	}
	s := draft.Section(args[0])
	known := false
	for _, q := range draft.Sections {
		known = known || q == s
	}
	if !known {
		return usage("There is nothing called %q to plan: flip, chamfer, photo or pick-up.", args[0])
	}
	d := draft.New()
	d.Units = chart.UnitOf(u.inch)
	if s == draft.Chamfer {
		u.eyes(ctx, a, d)
	}
	for _, set := range args[1:] {
		key, value, ok := strings.Cut(set, "=")
		if !ok || !hasField(d, s, key) {
			return usage("%q is no FIELD=VALUE of %s: see evenrim plan %s --fields.", set, s, s)
		}
		d.Set(key, strings.ReplaceAll(value, ";", "\n"))
	}
	if u.fields {
		u.list(a, d, s)
		return nil
	}
	if u.out != "" {
		if err := checkPDF("out", u.out); err != nil {
			return err
		}
	}
	p, err := d.Plan(s, false)
	if err != nil {
		return usage("%s", err)
	}
	if u.json {
		if err := json.NewEncoder(a.out).Encode(planJSON(p)); err != nil {
			return err
		}
	} else {
		fmt.Fprint(a.out, inWords(p.Answer))
	}
	if u.out == "" {
		return nil
	}
	if err := report.Save(u.out, report.PaperFor(d.Units), p.Sheet(versionText(), time.Now())); err != nil {
		return cannotWrite(u.out, err)
	}
	a.say("%s: %s.", u.out, counted(1, "page"))
	return nil
}

func hasField(d *draft.Draft, s draft.Section, key string) bool {
	for _, f := range d.Fields(s) {
		if f.Key == key {
			return true
		}
	}
	return false
}

// eyes looks up whose eyes were tested, if there is a record at all.
func (u *planUse) eyes(ctx context.Context, a *app, d *draft.Draft) {
	if !record.IsThere(a.dataDir()) {
		return
	}
	store, err := a.openRecord(ctx)
	shelf := newShelf(store, err)
	defer shelf.Close()
	if list, err := (diary{shelf}).Thresholds(ctx); err == nil {
		d.People(list)
	} else {
		a.say("What the eyes in the shop catch could not be looked up: %s", err)
	}
}

func (u *planUse) list(a *app, d *draft.Draft, s draft.Section) {
	for _, f := range d.Fields(s) {
		value, empty := strings.ReplaceAll(d.Text(f.Key), "\n", "; "), ""
		if value == "" {
			// What stands behind = may be typed as it is: empty, too.
			empty = " Empty: " + f.Empty + "."
		} else if f.Suffix != "" {
			value += " " + f.Suffix
		}
		fmt.Fprintf(a.out, "%s=%s\n    %s. %s%s\n", f.Key, value, f.Name, f.Says(d.Own(f.Key)), empty)
		if len(f.Options) > 0 {
			fmt.Fprintf(a.out, "    One of: %s\n", strings.Join(f.Options, " | "))
		}
	}
}

// inWords is an answer as plain text.
func inWords(q words.Answer) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n%s\n\n", q.Headline, strings.TrimSpace(q.Figure+" "+q.Unit), q.About)
	for _, l := range q.Lines {
		fmt.Fprintf(&b, "%s\n", l)
	}
	for _, l := range q.Warnings {
		fmt.Fprintf(&b, "Warning: %s\n", l)
	}
	for _, t := range q.Tables {
		fmt.Fprintf(&b, "\n%s\n", t.Title)
		width := make([]int, len(t.Head))
		rows := append([][]string{t.Head}, t.Rows...)
		for _, r := range rows {
			for i, w := range r {
				width[i] = max(width[i], len([]rune(w)))
			}
		}
		for _, r := range rows {
			line := ""
			for i, w := range r {
				line += w + strings.Repeat(" ", width[i]-len([]rune(w))+2)
			}
			fmt.Fprintf(&b, "  %s\n", strings.TrimRight(line, " "))
		}
		if t.Note != "" {
			fmt.Fprintf(&b, "  %s\n", t.Note)
		}
	}
	if len(q.Cautions) > 0 {
		b.WriteString("\n")
	}
	for _, l := range q.Cautions {
		fmt.Fprintf(&b, "- %s\n", l)
	}
	return b.String()
}

// planJSON is a plan as a script reads it: lengths in mm, angles in degrees,
// shares 0 to 1; null where there is no figure.
func planJSON(p draft.Plan) map[string]any {
	out := map[string]any{"section": p.Section, "headline": p.Answer.Headline, "warnings": append([]string{}, p.Answer.Warnings...)}
	number := func(v float64) any {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil
		}
		return v
	}
	switch {
	case p.Flip != nil:
		way := func(w plan.Way) map[string]any {
			var places, sources []map[string]any
			for _, f := range w.Features {
				places = append(places, map[string]any{"name": f.Name, "wall": f.Wall, "mean_mm": [2]float64{f.Mean.X, f.Mean.Y},
					"cov_mm2": [2][2]float64{{f.Cov.XX, f.Cov.XY}, {f.Cov.XY, f.Cov.YY}}, "below95_mm": f.Mid95MM, "within": f.Within, "within_simulated": f.SimWithin})
			}
			for _, s := range w.Sources {
				sources = append(sources, map[string]any{"source": s.Source.String(), "rms_mm": s.RMSMM, "share": s.Share, "halved_within": s.HalvedWithin})
			}
			return map[string]any{"within": w.All, "within_u": w.AllU, "places": places, "sources": sources, "stock_mm3": w.StockMM3, "passes": w.Passes}
		}
		out["vise"], out["carrier"] = way(p.Flip.Vise), way(p.Flip.Carrier)
	case p.Sight != nil:
		out["fits"], out["least_mm"], out["most_mm"] = p.Sight.Fits, number(p.Sight.LeastMM), number(p.Sight.MostMM)
		out["eye_share"] = p.Sight.See.Eye.Share
	case p.Photo != nil:
		q := p.Photo
		out["distance_mm"], out["um_per_px"], out["u95_mm"], out["goal_mm"] = q.DistanceMM, 1000/q.PxPerMM, number(q.U95MM), q.GoalMM
		out["need"] = [...]string{"nothing", "paper", "turning", "better-camera"}[q.Need]
		out["plain_u95_mm"], out["paper_u95_mm"], out["turned_u95_mm"] = number(q.PlainMM), number(q.PaperMM), number(q.TurnedMM)
		out["tilt_deg"] = map[string]float64{"plain": q.PlainTilt * 180 / math.Pi, "paper": q.PaperTilt * 180 / math.Pi}
	case p.Found != nil:
		f := p.Found
		out["offset_mm"], out["rotation_deg"], out["cov"] = [2]float64{f.Offset.X, f.Offset.Y}, f.RotationRad*180/math.Pi, f.Cov
		out["feature_mm"] = [2]float64{f.FeatureAt.X, f.FeatureAt.Y}
		out["check"] = map[string]any{"at_mm": [2]float64{f.CheckAt.X, f.CheckAt.Y}, "reads_mm": f.CheckReads, "u95_mm": f.CheckU95MM}
		out["p_value"] = number(f.PValue)
	}
	return out
}
