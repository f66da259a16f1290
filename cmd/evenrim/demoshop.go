package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"runtime"
	"time"

	"evenrim/model"
	"evenrim/model/record"
	"evenrim/vision/synth"
)

// The demo shop is ours: two people who make brackets for model steam engines.
// Its photos are drawn from exact geometry with a fixed seed and then read like
// any other, so that every installation shows the same figures.

// demoStart is when the demo's first part was made: a Monday before the first release, for
// no reading is of the future.
var demoStart = time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)

// demoJob is the slide bar bracket's card.
var demoJob = model.JobCard{Name: "slide bar bracket", BoreMM: 8, ChamferMM: 0.3, ThicknessMM: 10, ToleranceMM: 0.0254}

// demoPart is one photo of the demo.
type demoPart struct {
	labels record.Labels
	truth  model.Vec
}

// demoParts are the demo's photos in the order of making.
func demoParts() []demoPart {
	rng := rand.New(rand.NewPCG(20, 31))
	var out []demoPart
	add := func(n int, batch, operator, note string, at func(i int) model.Vec, sd model.Vec) {
		for i := range n {
			d := at(i).Add(model.Vec{X: sd.X * rng.NormFloat64(), Y: sd.Y * rng.NormFloat64()})
			l := record.Labels{Part: fmt.Sprintf("%s%d", batch[:1], i+1), Batch: batch, Operator: operator, Machine: "small mill", Tags: []string{"demo"}}
			if i == 0 {
				l.Note = note
			}
			out = append(out, demoPart{l, d})
		}
	}
	// Sawn edges stand proud of where the drawing has them, each by its own.
	add(8, "raw edge", "Wren", "picked up the raw edge as reference", func(int) model.Vec { return model.Vec{X: 0.065, Y: 0.001} }, model.Vec{X: 0.036, Y: 0.006})
	add(10, "fixed", "Wren", "picked up the milled edge instead", func(int) model.Vec { return model.Vec{X: 0.002, Y: -0.002} }, model.Vec{X: 0.005, Y: 0.005})
	// The vise warms up: every part a little further.
	add(12, "drifting", "Moss", "the whole morning without a break", func(i int) model.Vec { return model.Vec{X: -0.006 + 0.0032*float64(i), Y: -0.001} }, model.Vec{X: 0.0035, Y: 0.0035})
	// Four parts, each photographed twice by both.
	four := []model.Vec{{X: 0.004, Y: 0.006}, {X: 0.022, Y: -0.004}, {X: -0.013, Y: 0.015}, {X: 0.009, Y: -0.019}}
	for _, who := range []string{"Wren", "Moss"} {
		for range 2 {
			for i, d := range four {
				out = append(out, demoPart{record.Labels{Part: fmt.Sprintf("g%d", i+1), Batch: "gauge study", Operator: who, Machine: "small mill", Tags: []string{"demo", "study"}}, d})
			}
		}
	}
	return out
}

// demoScene is how photo i is taken: by hand, so a little different each time.
func demoScene(i int, d model.Vec) synth.Scene {
	rng := rand.New(rand.NewPCG(uint64(i), 77))
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }
	s := synth.Scene{
		Seed: uint64(i) + 1, Width: 720, Height: 540, Mismatch: d,
		BoreMM: demoJob.BoreMM, ChamferMM: 0.292, NominalMM: demoJob.ChamferMM, ThicknessMM: demoJob.ThicknessMM,
		PlusX: between(-0.5, 0.5), TiltX: between(-0.02, 0.02), TiltY: between(-0.02, 0.02),
		OffX: between(-18, 18), OffY: between(-14, 14), DistanceMM: between(140, 190), PxPerMM: between(47, 53),
		Light: synth.Ring, Backing: synth.Paper, BackingLevel: 0.6, FaceLevel: 0.3, RoundMM: 0.004, RoughMM: 0.001, BlurPx: between(0.9, 1.2),
		FullWellE: 24000, ReadE: 4, Vignette: 0.1, Quality: 90, Cast: [3]float64{1, 0.97, 0.9},
	}
	s.Face = synth.Finish{MarkSlope: 0.05, FineSlope: 0.02, RadiusMM: 25, Direction: between(-3, 3), Grain: 0.03}
	return s
}

// fillDemo draws, reads and keeps the demo's photos.
func fillDemo(ctx context.Context, s *record.Store, parts []demoPart, progress func(float64, string)) error {
	type made struct {
		reading *model.Reading
		file    []byte
		err     error
	}
	workers := runtime.GOMAXPROCS(0)
	results := make([]chan made, len(parts))
	for i := range results {
		results[i] = make(chan made, 1)
	}
	slots := make(chan struct{}, workers)
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	go func() {
		for i, p := range parts {
			select {
			case slots <- struct{}{}:
			case <-ctx.Done():
				results[i] <- made{err: ctx.Err()}
				continue
			}
			go func() {
				defer func() { <-slots }()
				r, file, err := demoPhoto(ctx, i, p)
				results[i] <- made{r, file, err}
			}()
		}
	}()
	for i, p := range parts {
		m := <-results[i]
		if m.err != nil {
			return m.err
		}
		if _, err := s.Keep(ctx, m.reading, m.file, p.labels); err != nil {
			return err
		}
		progress(float64(i+1)/float64(len(parts)), fmt.Sprintf("drawing and reading the demo shop's photos, %d of %d", i+1, len(parts)))
	}
	return nil
}

// demoMadeAt is when photo i was read.
func demoMadeAt(i int) time.Time { return demoStart.Add(time.Duration(i) * 13 * time.Minute) }

// demoPhoto draws photo i and reads it.
func demoPhoto(ctx context.Context, i int, p demoPart) (*model.Reading, []byte, error) {
	scene := demoScene(i, p.truth)
	picture, _, err := synth.Draw(scene)
	if err != nil {
		return nil, nil, err
	}
	file, err := picture.Encode()
	if err != nil {
		return nil, nil, err
	}
	job := demoJob
	job.PlusX = scene.PlusX
	r, err := readBytes(ctx, fmt.Sprintf("%s-%02d.jpg", fileName(p.labels.Batch), i+1), file, job)
	if err != nil {
		return nil, nil, fmt.Errorf("demo photo %d: %w", i+1, err)
	}
	r.MadeAt = demoMadeAt(i)
	r.Seconds = 0 // the same on every machine
	return r, file, nil
}
