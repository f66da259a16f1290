package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
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
	display := screen(t)
	data := filepath.Join(t.TempDir(), "shop")
	cmd := program(t, "--camera", longFilm(t, 640, 480), "--bore", "8mm", "--chamfer", "0.4mm", "--thickness", "10mm", "--data", data)
	home := t.TempDir()
	cmd.Env = append(cmd.Env, "DISPLAY="+display, "LIBGL_ALWAYS_SOFTWARE=1", "HOME="+home, "XDG_CONFIG_HOME="+home)
	var words strings.Builder
	cmd.Stderr = &words
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill() })
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	shot := filepath.Join(t.TempDir(), "live.png")
	deadline := time.Now().Add(90 * time.Second)
	wait := func(what string, until func() bool) {
		for !until() {
			select {
			case err := <-ended:
				t.Fatalf("the program ended by itself: %v\n%s", err, words.String())
			case <-time.After(500 * time.Millisecond):
			}
			if time.Now().After(deadline) {
				t.Fatalf("%s: not after 90 s; stderr %q", what, words.String())
			}
		}
	}
	wait("rims over the live picture", func() bool { return colours(t, display, shot) })
	key := func(k string) {
		c := exec.Command("xdotool", "key", k)
		c.Env = append(os.Environ(), "DISPLAY="+display)
		if out, err := c.CombinedOutput(); err != nil {
			t.Fatalf("xdotool key %s: %v %s", k, err, out)
		}
	}
	focus := exec.Command("xdotool", "search", "--name", "Evenrim", "windowfocus")
	focus.Env = append(os.Environ(), "DISPLAY="+display)
	focus.Run()
	key("k")
	wait("a kept reading", func() bool {
		kept, _ := filepath.Glob(filepath.Join(data, "photos", "*"))
		return len(kept) > 0
	})
	key("Escape")
	if err := cmd.Process.Signal(syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	select {
	case err := <-ended:
		if code := exitOf(t, err); code != 0 || besidesPreferences(words.String()) != "" {
			t.Errorf("exit code %d, stderr %q; want 0 and nothing", code, words.String())
		}
	case <-time.After(30 * time.Second):
		cmd.Process.Kill()
		t.Error("the window does not end on Ctrl-C")
	}
}
