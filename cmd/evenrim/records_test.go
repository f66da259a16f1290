package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/record"
)

// runRecords runs "evenrim records" with args on the data folder dir.
func runRecords(t *testing.T, dir string, args ...string) (code int, out, words string) {
	t.Helper()
	var o, e bytes.Buffer
	a := &app{out: &o, errOut: &e}
	root := newRootCmd(a)
	root.SetArgs(append([]string{"records", "--data", dir}, args...))
	code = a.exitCode(root.ExecuteContext(context.Background()))
	return code, o.String(), e.String()
}

// keepThree fills dir with three readings of two batches.
func keepThree(t *testing.T, dir string) {
	t.Helper()
	s, err := record.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for i := range 3 {
		photo := fmt.Append(nil, "photo ", i)
		cov := model.Sym2{XX: 1e-6, YY: 1.3e-6}
		d := model.Vec{X: 0.01 * float64(i), Y: -0.004}
		r := &model.Reading{Photo: model.Photo{Name: fmt.Sprintf("p%d.jpg", i), SHA256: record.HashPhoto(photo)},
			Job: model.JobCard{Name: "bracket", BoreMM: 10}.WithDefaults(), Mismatch: d, Cov: cov, U95MM: model.U95(cov), WidthMM: 0.25,
			MadeAt: time.Date(2031, 3, 14+i, 12, 0, 0, 0, time.Local), Version: "test"}
		r.Verdict, r.PWithin = model.JudgePhoto(d, cov, r.Job.ToleranceMM, r.Job.Zone)
		r.Correction = model.Correct(d, r.Job.Flip)
		if _, err := s.Keep(t.Context(), r, photo, record.Labels{Part: fmt.Sprint(i), Batch: []string{"March", "April"}[i%2], Note: "raw edge"}); err != nil {
			t.Fatal(err)
		}
	}
}

func TestRecordsAreListed(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	if code, out, words := runRecords(t, dir); code != exitOK || out != "" || !strings.Contains(words, "There is no record in "+dir) {
		t.Errorf("empty: %d %q %q", code, out, words)
	}
	if _, err := os.Stat(dir); !os.IsNotExist(err) {
		t.Errorf("listing made a folder: %v", err)
	}
	keepThree(t, dir)
	for _, tt := range []struct {
		args []string
		want []record.ID
	}{
		{nil, []record.ID{3, 2, 1}},
		{[]string{"--batch", "march"}, []record.ID{3, 1}},
		{[]string{"--limit", "1"}, []record.ID{3}},
		{[]string{"--limit", "0"}, []record.ID{3, 2, 1}},
		{[]string{"--from", "2031-03-15", "--to", "2031-03-15"}, []record.ID{2}},
		{[]string{"--text", "p2"}, []record.ID{3}},
		{[]string{"--verdict", "does not conform"}, nil},
	} {
		code, out, words := runRecords(t, dir, append(tt.args, "--json")...)
		var got []record.ID
		for d := json.NewDecoder(strings.NewReader(out)); d.More(); {
			var l entryLine
			if err := d.Decode(&l); err != nil {
				t.Fatalf("%v: %v\n%s", tt.args, err, out)
			}
			if l.DX == nil || l.Cov == nil || l.U95 == nil || l.PhotoSHA == nil || l.MadeAt.IsZero() {
				t.Errorf("%v: a line lacks something: %+v", tt.args, l)
			}
			got = append(got, l.Record)
		}
		if code != exitOK || fmt.Sprint(got) != fmt.Sprint(tt.want) {
			t.Errorf("records %v: %d, %v, %s; want %v", tt.args, code, got, words, tt.want)
		}
	}
	if code, out, _ := runRecords(t, dir); code != exitOK || strings.Count(out, "\n") != 4 || !strings.Contains(out, "bracket") {
		t.Errorf("table: %d\n%s", code, out)
	}
	if code, out, _ := runRecords(t, dir, "show", "2"); code != exitOK || !strings.Contains(out, "p1.jpg") {
		t.Errorf("show: %d\n%s", code, out)
	}
}

func TestRecordsGoOutAndComeBack(t *testing.T) {
	home := t.TempDir()
	dir, other, restored := filepath.Join(home, "a"), filepath.Join(home, "b"), filepath.Join(home, "c")
	keepThree(t, dir)
	file := func(name string) string { return filepath.Join(home, name) }
	for _, tt := range []struct {
		dir  string
		args []string
		code int
		says string
	}{
		{dir, []string{"check"}, exitOK, "is there, whole"},
		{dir, []string{"export", file("t.csv"), "--batch", "March"}, exitOK, "2 readings exported"},
		{dir, []string{"export", file("t.zip")}, exitOK, "3 readings exported"},
		{dir, []string{"export", file("t.zip")}, exitMissed, "nothing is overwritten"},
		{dir, []string{"export", file("t.xls")}, exitUsage, ".csv"},
		{other, []string{"import", file("t.csv")}, exitOK, "2 readings added, 0 were here"},
		{other, []string{"import", file("t.csv")}, exitOK, "0 readings added, 2 were here"},
		{other, []string{"import", file("t.zip")}, exitOK, "3 readings added"},
		{other, []string{"import", file("t.zip")}, exitOK, "0 readings added, 3 were here"},
		{other, []string{"check", "--json"}, exitOK, `"sound":true`},
		{dir, []string{"backup", file("shop.zip")}, exitOK, "holds 3 readings and 3 photos"},
		{dir, []string{"restore", file("shop.zip")}, exitMissed, "is not empty"},
		{restored, []string{"restore", file("shop.zip")}, exitOK, "all verified"},
		{restored, []string{"check"}, exitOK, "3 readings and 3 photos checked"},
		{restored, []string{"import", file("none.csv")}, exitUsage, "cannot be read"},
		{restored, []string{"import"}, exitUsage, "needs one thing named"},
		{restored, []string{"import", home}, exitUsage, "name a .csv"},
		{restored, []string{"show", "x"}, exitUsage, "not the number"},
		{restored, []string{"show", "99"}, exitMissed, "no reading 99"},
		{restored, []string{"--verdict", "fine"}, exitUsage, "--verdict"},
		{restored, []string{"--from", "May"}, exitUsage, "--from"},
		{file("nowhere"), []string{"check"}, exitMissed, "no record"},
	} {
		code, out, words := runRecords(t, tt.dir, tt.args...)
		if code != tt.code || !strings.Contains(out+words, tt.says) {
			t.Errorf("records %v: %d, %q, %q; want %d and %q", tt.args, code, out, words, tt.code, tt.says)
		}
	}
	bad := file("bad.csv")
	if err := os.WriteFile(bad, []byte("bore,made_at,dx_mm,dy_mm,u95_mm\n10,2031-03-14,0.01,0,0.002\n10,2031-03-14,oops,0,0.002\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if code, _, words := runRecords(t, other, "import", bad); code != exitMissed || !strings.Contains(words, "row 3") || !strings.Contains(words, "1 reading added") {
		t.Errorf("bad row: %d, %q", code, words)
	}
	if err := os.Remove(filepath.Join(dir, "photos", record.HashPhoto([]byte("photo 1"))[:2], record.HashPhoto([]byte("photo 1")))); err != nil {
		t.Fatal(err)
	}
	if code, out, _ := runRecords(t, dir, "check"); code != exitMissed || !strings.Contains(out, "is gone") {
		t.Errorf("check with a photo gone: %d, %q", code, out)
	}
}
