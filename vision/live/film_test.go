package live

import (
	"context"
	"errors"
	"fmt"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"gocv.io/x/gocv"

	"evenrim/model"
	"evenrim/model/live"
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

// A folder's film ends without a word on the terminal: OpenCV, asked for the picture
// after the last, would complain there. It writes past Go's stderr, so this test runs
// itself once more and looks at all that came out.
func TestAFoldersFilmEndsQuietly(t *testing.T) {
	const folder = "EVENRIM_TEST_FILM"
	if dir := os.Getenv(folder); dir != "" {
		src, err := OpenFilm(dir, false)
		if err != nil {
			t.Fatal(err)
		}
		defer src.Close()
		for n := 0; ; n++ {
			_, err := src.Next(context.Background())
			var p *live.Problem
			if errors.As(err, &p) && p.Over && n == 3 {
				return
			} else if err != nil {
				t.Fatalf("after %d pictures of 3: %v", n, err)
			}
		}
	}
	dir := t.TempDir()
	for i, f := range film(t, benchScene(320, 240), 3, synth.Motion{}) {
		m, err := gocv.NewMatFromBytes(f.h, f.w, gocv.MatTypeCV8UC3, f.bgr)
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(dir, fmt.Sprintf(synth.FramePattern+".jpg", i+1))
		if !gocv.IMWrite(name, m) {
			t.Fatalf("%s was not written", name)
		}
		m.Close()
	}
	cmd := exec.Command(os.Args[0], "-test.run=^TestAFoldersFilmEndsQuietly$")
	cmd.Env = append(os.Environ(), folder+"="+dir)
	out, err := cmd.CombinedOutput()
	if err != nil || strings.Contains(string(out), dir) {
		t.Errorf("%v; the terminal shows\n%s", err, out)
	}
}
