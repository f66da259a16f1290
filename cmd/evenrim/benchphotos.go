package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"time"

	"evenrim/model"
	"evenrim/model/accuracy"
	"evenrim/vision"
	"evenrim/vision/synth"
)

// knownPhoto is a photo's truth, in the key names of index.json.
type knownPhoto struct {
	File       string  `json:"file"`
	Hole       *bool   `json:"hole"` // false: there is nothing to read in it
	DX         float64 `json:"dx_mm"`
	DY         float64 `json:"dy_mm"`
	Bore       float64 `json:"bore_diameter_mm"`
	Width      float64 `json:"chamfer_width_mm"`
	Nominal    float64 `json:"nominal_chamfer_width_mm"`
	HalfAngle  float64 `json:"chamfer_half_angle_deg"`
	Thickness  float64 `json:"thickness_mm"`
	PxPerMM    float64 `json:"px_per_mm"`
	PlusX      float64 `json:"plus_x_deg"`
	Light      string  `json:"lighting"`
	Background string  `json:"backing"`
	Series     string  `json:"series"`   // of photos that belong together, "" = none
	Turn       float64 `json:"turn_deg"` // of the part since the series' first photo
}

func (k knownPhoto) job() model.JobCard {
	return model.JobCard{BoreMM: k.Bore, ChamferMM: k.Nominal, ThicknessMM: k.Thickness,
		HalfAngle: k.HalfAngle * math.Pi / 180, PlusX: k.PlusX * math.Pi / 180}.WithDefaults()
}

func (k knownPhoto) mismatch() model.Vec { return model.Vec{X: k.DX, Y: k.DY} }

// benchPhoto is one photo of a bench: its truth and its file's bytes.
type benchPhoto struct {
	knownPhoto
	data []byte
	err  error // the file could not be read or drawn
}

// benchSet gives the photos of a bench one at a time: thousands need no room.
type benchSet struct {
	n   int
	get func(i int) benchPhoto
}

func (v *benchVerb) set() (benchSet, error) {
	if v.photos == "" {
		v.say("Drawing and reading %d synthetic photos.", v.count)
		return benchSet{v.count, v.drawn}, nil
	}
	data, err := os.ReadFile(filepath.Join(v.photos, "index.json"))
	if err != nil {
		return benchSet{}, usage("The truth of the photos is not there: %s should hold an index.json.", v.photos)
	}
	var index struct{ Photos []knownPhoto }
	if err := json.Unmarshal(data, &index); err != nil || len(index.Photos) == 0 {
		return benchSet{}, usage("index.json in %s does not list photos with their truth.", v.photos)
	}
	return benchSet{len(index.Photos), func(i int) benchPhoto {
		k := index.Photos[i]
		data, err := vision.ReadFile(filepath.Join(v.photos, k.File))
		return benchPhoto{k, data, err}
	}}, nil
}

// drawn draws photo i, the kinds of light in turn.
func (v *benchVerb) drawn(i int) benchPhoto {
	s := synth.RandomTurned(v.seed<<32, i, v.turns)
	p, truth, err := synth.Draw(s)
	if err != nil {
		return benchPhoto{err: err}
	}
	k := knownOf(truth)
	k.File = fmt.Sprintf("s%05d%s", i+1, s.Format.Ext())
	data, err := p.Encode()
	return benchPhoto{k, data, err}
}

func knownOf(t synth.Truth) knownPhoto {
	series := ""
	if t.Series != nil {
		series = *t.Series
	}
	return knownPhoto{Series: series, Turn: t.Turn, File: t.File, DX: t.DX, DY: t.DY, Bore: t.Bore, Width: t.Chamfer, Nominal: t.Nominal, HalfAngle: t.Half,
		Thickness: t.Thick, PxPerMM: t.PxPerMM, PlusX: t.PlusX, Light: string(t.Light), Background: string(t.Backing)}
}

// readKnown reads one photo and judges it, as the card is and with a card that is off;
// how far off follows from the photo's place in the set. There is no reading where it was refused.
func readKnown(ctx context.Context, p benchPhoto, i int) (accuracy.Case, *model.Reading, error) {
	c := accuracy.Case{Photo: p.File, Light: p.Light, Backing: p.Background, WidthPx: p.Width * p.PxPerMM, UmPerPx: 1000 / p.PxPerMM,
		HasHole: p.Hole == nil || *p.Hole}
	if p.err != nil {
		if model.AsRefusal(p.err).Reason == "" {
			return c, nil, p.err
		}
		c.Refused = model.AsRefusal(p.err).Reason
		return c, nil, nil
	}
	start := time.Now()
	photo, err := vision.Decode(ctx, p.File, p.data)
	c.Decode = time.Since(start).Seconds()
	var res result
	if err != nil {
		res.err = err
	} else {
		defer photo.Close()
		res = measure(ctx, photo, p.job(), false, start)
	}
	c.Seconds = time.Since(start).Seconds()
	switch {
	case res.err != nil && ctx.Err() != nil:
		return c, nil, ctx.Err()
	case res.err != nil:
		c.Refused = model.AsRefusal(res.err).Reason
	default:
		c.Judge(res.reading, p.mismatch())
		c.JudgeCard(res.reading, p.mismatch(), rand.New(rand.NewPCG(uint64(i), 0)))
	}
	return c, res.reading, nil
}

// readAll reads a set of photos and prints its tables.
func (v *benchVerb) readAll(ctx context.Context) error {
	set, err := v.set()
	if err != nil {
		return err
	}
	type outcome struct {
		c       accuracy.Case
		photo   knownPhoto
		reading *model.Reading
		err     error
		peers   []peerCase
	}
	workers := runtime.GOMAXPROCS(0)
	if set.n < 50 {
		workers = 1 // times mean something then
	}
	crew, err := v.peerCrew(ctx)
	if err != nil {
		return err
	}
	defer crew.close()
	var cases []accuracy.Case
	var sets turnSets
	var others []peerCase
	bar := v.app.progress("photos read", set.n)
	lines := newLines(v)
	err = inOrder(set.n, workers, 2*workers, func(i int) outcome {
		if ctx.Err() != nil {
			return outcome{err: ctx.Err()}
		}
		p := set.get(i)
		c, r, err := readKnown(ctx, p, i)
		if err != nil {
			return outcome{err: err}
		}
		return outcome{c, p.knownPhoto, r, nil, crew.read(ctx, p)}
	}, func(i int, o outcome) error {
		if o.err != nil {
			return o.err
		}
		bar.step()
		cases = append(cases, o.c)
		sets.add(o.photo, o.reading, o.c.Refused)
		others = append(others, o.peers...)
		return lines.add(o.c)
	})
	bar.clear()
	if err != nil {
		return err
	}
	if err := lines.flush(); err != nil {
		return err
	}
	v.tables(cases)
	joined, err := sets.cases()
	if err != nil {
		return err
	}
	v.setTable(joined)
	if v.peers {
		v.peerTable(cases, others, crew.missing)
	}
	if v.out != "" {
		return errors.Join(writeCases(filepath.Join(v.out, "photos.csv"), cases), writeCases(filepath.Join(v.out, "turnsets.csv"), joined))
	}
	return nil
}

// writeCases writes a line for each photo, for work of one's own.
func writeCases(path string, cases []accuracy.Case) error {
	f, err := os.Create(path)
	if err != nil {
		return fmt.Errorf("The table cannot be written: %w", err)
	}
	w := csv.NewWriter(f)
	num := func(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }
	w.Write([]string{"photo", "light", "backing", "width_px", "um_per_px", "refused", "view", "error_x_mm", "error_y_mm", "u95_mm", "covered", "p_within", "within", "seconds"})
	for _, c := range cases {
		w.Write([]string{c.Photo, c.Light, c.Backing, num(c.WidthPx), num(c.UmPerPx), string(c.Refused), string(c.View), num(c.Off.X), num(c.Off.Y),
			num(c.U95MM), strconv.FormatBool(c.Covered), num(c.PWithin), strconv.FormatBool(c.Within), num(c.Seconds)})
	}
	w.Flush()
	return errors.Join(w.Error(), f.Close())
}
