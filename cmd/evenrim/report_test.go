package main

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/record"
)

// pagesOf counts the pages of a PDF by its page objects.
func pagesOf(t *testing.T, path string) int {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.HasPrefix(b, []byte("%PDF-")) || !bytes.Contains(b, []byte("%%EOF")) {
		t.Fatalf("%s is not a whole PDF", path)
	}
	return bytes.Count(b, []byte("/Type /Page\n"))
}

// A good photo, a missing one and a file that is none: three pages, and the exit
// code of the contract.
func TestReportOfPhotos(t *testing.T) {
	dir := t.TempDir()
	out, plots := filepath.Join(dir, "r.pdf"), filepath.Join(dir, "plots")
	text := writeFile(t, filepath.Join(dir, "notes.jpg"), "no picture")
	code, data, words := call(t, "report", "--bore", "8mm", "--chamfer", "0.3mm", "--plus-x=-157.054",
		"../../assets/photos/crosshead-bracket.jpg", text, filepath.Join(dir, "gone.jpg"), "--out", out, "--plots", plots)
	if code != 1 || data != "" || !strings.Contains(words, "3 pages") || !strings.Contains(words, "no such file") {
		t.Fatalf("exit code %d, %s%s; want 1 and three pages", code, data, words)
	}
	if n := pagesOf(t, out); n != 3 {
		t.Errorf("%d pages, want 3", n)
	}
	pictures, err := filepath.Glob(filepath.Join(plots, "001-crosshead-bracket-*.png"))
	if err != nil || len(pictures) != 4 {
		t.Errorf("pictures %v (%v), want 4", pictures, err)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".r.pdf*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

func TestReportOfKeptReadings(t *testing.T) {
	dir := t.TempDir()
	data := filepath.Join(dir, "data")
	s, err := record.Open(t.Context(), data)
	if err != nil {
		t.Fatal(err)
	}
	img := image.NewRGBA(image.Rect(0, 0, 200, 160))
	for i := range img.Pix {
		img.Pix[i] = byte(100 + i%101)
	}
	var photo bytes.Buffer
	if err := png.Encode(&photo, img); err != nil {
		t.Fatal(err)
	}
	cov := model.Sym2{XX: 1e-6, YY: 1e-6}
	r := &model.Reading{
		Photo: model.Photo{Name: "p.png", SHA256: record.HashPhoto(photo.Bytes()), WidthPx: 200, HeightPx: 160},
		Job:   model.JobCard{Name: "bracket", BoreMM: 4}.WithDefaults(), Mismatch: model.Vec{X: 0.01}, Cov: cov, U95MM: model.U95(cov),
		WidthMM: 0.3, WidthUMM: 0.001, Camera: model.Camera{CX: 99.5, CY: 79.5, U0: 99, V0: 80, PxPerMM: 30},
		Verdict: model.Conforms, PWithin: 0.99, MadeAt: time.Date(2031, 3, 14, 12, 0, 0, 0, time.UTC), Version: "test",
	}
	id, err := s.Keep(t.Context(), r, photo.Bytes(), record.Labels{Part: "3", Hole: "A"})
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	var files [2][]byte
	for i := range files {
		out := filepath.Join(dir, "kept.pdf")
		code, _, words := call(t, "report", "--data", data, "--record", string(rune('0'+id)), "--out", out)
		if code != 0 || !strings.Contains(words, "1 page.") {
			t.Fatalf("exit code %d, %s", code, words)
		}
		if files[i], err = os.ReadFile(out); err != nil {
			t.Fatal(err)
		}
		if pagesOf(t, out) != 1 {
			t.Error("not one page")
		}
	}
	// The page is the record: it doesn't change with the day it is printed.
	if !bytes.Equal(files[0], files[1]) {
		t.Error("the same reading was printed differently the second time")
	}
	if !bytes.Contains(files[0], []byte("/DCTDecode")) {
		t.Error("the kept photo isn't on the page")
	}
	if code, _, words := call(t, "report", "--data", data, "--record", "99", "--out", filepath.Join(dir, "x.pdf")); code != 1 || words == "" {
		t.Errorf("a reading that isn't there: exit code %d, %q", code, words)
	}
}

func TestReportWrongUse(t *testing.T) {
	dir := t.TempDir()
	readOnlyFile := writeFile(t, filepath.Join(dir, "file"), "x")
	for _, tt := range []struct {
		name, want string
		args       []string
	}{
		{"no out", "--out", []string{"--bore", "8mm", "a.jpg"}},
		{"not pdf", ".pdf", []string{"--bore", "8mm", "a.jpg", "--out", filepath.Join(dir, "r.doc")}},
		{"no folder", "no folder", []string{"--bore", "8mm", "a.jpg", "--out", filepath.Join(dir, "none", "r.pdf")}},
		{"out is a folder", "is a folder", []string{"--bore", "8mm", "a.jpg", "--out", mkdir(t, filepath.Join(dir, "d.pdf"))}},
		{"plots no folder", "--plots", []string{"--bore", "8mm", "a.jpg", "--out", filepath.Join(dir, "r.pdf"), "--plots", readOnlyFile}},
		{"two sources", "one of them", []string{"--record", "1", "a.jpg", "--out", filepath.Join(dir, "r.pdf")}},
		{"no photo", "No photo", []string{"--out", filepath.Join(dir, "r.pdf")}},
		{"no bore", "--bore", []string{"a.jpg", "--out", filepath.Join(dir, "r.pdf")}},
		{"paper", "--paper", []string{"--bore", "8mm", "a.jpg", "--paper", "a5", "--out", filepath.Join(dir, "r.pdf")}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			code, out, words := call(t, append([]string{"report"}, tt.args...)...)
			if code != 2 || out != "" || !strings.Contains(words, tt.want) || strings.Count(strings.TrimSpace(words), "\n") > 0 {
				t.Errorf("exit code %d, %q%q; want 2 and one line with %q", code, out, words, tt.want)
			}
			if _, err := os.Stat(filepath.Join(dir, "r.pdf")); err == nil {
				t.Error("a report was written all the same")
			}
		})
	}
}

func mkdir(t *testing.T, path string) string {
	t.Helper()
	if err := os.Mkdir(path, 0o755); err != nil {
		t.Fatal(err)
	}
	return path
}
