package main

import (
	"context"
	"fmt"
	"image"
	"image/draw"
	"math"

	"evenrim/model"
	"evenrim/model/practice"
	"evenrim/model/record"
	"evenrim/ui/port"
	"evenrim/vision/synth"
)

// studio plugs package synth into the Apprentice page.
type studio struct{}

var _ port.Photographer = studio{}

func (studio) Shoot(ctx context.Context, s practice.Shot) (port.Shooting, error) {
	if err := ctx.Err(); err != nil {
		return port.Shooting{}, err
	}
	p, t, err := synth.Draw(sceneOf(s))
	if err != nil {
		return port.Shooting{}, fmt.Errorf("The picture could not be drawn: %w", err)
	}
	data, err := p.Encode()
	if err != nil {
		return port.Shooting{}, fmt.Errorf("The picture could not be drawn: %w", err)
	}
	img := p.Image()
	rgba, ok := img.(*image.RGBA)
	if !ok {
		rgba = image.NewRGBA(img.Bounds())
		draw.Draw(rgba, rgba.Rect, img, image.Point{}, draw.Src)
	}
	return port.Shooting{Photo: rgba, Source: port.Source{Name: fmt.Sprintf("practice-%d.png", s.Seed), Data: data}, Trace: drawnTrace(t)}, nil
}

// drawnTrace is the truth as a trace.
func drawnTrace(t synth.Truth) model.Trace {
	points := func(ps []synth.Point) (out []model.EdgePoint) {
		for _, p := range ps {
			if p != nil {
				out = append(out, model.EdgePoint{X: p[0], Y: p[1], SigmaPx: 0.05})
			}
		}
		return out
	}
	return model.Trace{WidthPx: t.Width, HeightPx: t.Height, BlurPx: 1, Outer: points(t.Image.Outer), Bore: points(t.Image.Bore), Exit: points(t.Image.Exit)}
}

// sceneOf is a shot as package synth draws it, with the little imperfections that
// make metal look like metal.
func sceneOf(s practice.Shot) synth.Scene {
	out := synth.Scene{
		Seed: s.Seed, Width: s.WidthPx, Height: s.HeightPx, PxPerMM: s.PxPerMM,
		Mismatch: s.Mismatch, BoreMM: s.BoreMM, ChamferMM: s.ChamferMM, NominalMM: s.NominalMM, ThicknessMM: s.ThicknessMM,
		OffX: s.OffX, OffY: s.OffY, PlusX: s.PlusX, TiltX: s.TiltX, TiltY: s.TiltY, DistanceMM: s.DistanceMM,
		Light: synth.Light(s.Light), LightAzimuth: s.LightRad, Backing: synth.Backing(s.Backing),
		Face:    synth.Finish{FeedMM: 0.22, MarkSlope: s.Marks, FineSlope: 0.5 * s.Marks, RadiusMM: 30, Direction: s.MarksRad, Grain: s.Grain},
		Chatter: synth.Chatter{Grain: 0.03, Waves: 64},
		RoundMM: 0.006, RoughMM: 0.0008, BlurPx: 0.9, FullWellE: 20000, ReadE: 5, Format: synth.PNG,
	}
	for _, f := range s.Flaws {
		switch f.Kind {
		case practice.Burr:
			out.Damage = append(out.Damage, synth.Damage{Kind: synth.Burr, AtRad: f.AtRad, WidthRad: f.WidthRad, SizeMM: f.SizeMM})
		case practice.Gouge:
			out.Damage = append(out.Damage, synth.Damage{Kind: synth.Gouge, AtRad: f.AtRad, WidthRad: f.WidthRad, SizeMM: f.SizeMM})
		case practice.Dirt:
			r := s.BoreMM/2 + s.ChamferMM
			out.Damage = append(out.Damage,
				synth.Damage{Kind: synth.Dust, Count: 12, SizeMM: f.SizeMM},
				synth.Damage{Kind: synth.Smear, Pos: model.Polar(1.1*r, f.AtRad), RXMM: 0.35 * r, RYMM: 0.2 * r})
		}
	}
	return out
}

// diary plugs the record's practice pages into the window.
type diary struct{ *shelf }

var (
	_ port.Diary     = diary{}
	_ port.Threshold = diary{}
)

func (d diary) People(ctx context.Context) ([]string, error) {
	if d.err != nil {
		return nil, d.err
	}
	people, err := d.store.People(ctx)
	out := make([]string, len(people))
	for i, p := range people {
		out[i] = p.Name
	}
	return out, err
}

func (d diary) Progress(ctx context.Context, person string) (practice.Progress, error) {
	p := practice.Progress{Person: person}
	if d.err != nil {
		return p, d.err
	}
	kept, err := d.store.Exercises(ctx, person)
	if err != nil {
		return p, err
	}
	return progressOf(person, kept)
}

func progressOf(person string, kept []record.Exercise) (practice.Progress, error) {
	p := practice.Progress{Person: person}
	for _, k := range kept {
		e, ok, err := practice.Unpack(k.At, k.Kind, k.Body)
		if err != nil {
			return p, err
		}
		if ok {
			p.Entries = append(p.Entries, e)
		}
	}
	return p, nil
}

func (d diary) Write(ctx context.Context, person string, e practice.Entry) error {
	if d.err != nil {
		return d.err
	}
	kind, body, err := e.Pack()
	if err != nil {
		return err
	}
	return d.store.KeepExercise(ctx, person, kind, body)
}

func (d diary) Forget(ctx context.Context, person string) error {
	if d.err != nil {
		return d.err
	}
	return d.store.ForgetPerson(ctx, person)
}

// Thresholds implements port.Threshold.
func (d diary) Thresholds(ctx context.Context) ([]practice.Threshold, error) {
	people, err := d.People(ctx)
	if err != nil {
		return nil, err
	}
	var out []practice.Threshold
	for _, name := range people {
		p, err := d.Progress(ctx, name)
		if err != nil {
			return nil, err
		}
		if t, ok := p.Eye(); ok && !math.IsNaN(t.Share) {
			out = append(out, t)
		}
	}
	return out, nil
}
