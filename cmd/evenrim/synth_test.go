package main

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// runSynth runs "evenrim synth" with args in folder dir.
func runSynth(t *testing.T, dir string, args ...string) (code int, out, words string) {
	t.Helper()
	t.Chdir(dir)
	var o, e bytes.Buffer
	a := &app{out: &o, errOut: &e}
	root := newRootCmd(a)
	root.SetArgs(append([]string{"synth"}, args...))
	code = a.exitCode(root.ExecuteContext(context.Background()))
	return code, o.String(), e.String()
}

func readTruth(t *testing.T, path string) (m map[string]any) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &m); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return m
}

func TestSynthDrawsWhatTheFlagsSay(t *testing.T) {
	dir := t.TempDir()
	args := []string{"--out", "x.png", "--dx", "20um", "--dy", "-5um", "--bore", "0.25in", "--chamfer", "10thou", "--thickness", "8mm", "--angle", "41",
		"--light", "side", "--light-from", "30", "--backing", "paper", "--tilt-x", "2", "--tilt-y", "-1.5", "--plus-x", "90", "--noise", "1", "--blur", "1.3",
		"--seed", "7", "--width", "400", "--height", "300", "--damage", "gouge@35", "--damage", "dust"}
	if code, _, words := runSynth(t, dir, args...); code != exitOK {
		t.Fatalf("exit code %d: %s", code, words)
	}
	truth := readTruth(t, filepath.Join(dir, "x.json"))
	for key, want := range map[string]float64{"dx_mm": 0.02, "dy_mm": -0.005, "bore_diameter_mm": 6.35, "chamfer_width_mm": 0.254,
		"thickness_mm": 8, "chamfer_half_angle_deg": 41, "tilt_x_deg": 2, "tilt_y_deg": -1.5, "plus_x_deg": 90, "light_azimuth_deg": 30,
		"light_azimuth_part_deg": -60, "psf_px": 1.3, "width": 400, "height": 300, "seed": 7} {
		if got, _ := truth[key].(float64); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s = %v, want %g", key, truth[key], want)
		}
	}
	if n := len(truth["defects"].([]any)); n != 2 {
		t.Errorf("%d pieces of damage, want 2", n)
	}
	first, _ := os.ReadFile(filepath.Join(dir, "x.png"))
	if code, _, _ := runSynth(t, dir, args...); code != exitOK {
		t.Fatal("the second run failed")
	}
	if second, _ := os.ReadFile(filepath.Join(dir, "x.png")); !bytes.Equal(first, second) {
		t.Error("the same flags gave another picture")
	}
}

func TestSynthRandomSetAndFilm(t *testing.T) {
	dir := t.TempDir()
	if code, _, words := runSynth(t, dir, "--out", "r.jpg", "--random", "--light", "two", "--seed", "3", "--dx", "40um", "--width", "320", "--height", "240"); code != exitOK {
		t.Fatalf("random: exit code %d: %s", code, words)
	}
	truth := readTruth(t, filepath.Join(dir, "r.json"))
	if truth["dx_mm"] != 0.04 || truth["lighting"] != "two" || truth["width"] != 320.0 {
		t.Errorf("random with flags over it: dx %v, light %v, width %v", truth["dx_mm"], truth["lighting"], truth["width"])
	}
	if code, _, words := runSynth(t, dir, "--film", "frames", "--count", "3", "--width", "320", "--height", "240", "--noise", "1"); code != exitOK {
		t.Fatalf("film: exit code %d: %s", code, words)
	}
	if files, _ := filepath.Glob(filepath.Join(dir, "frames", "f0000*.jpg")); len(files) != 3 {
		t.Errorf("the film has %d pictures, want 3", len(files))
	}
	if code, _, words := runSynth(t, dir, "--set", "many", "--count", "2"); code != exitOK {
		t.Fatalf("set: exit code %d: %s", code, words)
	}
	if n := readTruth(t, filepath.Join(dir, "many", "index.json"))["count"]; n != 2.0 {
		t.Errorf("the set has %v photos, want 2", n)
	}
}

func TestSynthRefusesWithASentence(t *testing.T) {
	dir := t.TempDir()
	for _, tt := range []struct {
		args string
		want string // part of the sentence
	}{
		{"", "Say what to draw"},
		{"--out a.png --set b", "Say what to draw"},
		{"--out a.gif", "end in .jpg or .png"},
		{"--out a.png --light moon", "no light"},
		{"--out a.png --random --light moon", "no light"},
		{"--out a.png --backing wood", "no backing"},
		{"--out a.png --bore 1m", "unit"},
		{"--out a.png --bore -3mm", "zero"},
		{"--out a.png --chamfer 8mm", "chamfer"},
		{"--out a.png --dx 4mm", "mismatch"},
		{"--out a.png --tilt-x 60", "leans too far"},
		{"--out a.png --noise 101", "noise"},
		{"--out a.png --noise nan", "noise"},
		{"--out a.png --blur 0.01", "blur"},
		{"--out a.png --width 5", "pixels"},
		{"--out a.png --width 12000 --height 12000", "too large"},
		{"--out a.png --orientation 6", "JPEG"},
		{"--out a.jpg --depth 16", ".png"},
		{"--out a.png --depth 12", "8 or 16"},
		{"--out a.png --damage dent@3", "no damage"},
		{"--out a.png --damage gouge@here", "degrees"},
		{"--out a.jpg --quality 0", "more than zero"},
		{"--out a.jpg --scale 0", "more than zero"},
		{"--out a.jpg --width 0", "more than zero"},
		{"--out a.png --count 3", "--count"},
		{"--set a --light ring", "leave out --light"},
		{"--set a --count 0", "pictures"},
		{"--film a --count -1", "pictures"},
		{"--film a --count 3 --fps nan", "a second"},
		{"--film a --count 3 --fps 0", "more than 0"},
		{"--out a.png extra", "takes no"},
	} {
		code, out, words := runSynth(t, dir, strings.Fields(tt.args)...)
		if code != exitUsage || out != "" || !strings.Contains(words, tt.want) || strings.Count(words, "\n") != 1 {
			t.Errorf("synth %s: code %d, said %q; want code 2 and one line with %q", tt.args, code, words, tt.want)
		}
	}
	if code, _, words := runSynth(t, dir, "--out", filepath.Join("no", "such", "a.png"), "--width", "100", "--height", "100"); code != exitMissed || !strings.Contains(words, "no such folder") {
		t.Errorf("a missing folder: code %d, %q", code, words)
	}
	if left, _ := os.ReadDir(dir); len(left) > 0 {
		t.Errorf("refused calls left %v behind", left)
	}
}
