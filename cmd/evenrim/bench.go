package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"evenrim/model"
	"evenrim/vision"
	"evenrim/vision/synth"
)

func newBenchCmd(a *app) *cobra.Command {
	var dir string
	var count int
	cmd := &cobra.Command{
		Use:   "bench",
		Short: "Show how well and how fast photos of known mismatch are read",
		Long: `Reads photos whose truth is known and prints the error of each, the uncertainty
it stated, whether that covered the error, and the time. The photos are those of a
folder with an index.json of their truth, or freshly drawn synthetic ones.`,
		Example: "  evenrim bench --photos testdata/photos\n  evenrim bench --count 12",
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if count < 1 || count > 10000 {
				return usage("--count is a number from 1 to 10000, not %d.", count)
			}
			return runBench(cmd.Context(), a, dir, count)
		},
	}
	cmd.Flags().StringVar(&dir, "photos", "", "`folder` with photos and an index.json of their truth")
	cmd.Flags().IntVar(&count, "count", 12, "how many synthetic photos to draw when no folder is named")
	return cmd
}

// knownPhoto is a photo's truth, in the key names of index.json.
type knownPhoto struct {
	File       string  `json:"file"`
	Hole       *bool   `json:"hole"` // false: there is nothing to read in it
	DX         float64 `json:"dx_mm"`
	DY         float64 `json:"dy_mm"`
	Bore       float64 `json:"bore_diameter_mm"`
	Nominal    float64 `json:"nominal_chamfer_width_mm"`
	HalfAngle  float64 `json:"chamfer_half_angle_deg"`
	Thickness  float64 `json:"thickness_mm"`
	PxPerMM    float64 `json:"px_per_mm"`
	PlusX      float64 `json:"plus_x_deg"`
	Light      string  `json:"lighting"`
	Background string  `json:"backing"`
}

func (k knownPhoto) job() model.JobCard {
	return model.JobCard{BoreMM: k.Bore, ChamferMM: k.Nominal, ThicknessMM: k.Thickness,
		HalfAngle: k.HalfAngle * math.Pi / 180, PlusX: k.PlusX * math.Pi / 180}.WithDefaults()
}

func runBench(ctx context.Context, a *app, dir string, count int) error {
	if dir == "" {
		tmp, err := os.MkdirTemp("", "evenrim-bench-")
		if err != nil {
			return fmt.Errorf("No folder could be made for the synthetic photos: %w", err)
		}
		defer os.RemoveAll(tmp)
		fmt.Fprintf(a.errOut, "Drawing %d synthetic photos.\n", count)
		if err := synth.WriteSet(ctx, tmp, count, 1, nil); err != nil {
			return err
		}
		dir = tmp
	}
	data, err := os.ReadFile(filepath.Join(dir, "index.json"))
	if err != nil {
		return usage("The truth of the photos is not there: %s should hold an index.json.", dir)
	}
	var index struct{ Photos []knownPhoto }
	if err := json.Unmarshal(data, &index); err != nil || len(index.Photos) == 0 {
		return usage("index.json in %s does not list photos with their truth.", dir)
	}
	w := tabwriter.NewWriter(a.out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "photo\tlight\tbacking\tview\terror um\terror px\tu95 um\tcovered\ts\tdecode s\t")
	var sum benchSum
	for _, k := range index.Photos {
		if err := ctx.Err(); err != nil {
			return err
		}
		sum.add(w, k, benchOne(ctx, filepath.Join(dir, k.File), k))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	_, err = fmt.Fprintln(a.out, sum.line())
	return err
}

// benchResult is what became of one known photo.
type benchResult struct {
	result
	decode, total time.Duration
}

func benchOne(ctx context.Context, path string, k knownPhoto) benchResult {
	start := time.Now()
	photo, err := vision.Open(ctx, path)
	if err != nil {
		return benchResult{result: result{err: err}}
	}
	defer photo.Close()
	decode := time.Since(start)
	res := measure(ctx, photo, k.job(), false, start)
	return benchResult{res, decode, time.Since(start)}
}

// benchSum gathers what the last line says.
type benchSum struct {
	um, px           []float64
	covered, refused int
	wrongly          int // readings of photos that hold none
}

func (s *benchSum) add(w *tabwriter.Writer, k knownPhoto, b benchResult) {
	if b.err != nil {
		s.refused++
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t\t\t\t\t%.2f\t%.2f\t\n", k.File, k.Light, k.Background, model.AsRefusal(b.err).Reason, b.total.Seconds(), b.decode.Seconds())
		return
	}
	if k.Hole != nil && !*k.Hole {
		s.wrongly++
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t\t\t%.1f\tNO HOLE\t%.2f\t%.2f\t\n", k.File, k.Light, k.Background, b.reading.View.How, 1000*b.reading.U95MM, b.total.Seconds(), b.decode.Seconds())
		return
	}
	r := b.reading
	off := r.Mismatch.Sub(model.Vec{X: k.DX, Y: k.DY})
	factor := model.CoverageFactor(model.EffectiveDOF(r.Budget))
	word := "no"
	if r.Cov.Mahalanobis2(off) <= factor*factor {
		s.covered++
		word = "yes"
	}
	s.um, s.px = append(s.um, 1000*off.Norm()), append(s.px, off.Norm()*k.PxPerMM)
	fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%.1f\t%.2f\t%.1f\t%s\t%.2f\t%.2f\t\n", k.File, k.Light, k.Background, r.View.How,
		1000*off.Norm(), off.Norm()*k.PxPerMM, 1000*r.U95MM, word, b.total.Seconds(), b.decode.Seconds())
}

func (s *benchSum) line() string {
	if len(s.um) == 0 {
		return fmt.Sprintf("No readings; %d photos refused.", s.refused)
	}
	slices.Sort(s.um)
	slices.Sort(s.px)
	within := 0
	for _, e := range s.um {
		if e < 10 {
			within++
		}
	}
	at := func(x []float64, share float64) float64 {
		return x[min(int(math.Ceil(share*float64(len(x))))-1, len(x)-1)]
	}
	text := fmt.Sprintf("%d readings, %d refused. Error: median %.1f um (%.2f px), 95 %% %.1f um (%.2f px), %d of %d below 10 um. The stated 95 %% region covered %.0f %%.",
		len(s.um), s.refused, at(s.um, 0.5), at(s.px, 0.5), at(s.um, 0.95), at(s.px, 0.95), within, len(s.um), 100*float64(s.covered)/float64(len(s.um)))
	if s.wrongly > 0 {
		text += fmt.Sprintf(" %d photos without a hole got a number.", s.wrongly)
	}
	return text
}
