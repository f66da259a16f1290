package live

import (
	"context"
	"image"
	"path/filepath"
	"testing"

	"gocv.io/x/gocv"

	"evenrim/model"
	"evenrim/vision/synth"
)

// benchScene is a bracket's hole under a phone on a stand, white paper under it.
func benchScene(w, h int) synth.Scene {
	return synth.Scene{Seed: 11, Width: w, Height: h, BoreMM: 8, ChamferMM: 0.4, ThicknessMM: 10,
		Mismatch: model.Vec{X: 0.045, Y: -0.03}, TiltX: 0.015, TiltY: -0.02, PlusX: 0.2,
		Backing: synth.Paper, FullWellE: 9000, ReadE: 5, RoundMM: 0.008,
		Face: synth.Finish{MarkSlope: 0.015, FineSlope: 0.015}, Chatter: synth.Chatter{Slope: 0.02, Grain: 0.02}}.WithDefaults()
}

// drawn turns a drawn picture into a frame.
func drawn(p *synth.Picture, seq int) *frame {
	img := p.Image().(*image.RGBA)
	f := &frame{seq: seq, w: p.Width, h: p.Height, bgr: make([]byte, 3*p.Width*p.Height), gray: make([]byte, p.Width*p.Height)}
	for i := range f.gray {
		r, g, b := img.Pix[4*i], img.Pix[4*i+1], img.Pix[4*i+2]
		f.bgr[3*i], f.bgr[3*i+1], f.bgr[3*i+2] = b, g, r
		f.gray[i] = byte((299*int(r) + 587*int(g) + 114*int(b) + 500) / 1000)
	}
	return f
}

// film draws n frames under a moving camera.
func film(t testing.TB, s synth.Scene, n int, m synth.Motion) []*frame {
	t.Helper()
	var out []*frame
	err := synth.Film(context.Background(), s, n, m, func(i int, p *synth.Picture, _ synth.Truth) error {
		out = append(out, drawn(p, i+1))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// video writes frames to a file of moving JPEG, as a camera's recording is, and
// returns its path. A nil frame is a picture without any hole.
func video(t testing.TB, frames []*frame) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "bracket.avi")
	w, h := frames[0].w, frames[0].h
	vw, err := gocv.VideoWriterFile(path, "MJPG", 30, w, h, true)
	if err != nil {
		t.Fatal(err)
	}
	defer vw.Close()
	for _, f := range frames {
		bgr := make([]byte, 3*w*h)
		if f != nil {
			bgr = f.bgr
		} else {
			for i := range bgr {
				bgr[i] = byte(120 + (i*7919%17 - 8)) // a plain bench
			}
		}
		m, err := gocv.NewMatFromBytes(h, w, gocv.MatTypeCV8UC3, bgr)
		if err != nil {
			t.Fatal(err)
		}
		if err := vw.Write(m); err != nil {
			t.Fatal(err)
		}
		m.Close()
	}
	return path
}
