package main

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"evenrim/model/record"
)

// The screen goes away under the window: the program ends by itself with a sentence,
// and what was kept is in the record, whole.
func TestLostScreenEndsTheWindowInWords(t *testing.T) {
	s := openOnScreen(t, filepath.Join(t.TempDir(), "shop"), 90*time.Second, ownPhoto...)
	s.wait("a kept reading", func() bool {
		kept, _ := filepath.Glob(filepath.Join(s.data, "photos", "*"))
		return len(kept) > 0
	})
	s.wait("rims over the photo", s.rims)
	if err := s.x.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	select {
	case err := <-s.ended:
		said := besidesPreferences(s.words.String())
		if code := exitOf(t, err); code != exitMissed || strings.Count(said, "\n") != 1 || !strings.Contains(said, "start evenrim again") {
			t.Errorf("exit code %d, stderr %q; want %d and a sentence", code, said, exitMissed)
		}
	case <-time.After(30 * time.Second):
		t.Fatal("the program goes on without a screen")
	}
	store, err := record.Open(t.Context(), s.data)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	report, err := store.Check(t.Context(), nil)
	if err != nil || !report.Sound() || report.Readings != 1 {
		t.Errorf("the record afterwards: %+v, %v; want its one reading, whole", report, err)
	}
}
