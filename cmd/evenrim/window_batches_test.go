package main

import (
	"path/filepath"
	"testing"
	"time"

	"evenrim/model/record"
)

// The Batches page on a real screen, by keys alone: the demo shop's batches come up
// and their clouds lie on the target map; the user's own record stays empty.
func TestBatchesOnAScreen(t *testing.T) {
	data := filepath.Join(t.TempDir(), "shop")
	keepBatches(t, data+"-demo") // as if the demo had been made before
	s := openOnScreen(t, data, 90*time.Second)
	s.wait("a window", func() bool { return s.titled("Evenrim") })
	s.wait("the demo shop", func() bool {
		s.focus()
		s.tool("key", "ctrl+shift+e")
		time.Sleep(700 * time.Millisecond)
		return s.titled("Demo shop")
	})
	if warm, _, _, _ := s.tints(); warm > 150 {
		t.Errorf("%d pixels of setup 2's colour before the map is shown", warm)
	}
	s.wait("a cloud on the map", func() bool {
		s.tool("key", "3")
		time.Sleep(500 * time.Millisecond)
		warm, _, _, _ := s.tints()
		return warm > 250
	})
	s.end()
	own, err := record.Open(t.Context(), data)
	if err != nil {
		t.Fatal(err)
	}
	defer own.Close()
	if n, err := own.Count(t.Context(), record.Query{}); n != 0 || err != nil {
		t.Errorf("%d readings in the user's own record, %v", n, err)
	}
}
