package main

import (
	"path/filepath"
	"testing"
	"time"
)

// Practice on a real screen, by keys: a photo comes up without a rim on it, is
// judged, and only then its rims lie over it in their colours.
func TestApprenticeOnAScreen(t *testing.T) {
	s := openOnScreen(t, filepath.Join(t.TempDir(), "shop"), 90*time.Second)
	s.turnTo("Apprentice")
	s.key("2")
	s.wait("a photo to judge", func() bool { _, _, _, grey := s.tints(); return grey > 20000 })
	if warm, cool, _, _ := s.tints(); warm > 200 || cool > 200 {
		t.Errorf("%d warm and %d cool pixels lie over the photo before it is judged", warm, cool)
	}
	s.key("Right", "plus", "plus", "plus", "n", "b", "Return")
	s.wait("rims over the photo", s.rims)
	s.end()
}
