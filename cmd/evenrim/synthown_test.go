package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// Nothing that synth did not draw is drawn over: neither a picture, a file beside it, a
// folder's job list and truth, nor a list that was changed since.
func TestSynthOverwritesNothingOfTheUsers(t *testing.T) {
	small := []string{"--width", "120", "--height", "90"}
	film := append([]string{"--film", "set", "--count", "2"}, small...)
	for _, tt := range []struct {
		name  string
		first []string // drawn before
		files map[string]string
		args  []string
	}{
		{"a photo", nil, map[string]string{"mine.jpg": "photo"}, append([]string{"--out", "mine.jpg"}, small...)},
		{"notes beside it", nil, map[string]string{"mine.json": "keep"}, append([]string{"--out", "mine.jpg"}, small...)},
		{"another picture's truth", append([]string{"--out", "mine.jpg"}, small...), nil, append([]string{"--out", "mine.png"}, small...)},
		{"a job list", nil, map[string]string{"set/readings.csv": "photo\n"}, film},
		{"a truth of others", nil, map[string]string{"set/index.json": `{"set":"a","photos":[{"file":"a01.jpg"}]}`}, film},
		{"a photo of that name", nil, map[string]string{"set/f00002.jpg": "photo"}, film},
		{"a list that was changed", film, map[string]string{"set/readings.csv": "photo\nf00001.jpg\n"}, film},
		{"a photo put into a set", film, map[string]string{"set/f00003.jpg": "photo"}, append([]string{"--film", "set", "--count", "3"}, small...)},
	} {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			if tt.first != nil {
				if code, _, words := runSynth(t, dir, tt.first...); code != exitOK {
					t.Fatalf("the first: code %d, %q", code, words)
				}
			}
			for name, text := range tt.files {
				path := filepath.Join(dir, name)
				if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			before := contents(t, dir)
			code, _, words := runSynth(t, dir, tt.args...)
			if code != exitUsage || !strings.Contains(words, "nothing is overwritten") {
				t.Errorf("code %d, %q, want a refusal", code, words)
			}
			if after := contents(t, dir); !slices.Equal(after, before) {
				t.Errorf("the folder has changed:\n%q\n%q", before, after)
			}
		})
	}
}

// contents is the names and bytes of all files under dir.
func contents(t *testing.T, dir string) (all []string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		all = append(all, path+"\n"+string(data))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// A set drawn anew leaves none of the pictures that its index no longer names, and
// whatever else lies in the folder.
func TestASetDrawnAnewLeavesNoStalePictures(t *testing.T) {
	dir := t.TempDir()
	draw := func(count string) {
		t.Helper()
		if code, _, words := runSynth(t, dir, "--film", "set", "--count", count, "--width", "120", "--height", "90"); code != exitOK {
			t.Fatalf("code %d, %q", code, words)
		}
	}
	draw("5")
	if err := os.WriteFile(filepath.Join(dir, "set", "note.txt"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	draw("2")
	var names []string
	entries, _ := os.ReadDir(filepath.Join(dir, "set"))
	for _, e := range entries {
		names = append(names, e.Name())
	}
	if want := []string{"f00001.jpg", "f00002.jpg", "index.json", "note.txt", "readings.csv"}; !slices.Equal(names, want) {
		t.Errorf("the folder holds %q, want %q", names, want)
	}
}
