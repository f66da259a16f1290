package main

import (
	"bytes"
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/batch"
	"evenrim/model/record"
)

// The demo is made by one call, in a folder of its own, and its batches tell the
// three stories they are there for.
func TestDemoShopTellsItsStories(t *testing.T) {
	data := filepath.Join(t.TempDir(), "shop")
	a := newArchives(&app{data: data}, newShelf(nil, nil))
	defer a.Close()
	all := a.parts
	a.parts = all[:18] // raw edge and fixed: the other photos are like these
	said := 0
	got, err := a.Demo(t.Context(), func(float64, string) { said++ })
	if err != nil {
		t.Fatal(err)
	}
	if dir := got.Dir(); dir == data || filepath.Dir(dir) != filepath.Dir(data) {
		t.Errorf("the demo is in %s; it must be beside the user's %s", dir, data)
	}
	if record.IsThere(data) {
		t.Error("the user's own folder was touched")
	}
	truth := a.parts
	if n, _ := got.Count(t.Context(), record.Query{}); n != len(truth) || said != len(truth) {
		t.Fatalf("%d readings, progress told %d times; want %d", n, said, len(truth))
	}
	parts := map[string][]batch.Part{}
	held, total, worst := 0, 0, 0.0
	entries, err := got.Find(t.Context(), record.Query{Limit: 1000})
	if err != nil {
		t.Fatal(err)
	}
	for i := len(entries) - 1; i >= 0; i-- {
		r, e, err := got.Get(t.Context(), entries[i].ID)
		if err != nil {
			t.Fatal(err)
		}
		parts[e.Batch] = append(parts[e.Batch], batch.Part{Name: e.Part, D: r.Mismatch, Cov: r.Cov})
		off := r.Mismatch.Sub(truth[int(e.ID)-1].truth)
		worst = math.Max(worst, off.Norm())
		if total++; r.Cov.Mahalanobis2(off) < 5.9915 { // chi-squared, 2 dof, 95 %
			held++
		}
	}
	t.Logf("the 95 %% region holds the truth in %d of %d; worst error %.1f um", held, total, 1000*worst)
	if worst > 0.015 || held < total*8/10 {
		t.Errorf("the demo's photos are read badly: worst %.1f um, %d of %d held", 1000*worst, held, total)
	}
	raw, err := batch.Summarise(parts["raw edge"])
	if err != nil || raw.Mean.Norm() < 0.025 || batch.Advise(raw, model.FlipAboutY, nil).Weight < 0.9 {
		t.Errorf("raw edge: %+v, %v", raw, err)
	}
	if control, err := batch.Charts(parts["raw edge"]); err != nil {
		t.Error(err)
	} else if causes, _ := model.Causes(model.Evidence{Batch: batch.FactsOf(parts["raw edge"], raw, &control)}); len(causes) == 0 || causes[0].ID != "raw-edge" || causes[0].Tied {
		t.Errorf("raw edge: the causes are %+v", causes)
	}
	fixed, err := batch.Compare(parts["raw edge"], parts["fixed"])
	if err != nil || fixed.PValue > 1e-4 || fixed.Closer.Low < 0.015 {
		t.Errorf("fixed: %+v, %v", fixed, err)
	}
	for _, p := range all[18:30] {
		parts["drifting"] = append(parts["drifting"], batch.Part{D: p.truth})
	}
	drift, err := batch.Charts(parts["drifting"])
	if err != nil || len(drift.DriftX.Signals) == 0 {
		t.Errorf("drifting: no drift called out: %v", err)
	}
	if steady, err := batch.Charts(parts["fixed"]); err != nil || len(steady.OutOfControl) > 0 {
		t.Errorf("fixed: called out %v, %v", steady.OutOfControl, err)
	}
	// A second program finds the same demo again, at once.
	b := newArchives(&app{data: data}, newShelf(nil, nil))
	defer b.Close()
	again, err := b.Demo(t.Context(), func(float64, string) { t.Error("it was made a second time") })
	if err != nil {
		t.Fatal(err)
	}
	if n, _ := again.Count(t.Context(), record.Query{}); n != len(truth) {
		t.Errorf("%d readings found again, want %d", n, len(truth))
	}
}

// The demo's photos and readings are the same each time.
func TestDemoPhotoIsTheSameEachTime(t *testing.T) {
	p := demoParts()[3]
	a, fileA, err := demoPhoto(t.Context(), 3, p)
	if err != nil {
		t.Fatal(err)
	}
	b, fileB, err := demoPhoto(t.Context(), 3, demoParts()[3])
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(fileA, fileB) || a.Mismatch != b.Mismatch || a.Cov != b.Cov || !a.MadeAt.Equal(b.MadeAt) || a.Photo.SHA256 != b.Photo.SHA256 {
		t.Errorf("%v and %v", a.Mismatch, b.Mismatch)
	}
}

// A list's readings go into a record for the moment, each with its labels; what
// gives none is named.
func TestListInTheWindowIsNotKept(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("TMPDIR", t.TempDir())
	photo, err := filepath.Abs("../../testdata/photos/dome-bracket.jpg")
	if err != nil {
		t.Fatal(err)
	}
	list := filepath.Join(dir, "march.csv")
	text := "photo,bore,chamfer,part,batch\n" + photo + ",8mm,0.3mm,7,March\nnone.jpg,8mm,0.3mm,8,March\n"
	if err := os.WriteFile(list, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	a := newArchives(&app{data: filepath.Join(dir, "shop")}, newShelf(nil, nil))
	got, notes, err := a.List(t.Context(), list, func(float64, string) {})
	if err != nil {
		t.Fatal(err)
	}
	entries, err := got.Find(t.Context(), record.Query{Batch: "March"})
	if err != nil || len(entries)+len(notes) != 2 || len(notes) < 1 || !strings.HasPrefix(notes[len(notes)-1], "none.jpg: ") {
		t.Errorf("%d readings, notes %q, %v", len(entries), notes, err)
	}
	gone := func(what string) {
		t.Helper()
		if left, _ := filepath.Glob(filepath.Join(os.Getenv("TMPDIR"), "evenrim-list-*")); len(left) > 0 {
			t.Errorf("%s: %q is still there", what, left)
		}
	}
	if err := a.Done(got); err != nil {
		t.Error(err)
	}
	gone("another is shown")
	stopped, stop := context.WithCancel(t.Context())
	if _, _, err := a.List(stopped, list, func(float64, string) { stop() }); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
	gone("stopped")
	if _, _, err := a.List(t.Context(), list, func(float64, string) {}); err != nil {
		t.Fatal(err)
	}
	if err := a.Close(); err != nil {
		t.Error(err)
	}
	gone("closed")
	if record.IsThere(filepath.Join(dir, "shop")) {
		t.Error("the user's own folder was touched")
	}
}

// No reading of the demo is of the future.
func TestDemoWasMadeBeforeToday(t *testing.T) {
	if last := demoMadeAt(len(demoParts()) - 1); last.After(time.Now()) {
		t.Errorf("the last one was made at %v", last)
	}
}
