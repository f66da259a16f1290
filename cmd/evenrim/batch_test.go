package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/record"
	"evenrim/model/report"
)

func runBatch(t *testing.T, dir string, args ...string) (code int, out, words string) {
	t.Helper()
	var o, e bytes.Buffer
	a := &app{out: &o, errOut: &e}
	root := newRootCmd(a)
	root.SetArgs(append([]string{"batch", "--data", dir}, args...))
	code = a.exitCode(root.ExecuteContext(context.Background()))
	return code, o.String(), e.String()
}

// keepBatches keeps two batches of the demo shop: the first with the raw edge
// picked up as reference, the second after that was put right.
func keepBatches(t *testing.T, dir string) {
	t.Helper()
	s, err := record.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	cov := model.Sym2{XX: 1e-6, YY: 1e-6}
	for i := range 16 {
		photo := fmt.Append(nil, "photo ", i)
		d := model.Vec{X: 0.002 * math.Sin(float64(3*i)), Y: 0.002 * math.Cos(float64(5*i))}
		name := "fixed"
		if i < 8 {
			name, d.X = "raw edge", d.X+0.03
		}
		r := &model.Reading{Photo: model.Photo{Name: fmt.Sprintf("p%d.jpg", i), SHA256: record.HashPhoto(photo)},
			Job: model.JobCard{Name: "bracket", BoreMM: 10}.WithDefaults(), Mismatch: d, Cov: cov, U95MM: model.U95(cov), MadeAt: time.Unix(int64(i), 0)}
		if _, err := s.Keep(t.Context(), r, photo, record.Labels{Part: fmt.Sprint(i), Batch: name}); err != nil {
			t.Fatal(err)
		}
	}
}

func TestBatchesOfTheRecordAreCompared(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	keepBatches(t, dir)
	code, out, words := runBatch(t, dir, "--json", "raw edge", "fixed")
	lines := strings.Split(strings.TrimSpace(out), "\n")
	if code != exitOK || len(lines) != 3 {
		t.Fatalf("%d, %q, %q", code, out, words)
	}
	var raw, fixed batchLine
	var c compareLine
	for i, to := range []any{&raw, &fixed, &c} {
		if err := json.Unmarshal([]byte(lines[i]), to); err != nil {
			t.Fatalf("%v: %s", err, lines[i])
		}
	}
	if raw.Batch != "raw edge" || raw.N != 8 || math.Abs(*raw.Mean[0]-0.03) > 0.002 || raw.MeanU95 == nil || raw.Ppk == nil || *raw.Ppk > 0 || raw.Correction.Setup2 == nil || raw.Correction.Setup2[0] > -0.028 {
		t.Errorf("raw edge: %s", lines[0])
	}
	if fixed.N != 8 || *fixed.Ppk < 1.33 || *fixed.PInside < 0.999 {
		t.Errorf("fixed: %s", lines[1])
	}
	if c.Compare != [2]string{"raw edge", "fixed"} || *c.PValue > 1e-6 || math.Abs(c.Difference[0]+0.03) > 0.002 || !strings.HasPrefix(c.Verdict, "It helped") {
		t.Errorf("comparison: %s", lines[2])
	}
	if code, out, _ := runBatch(t, dir, "raw edge", "fixed"); code != exitOK || !strings.Contains(out, "It helped") || strings.Contains(out, "NaN") {
		t.Errorf("in words: %d\n%s", code, out)
	} else {
		t.Log("\n" + out)
	}
}

// Two parts are told by the spread of the batch before, in the terminal as on the page and
// in the window.
func TestFewPartsAreToldByTheBatchBefore(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	keepBatches(t, dir)
	s, err := record.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	r, _, err := s.Get(t.Context(), 1)
	if err != nil {
		t.Fatal(err)
	}
	for i, x := range []float64{0.029, 0.031} {
		photo := fmt.Append(nil, "April ", i)
		r.Photo.SHA256, r.Mismatch = record.HashPhoto(photo), model.Vec{X: x}
		if _, err := s.Keep(t.Context(), r, photo, record.Labels{Part: fmt.Sprint("April ", i), Batch: "April"}); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	code, out, words := runBatch(t, dir, "--json", "raw edge", "April")
	lines := strings.Split(strings.TrimSpace(out), "\n")
	if code != exitOK || len(lines) != 3 {
		t.Fatalf("%d, %q, %q", code, out, words)
	}
	var april batchLine
	if err := json.Unmarshal([]byte(lines[1]), &april); err != nil {
		t.Fatal(err)
	}
	if c := april.Correction; c.Setup2 == nil || math.Abs(c.Setup2[0]+0.03) > 0.001 || c.Setup2[1] != 0 || !strings.HasPrefix(c.Words, "Correct by") {
		t.Errorf("two parts after eight: %s", lines[1])
	}
	if code, out, _ := runBatch(t, dir, "April"); code != exitOK || !strings.Contains(out, "fewer than three parts") {
		t.Errorf("two parts by themselves: %d, %s", code, out)
	}
}

func TestBatchWrongUse(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	for _, tt := range []struct {
		args []string
		code int
		says string
	}{
		{nil, exitUsage, "No batch is named"},
		{[]string{"--list", "x.csv", "b"}, exitUsage, "either"},
		{[]string{"--list", filepath.Join(dir, "none.csv")}, exitUsage, "no such list"},
		{[]string{"b"}, exitMissed, "no record"},
	} {
		if code, _, words := runBatch(t, dir, tt.args...); code != tt.code || !strings.Contains(words, tt.says) {
			t.Errorf("batch %v: %d, %q; want %d, %q", tt.args, code, words, tt.code, tt.says)
		}
	}
	keepBatches(t, dir)
	if code, _, words := runBatch(t, dir, "nowhere"); code != exitMissed || !strings.Contains(words, `"nowhere"`) {
		t.Errorf("a batch that is none: %d, %q", code, words)
	}
}

// The report has a page and charts of each batch, the comparison and the
// simulation; each chart is a picture of its own.
func TestBatchReportAndPlots(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	keepBatches(t, dir)
	out, plots := filepath.Join(t.TempDir(), "batches.pdf"), filepath.Join(t.TempDir(), "pictures")
	code, _, words := runBatch(t, dir, "raw edge", "fixed", "--out", out, "--plots", plots)
	if code != exitOK || !strings.Contains(words, "6 pages") || !strings.Contains(words, "24 pictures") {
		t.Errorf("%d, %q", code, words)
	}
	if !strings.Contains(words, "The photo of reading ") || !strings.Contains(words, " is left out: ") {
		t.Errorf("these photos are none, and their pages go without a word: %q", words)
	}
	pdf, err := os.ReadFile(out)
	if err != nil || !bytes.HasPrefix(pdf, []byte("%PDF")) || bytes.Count(pdf, []byte("/Type /Page\n")) != 6 {
		t.Errorf("%v, %d pages", err, bytes.Count(pdf, []byte("/Type /Page\n")))
	}
	for _, name := range []string{"01-raw-edge-map.png", "02-fixed-run-X.png", "02-fixed-plane.png", "01-raw-edge-simulation-1-funnel-2.png"} {
		f, err := os.Open(filepath.Join(plots, name))
		if err != nil {
			t.Error(err)
			continue
		}
		if c, err := png.DecodeConfig(f); err != nil || c.Width < 600 {
			t.Errorf("%s: %+v, %v", name, c, err)
		}
		f.Close()
	}
	if code, _, words := runBatch(t, dir, "fixed", "--out", "x.txt"); code != exitUsage || !strings.Contains(words, ".pdf") {
		t.Errorf("a report that is none: %d, %q", code, words)
	}
}

// --inch counts for kept batches too, and who is told to move a machine is told what
// to mind; a script's JSON is left alone.
func TestKeptBatchesInInches(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	keepBatches(t, dir)
	code, out, words := runBatch(t, dir, "--inch", "raw edge")
	if code != exitOK || !strings.Contains(out, " in (95 %)") || strings.Contains(out, " mm") || !strings.Contains(out, "or setup 1's in X by -0.0011") {
		t.Errorf("%d, %s", code, out)
	}
	if strings.Count(words, report.Caution) != 1 {
		t.Errorf("no caution: %q", words)
	}
	if _, _, words := runBatch(t, dir, "--json", "raw edge"); strings.Contains(words, report.Caution) {
		t.Errorf("said beside JSON: %q", words)
	}
}
