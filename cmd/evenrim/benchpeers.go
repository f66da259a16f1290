package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"evenrim/model"
	"evenrim/model/accuracy"
	"evenrim/vision"
	"evenrim/vision/peers"
)

// peerCase is what one general-purpose way made of one photo.
type peerCase struct {
	way     string
	photo   string
	ok      bool
	um, px  float64
	hasHole bool
}

// peerCrew reads photos by general-purpose libraries; an empty one reads nothing.
type peerCrew struct {
	script  *peers.Script
	missing string // why there is no script
	dir     string
}

func (v *benchVerb) peerCrew(ctx context.Context) (*peerCrew, error) {
	if !v.peers {
		return &peerCrew{}, nil
	}
	dir, err := os.MkdirTemp("", "evenrim-peers-")
	if err != nil {
		return nil, fmt.Errorf("No folder could be made for the other libraries: %w", err)
	}
	c := &peerCrew{dir: dir}
	if c.script, err = peers.StartScript(ctx); err != nil {
		c.missing = err.Error()
	}
	return c, nil
}

func (c *peerCrew) close() {
	if c.script != nil {
		c.script.Close()
	}
	if c.dir != "" {
		os.RemoveAll(c.dir)
	}
}

// read reads one photo each way. A photo that can't be opened is nobody's.
func (c *peerCrew) read(ctx context.Context, p benchPhoto) (out []peerCase) {
	if c.dir == "" || p.err != nil || (p.Hole != nil && !*p.Hole) {
		return nil
	}
	photo, err := vision.Decode(ctx, p.File, p.data)
	if err != nil {
		return nil
	}
	defer photo.Close()
	e := peers.Expect{BoreMM: p.Bore, ChamferMM: p.Nominal, PxPerMM: p.PxPerMM, PlusX: p.job().PlusX}
	gray := photo.Gray8
	if gray == nil {
		gray = make([]byte, len(photo.Gray16))
		for i, v := range photo.Gray16 {
			gray[i] = byte(v >> 8)
		}
	}
	got, err := peers.Read(gray, photo.W, photo.H, e)
	if err != nil {
		return nil
	}
	if c.script != nil {
		about := model.Vec{X: float64(photo.W) / 2, Y: float64(photo.H) / 2}
		for _, r := range got {
			if r.OK {
				about = r.Centre
			}
		}
		// The libraries get the photo upright, as ours does.
		path := filepath.Join(c.dir, filepath.Base(p.File)+".png")
		defer os.Remove(path)
		if peers.WriteGray(path, gray, photo.W, photo.H) == nil {
			if r, err := c.script.Read(path, e, about); err == nil {
				got = append(got, r)
			}
		}
	}
	for _, r := range got {
		off := r.Mismatch.Sub(p.mismatch()).Norm()
		out = append(out, peerCase{r.Way, p.File, r.OK, 1000 * off, off * p.PxPerMM, true})
	}
	return out
}

// peerTable sets the ways side by side. Each is judged on the photos that it gave a
// number for, and beside it ours on those very photos.
func (v *benchVerb) peerTable(cases []accuracy.Case, others []peerCase, missing string) {
	ours := map[string]accuracy.Case{}
	var um, px []float64
	for _, c := range cases {
		if c.HasHole && c.Refused == "" {
			ours[c.Photo] = c
			um, px = append(um, 1000*c.ErrMM), append(px, c.ErrPx())
		}
	}
	fmt.Fprintln(v.app.out)
	w := v.table("way\treadings\tmedian um\t95 % um\tmedian px\t95 % px\t95 % against ours on the same\t")
	fmt.Fprintf(w, "evenrim\t%d\t%.1f\t%.1f\t%.2f\t%.2f\t1\t\n", len(um), accuracy.Quantile(um, 0.5), accuracy.Quantile(um, 0.95), accuracy.Quantile(px, 0.5), accuracy.Quantile(px, 0.95))
	for _, way := range peers.Ways() {
		var um, px, same []float64
		var theirs []float64
		for _, o := range others {
			if o.way != way || !o.ok {
				continue
			}
			um, px = append(um, o.um), append(px, o.px)
			if c, ok := ours[o.photo]; ok {
				same, theirs = append(same, c.ErrPx()), append(theirs, o.px)
			}
		}
		if len(um) == 0 {
			continue
		}
		fmt.Fprintf(w, "%s\t%d\t%.1f\t%.1f\t%.2f\t%.2f\t%s x\t\n", way, len(um), accuracy.Quantile(um, 0.5), accuracy.Quantile(um, 0.95),
			accuracy.Quantile(px, 0.5), accuracy.Quantile(px, 0.95), figure(accuracy.Quantile(theirs, 0.95)/accuracy.Quantile(same, 0.95), 1))
	}
	w.Flush()
	if missing != "" {
		v.say("Left out %s: %s.", peers.RANSAC, missing)
	}
}
