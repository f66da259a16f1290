package main

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"evenrim/model/record"
)

// Ctrl-C while photos are still being read: the program ends at once and without a
// word, and every reading that was kept by then is in the record, whole.
func TestCtrlCWhilePhotosAreReadLosesNothingKept(t *testing.T) {
	photos, err := filepath.Glob(filepath.Join("..", "..", "*", "photos", "*.jpg"))
	if err != nil || len(photos) < 8 {
		t.Fatalf("%d photos in assets and testdata, want at least 8 (%v)", len(photos), err)
	}
	// Each several times, under names of its own: a dozen are read within a second.
	const times = 10
	dir := t.TempDir()
	var many []string
	for i := range times * len(photos) {
		name := filepath.Join(dir, fmt.Sprintf("%03d.jpg", i))
		from, err := filepath.Abs(photos[i%len(photos)])
		if err == nil {
			err = os.Symlink(from, name)
		}
		if err != nil {
			t.Fatal(err)
		}
		many = append(many, name)
	}
	s := openOnScreen(t, filepath.Join(t.TempDir(), "shop"), 90*time.Second, append([]string{"--bore", "8mm"}, many...)...)
	kept := func() int {
		files, _ := filepath.Glob(filepath.Join(s.data, "photos", "[0-9a-f]*")) // not those being written
		return len(files)
	}
	s.wait("a kept reading", func() bool { return kept() > 0 })
	before := kept()
	s.end()
	store, err := record.Open(t.Context(), s.data)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	report, err := store.Check(t.Context(), nil)
	if err != nil || !report.Sound() {
		t.Fatalf("the record afterwards: %+v, %v; want it whole", report, err)
	}
	if report.Readings == 0 || report.Photos < before {
		t.Errorf("%d readings and %d photos in the record, %d photos were kept before Ctrl-C", report.Readings, report.Photos, before)
	}
	if report.Readings >= len(many) {
		t.Errorf("all %d photos were read before Ctrl-C: the test tells nothing", report.Readings)
	}
}
