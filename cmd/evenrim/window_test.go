package main

import (
	"path/filepath"
	"testing"
	"time"
)

// ownPhoto opens the window on a photo of one's own, which is kept; a sample is not.
var ownPhoto = []string{"--bore", "8mm", "--chamfer", "0.3mm", filepath.Join("..", "..", "assets", "photos", "crosshead-bracket.jpg")}

// The real window on a real (if virtual) screen: it comes up, shows a photo with
// coloured rims, says nothing on stderr, keeps the reading, and ends on Ctrl-C.
func TestWindowOnAScreen(t *testing.T) {
	s := openOnScreen(t, filepath.Join(t.TempDir(), "shop"), 90*time.Second, ownPhoto...)
	s.wait("rims over the photo", s.rims)
	s.wait("a kept reading", func() bool {
		kept, _ := filepath.Glob(filepath.Join(s.data, "photos", "*"))
		return len(kept) > 0
	})
	s.end()
}
