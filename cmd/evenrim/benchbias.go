package main

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"runtime"
	"time"

	"gonum.org/v1/plot/vg"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/report"
	"evenrim/vision"
	"evenrim/vision/synth"
)

// point is one place of a sweep: a scene, and along which direction (part axes) the
// mismatch's error is taken.
type point struct {
	x     float64
	scene synth.Scene
	along model.Vec
}

// sweep varies one thing.
type sweep struct {
	title, label string
	log          bool
	points       []point
}

// plain is a hole with a chamfer 22 px wide under flat light: what is varied is
// then all there is. The wall is darker than any chamfer here, as an edge without
// contrast has no place. A small picture will do: bias belongs to the edge, not to the
// number of pixels.
func plain() synth.Scene {
	return synth.Scene{Width: 800, Height: 600, BoreMM: 8, ChamferMM: 0.5, ThicknessMM: 10, PxPerMM: 45, Parallel: false,
		Mismatch: model.Vec{X: 0.05, Y: 0}, TiltX: 0.01, TiltY: 0.02, Backing: synth.Paper, BlurPx: 1.1, Format: synth.PNG16,
		Clean: &synth.Clean{Face: 0.25, Chamfer: 0.5, Wall: 0.02, Backing: 0.6, NoiseSD: 0.01}}
}

// sweeps lists what is varied.
func sweeps() []sweep {
	x := model.Vec{X: 1}
	contrast := sweep{title: "Edge contrast", label: "light of the chamfer over light of the face", log: true}
	for _, q := range []float64{0.2, 0.4, 0.6, 0.8, 1.25, 1.7, 2.5, 3.8} {
		s := plain()
		c := *s.Clean
		c.Chamfer = q * c.Face
		s.Clean = &c
		contrast.points = append(contrast.points, point{q, s, x})
	}
	blur := sweep{title: "Blur", label: "sd of the blur, px", log: true}
	for _, b := range []float64{0.5, 0.7, 1, 1.4, 2, 2.8} {
		s := plain()
		s.BlurPx = b
		blur.points = append(blur.points, point{b, s, x})
	}
	phase := sweep{title: "Place within the pixel", label: "of the hole's centre, px"}
	for i := range 8 {
		s := plain()
		s.OffX = float64(i) / 8
		phase.points = append(phase.points, point{s.OffX, s, x})
	}
	round := sweep{title: "Rounded edge, light from one side", label: "radius of the rounding, um"}
	for _, r := range []float64{0, 5, 10, 15, 20} {
		s := plain()
		s.Clean = nil
		s.Light, s.RoundMM, s.FullWellE, s.ReadE, s.PxPerMM = synth.Side, r/1000, 20000, 4, 60
		// Away from the lamp: part axes, as +X is to the right.
		round.points = append(round.points, point{r, s, x})
	}
	return []sweep{contrast, blur, phase, round}
}

// biasOutcome is one reading of a sweep, errors in px.
type biasOutcome struct {
	at           [2]int // sweep, point
	along, width float64
	ok           bool
	err          error
}

// bias makes the figure of the mean error. Each place is read --count times with new
// noise; all but the sweep of the phase with the hole at a place within the
// pixel that chance chooses.
func (v *benchVerb) bias(ctx context.Context) error {
	all := sweeps()
	type task struct {
		at  [2]int
		rep int
	}
	var tasks []task
	for i, s := range all {
		for j := range s.points {
			for k := range v.count {
				tasks = append(tasks, task{[2]int{i, j}, k})
			}
		}
	}
	bar := v.app.progress("readings", len(tasks))
	got := map[[2]int][]biasOutcome{}
	workers := runtime.GOMAXPROCS(0)
	err := inOrder(len(tasks), workers, 2*workers, func(i int) biasOutcome {
		t := tasks[i]
		p := all[t.at[0]].points[t.at[1]]
		s := p.scene
		s.Seed, s.Frame = v.seed, uint64(i)
		if all[t.at[0]].title != "Place within the pixel" {
			// A low-discrepancy walk over the pixel: few repeats cover it.
			s.OffX, s.OffY = math.Mod(0.5+0.7549*float64(t.rep), 1), math.Mod(0.5+0.5698*float64(t.rep), 1)
		}
		return readBias(ctx, t.at, s, p.along)
	}, func(_ int, o biasOutcome) error {
		if o.err != nil {
			return o.err
		}
		bar.step()
		got[o.at] = append(got[o.at], o)
		return nil
	})
	bar.clear()
	if err != nil {
		return err
	}
	f := chart.SweepsFigure{YLabel: "mean error, px", Style: chart.Light()}
	for i, s := range all {
		fmt.Fprintln(v.app.out)
		w := v.table(s.label + "\treadings\tmismatch px\t+/- s.e.\twidth px\t+/- s.e.\t")
		line := chart.Sweep{Title: s.title, XLabel: s.label, Log: s.log,
			Lines: []chart.SweepLine{{Name: "mismatch"}, {Name: "chamfer width"}}}
		for j, p := range s.points {
			var m, q []float64
			for _, o := range got[[2]int{i, j}] {
				if o.ok {
					m, q = append(m, o.along), append(q, o.width)
				}
			}
			mean, se := meanSE(m)
			wide, wse := meanSE(q)
			fmt.Fprintf(w, "%.3g\t%d of %d\t%s\t%s\t%s\t%s\t\n", p.x, len(m), v.count, signedFigure(mean), figure(se, 3), signedFigure(wide), figure(wse, 3))
			line.X = append(line.X, p.x)
			line.Lines[0].Mean, line.Lines[0].SE = append(line.Lines[0].Mean, mean), append(line.Lines[0].SE, se)
			line.Lines[1].Mean, line.Lines[1].SE = append(line.Lines[1].Mean, wide), append(line.Lines[1].SE, wse)
		}
		w.Flush()
		f.Sweeps = append(f.Sweeps, line)
	}
	return v.draw("bias.png", &f, 8*vg.Inch, 5.4*vg.Inch)
}

// readBias draws and reads one photo.
func readBias(ctx context.Context, at [2]int, s synth.Scene, along model.Vec) biasOutcome {
	o := biasOutcome{at: at}
	r, truth, err := drawAndRead(ctx, s)
	if err != nil {
		o.err = err
		return o
	}
	if r == nil {
		return o // refused
	}
	o.ok = true
	o.along = r.Mismatch.Sub(model.Vec{X: truth.DX, Y: truth.DY}).Dot(along) * truth.PxPerMM
	o.width = (r.WidthMM - truth.Chamfer) * truth.PxPerMM
	return o
}

// drawAndRead reads a drawn scene the whole way, file and all. The reading is nil
// where it was refused.
func drawAndRead(ctx context.Context, s synth.Scene) (*model.Reading, synth.Truth, error) {
	if err := ctx.Err(); err != nil {
		return nil, synth.Truth{}, err
	}
	p, truth, err := synth.Draw(s)
	if err != nil {
		return nil, truth, err
	}
	data, err := p.Encode()
	if err != nil {
		return nil, truth, err
	}
	photo, err := vision.Decode(ctx, "drawn", data)
	if err != nil {
		return nil, truth, ctx.Err()
	}
	defer photo.Close()
	res := measure(ctx, photo, knownOf(truth).job(), false, time.Now())
	return res.reading, truth, ctx.Err()
}

func meanSE(x []float64) (mean, se float64) {
	n := float64(len(x))
	if n < 1 {
		return math.NaN(), math.NaN()
	}
	for _, v := range x {
		mean += v / n
	}
	for _, v := range x {
		se += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(se / math.Max(n-1, 1) / n)
}

func signedFigure(x float64) string {
	if math.IsNaN(x) {
		return "-"
	}
	return fmt.Sprintf("%+.3f", x)
}

// draw writes a figure into the folder of --out; without one it says so.
func (v *benchVerb) draw(name string, f chart.Figure, w, h vg.Length) error {
	if v.out == "" {
		v.say("No figure was drawn: name a folder for it with --out.")
		return nil
	}
	path := filepath.Join(v.out, name)
	if err := report.SaveFigure(path, f, w, h, chart.PNG); err != nil {
		return fmt.Errorf("The figure cannot be written: %w", err)
	}
	v.say("The figure is in %s.", path)
	return nil
}
