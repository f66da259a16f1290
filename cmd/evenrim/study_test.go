package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/record"
)

// aiag is the study of ten parts read three times each by three persons that is
// printed in AIAG's Measurement Systems Analysis manual, one row of ten parts a
// line; in hundredths as printed with two decimals. Here dx carries the values and
// dy their negatives.
var aiag = map[string][3]string{
	"A": {".29 -.56 1.34 .47 -.80 .02 .59 -.31 2.26 -1.36", ".41 -.68 1.17 .50 -.92 -.11 .75 -.20 1.99 -1.25", ".64 -.58 1.27 .64 -.84 -.21 .66 -.17 2.01 -1.31"},
	"B": {".08 -.47 1.19 .01 -.56 -.20 .47 -.63 1.80 -1.68", ".25 -1.22 .94 1.03 -1.20 .22 .55 .08 2.12 -1.62", ".07 -.68 1.34 .20 -1.28 .06 .83 -.34 2.19 -1.50"},
	"C": {".04 -1.38 .88 .14 -1.46 -.29 .02 -.46 1.77 -1.49", "-.11 -1.13 1.09 .20 -1.07 -.67 .01 -.56 1.45 -1.77", "-.15 -.96 .67 .11 -1.45 -.49 .21 -.49 1.87 -2.16"},
}

func studyTable(t *testing.T, extra string) string {
	t.Helper()
	var b strings.Builder
	b.WriteString("# gauge study\nperson,part,dy_mm,note,dx_mm\n")
	for person, rows := range aiag {
		for _, row := range rows {
			for i, v := range strings.Fields(row) {
				minus := strings.TrimPrefix("-"+v, "--")
				fmt.Fprintf(&b, "%s,%d,%s,,%s\n", person, i+1, minus, v)
			}
		}
	}
	b.WriteString(extra)
	path := filepath.Join(t.TempDir(), "study.csv")
	if err := os.WriteFile(path, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func runStudy(t *testing.T, args ...string) (code int, out, words string) {
	t.Helper()
	var o, e bytes.Buffer
	a := &app{out: &o, errOut: &e}
	root := newRootCmd(a)
	root.SetArgs(append([]string{"study", "--data", filepath.Join(t.TempDir(), "none")}, args...))
	code = a.exitCode(root.ExecuteContext(context.Background()))
	return code, o.String(), e.String()
}

// Expected values: analysis of variance of the same data in the tests of a
// published statistics package (see model/batch TestStudyOfPublishedData).
func TestStudyVerbOnPublishedData(t *testing.T) {
	code, out, words := runStudy(t, "--list", studyTable(t, ""), "--tolerance", "4mm", "--json")
	if code != exitOK {
		t.Fatalf("%d %s", code, words)
	}
	lines := strings.Split(strings.TrimSpace(out), "\n")
	if len(lines) != 2 {
		t.Fatalf("%d lines, want one for X and one for Y: %s", len(lines), out)
	}
	for i, axis := range []string{"X", "Y"} {
		var l studyLine
		if err := json.Unmarshal([]byte(lines[i]), &l); err != nil {
			t.Fatal(err)
		}
		if l.Axis != axis || l.Parts != 10 || l.Persons != 3 || l.Readings != 3 || !l.Pooled {
			t.Errorf("%+v", l)
		}
		for _, c := range []struct {
			name string
			got  *float64
			want float64
		}{
			{"repeatability", l.Repeatability[0], .19993}, {"reproducibility", l.Reproducibility[0], .22684},
			{"reading", l.Reading[0], .30237}, {"parts", l.Part[0], 1.04233}, {"share of tolerance", l.ToleranceShare[0], 6 * .30237 / 8},
		} {
			if c.got == nil || math.Abs(*c.got-c.want) > 5e-6 {
				t.Errorf("%s, %s: got %v, want %v within 5e-6", axis, c.name, *c.got, c.want)
			}
		}
	}
	code, out, _ = runStudy(t, "--list", studyTable(t, ""), "--tolerance", "4mm")
	if code != exitOK || !strings.Contains(out, "10 parts, 3 persons, 3 readings each") || !strings.Contains(out, "23 %") || strings.Contains(out, "NaN") {
		t.Errorf("in words: %d\n%s", code, out)
	}
}

func TestStudyWrongUse(t *testing.T) {
	for _, tt := range []struct {
		args []string
		code int
		says string
	}{
		{nil, exitUsage, "No study is named"},
		{[]string{"--list", "x.csv", "b"}, exitUsage, "either"},
		{[]string{"--list", "none.csv"}, exitUsage, "There is no such list"},
		{[]string{"--list", t.TempDir()}, exitUsage, "This is a folder"},
		{[]string{"--list", "../../assets/photos/crosshead-bracket.jpg"}, exitUsage, "not plain text"},
		{[]string{"--list", writeFile(t, filepath.Join(t.TempDir(), "empty.csv"), "")}, exitUsage, "empty.csv: The table is empty"},
		{[]string{"b"}, exitMissed, "no record"},
		{[]string{"--list", studyTable(t, "A,1,0.1,,wide\nB,,0.1,,0.1\n")}, exitMissed, `row 93: "wide" is no length in mm.`},
		{[]string{"--list", studyTable(t, "A,1,0.1,,0.1\n")}, exitMissed, "make no study"},
	} {
		if code, _, words := runStudy(t, tt.args...); code != tt.code || !strings.Contains(words, tt.says) {
			t.Errorf("study %v: %d, %q; want %d, %q", tt.args, code, words, tt.code, tt.says)
		}
	}
}

// A hole's name alone doesn't say whose hole it is: hole A of four parts is no part.
func TestStudyLeavesOutReadingsWithoutAPart(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s, err := record.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	for i := range 8 {
		photo := fmt.Append(nil, "photo ", i)
		r := &model.Reading{Photo: model.Photo{Name: "p.jpg", SHA256: record.HashPhoto(photo)}, Job: model.JobCard{BoreMM: 10}.WithDefaults(),
			Mismatch: model.Vec{X: 0.001 * float64(i)}, Cov: model.Sym2{XX: 1e-6, YY: 1e-6}, MadeAt: time.Unix(int64(i), 0)}
		if _, err := s.Keep(t.Context(), r, photo, record.Labels{Hole: "AB"[i%2 : i%2+1], Batch: "b", Operator: "WM"[i/4 : i/4+1]}); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	code, out, words := runStudy(t, "--data", dir, "b")
	if code != exitMissed || out != "" || strings.Count(words, "names no person or no part") != 8 {
		t.Errorf("%d, %q, %q; want all eight left out", code, out, words)
	}
}
