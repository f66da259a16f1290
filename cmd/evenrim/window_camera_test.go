package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/vision/synth"
)

// longFilm writes a film of a hand-held camera that goes to and fro over a few
// drawn pictures for some half a minute.
func longFilm(t *testing.T, w, h int) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "bracket")
	s := synth.Scene{Seed: 11, Width: w, Height: h, BoreMM: 8, ChamferMM: 0.4, ThicknessMM: 10,
		Mismatch: model.Vec{X: 0.045, Y: -0.03}, TiltX: 0.015, Backing: synth.Paper, FullWellE: 9000, ReadE: 5,
		Face: synth.Finish{MarkSlope: 0.015, FineSlope: 0.015}}
	const drawn, all = 12, 900
	if err := synth.WriteFilm(context.Background(), dir, s, drawn, synth.Handheld(), nil); err != nil {
		t.Fatal(err)
	}
	name := func(i int) string { return filepath.Join(dir, fmt.Sprintf(synth.FramePattern+".jpg", i)) }
	for i := drawn; i < all; i++ {
		at := i % (2*drawn - 2)
		if at >= drawn {
			at = 2*drawn - 2 - at
		}
		if err := os.Link(name(at+1), name(i+1)); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// The live view on a real screen: a film is watched, its rims show in colour, "k"
// keeps a picture, which is read on the bench and put into the record.
func TestLiveCameraOnAScreen(t *testing.T) {
	s := openOnScreen(t, filepath.Join(t.TempDir(), "shop"), 90*time.Second,
		"--camera", longFilm(t, 640, 480), "--bore", "8mm", "--chamfer", "0.4mm", "--thickness", "10mm")
	s.wait("rims over the live picture", s.rims)
	s.focus()
	s.key("k")
	s.wait("a kept reading", func() bool {
		kept, _ := filepath.Glob(filepath.Join(s.data, "photos", "*"))
		return len(kept) > 0
	})
	s.key("Escape")
	s.end()
}
