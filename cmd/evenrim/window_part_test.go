package main

import (
	"os"
	"path/filepath"
	"testing"
	"time"
)

// The Part page on a real screen, by keys alone: the sample part's photos are read,
// its arrows and steps lie on the drawing, and nothing is kept of a sample.
func TestPartOnAScreen(t *testing.T) {
	s := openOnScreen(t, filepath.Join(t.TempDir(), "shop"), 120*time.Second)
	s.wait("a window", func() bool { return s.titled("Evenrim") })
	s.wait("the sample part", func() bool {
		s.focus()
		s.tool("key", "ctrl+shift+a")
		time.Sleep(time.Second)
		return s.titled("Guide bar bracket")
	})
	s.wait("arrows and steps on the drawing", func() bool {
		warm, _, _, _ := s.tints()
		return warm > 400
	})
	s.end()
	if kept, err := os.ReadDir(filepath.Join(s.data, "photos")); err == nil && len(kept) > 0 {
		t.Errorf("%d photos of the sample were kept", len(kept))
	}
}
