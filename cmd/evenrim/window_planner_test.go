package main

import (
	"path/filepath"
	"testing"
	"time"
)

// The Planner on a real screen, by keys: it answers from its defaults (the verdict's
// green and the bars), and turns from question to question.
func TestPlannerOnAScreen(t *testing.T) {
	s := openOnScreen(t, filepath.Join(t.TempDir(), "shop"), 90*time.Second)
	s.turnTo("Planner")
	s.wait("the answer that the flip holds", func() bool { green, _ := s.answerTints(); return green > 300 })
	for _, q := range []struct {
		key, what string
		warm      int
	}{{"2", "the eye's curve", 3000}, {"4", "the new feature's cross", 20}, {"1", "the clouds of parts", 3000}} {
		s.key(q.key)
		s.wait(q.what, func() bool { _, warm := s.answerTints(); return warm > q.warm })
	}
	s.end()
}

// answerTints counts pixels where the answer stands: the green of a good
// answer, and setup 2's orange with its wash.
func (s *onScreen) answerTints() (green, warm int) {
	s.t.Helper()
	im := s.picture()
	b := im.Bounds()
	for y := b.Dy() / 12; y < b.Dy()*9/10; y++ {
		for x := b.Dx() * 35 / 100; x < b.Dx()*9/10; x++ {
			r, g, bl, _ := im.At(x, y).RGBA()
			dr, dg := int(r>>8)-int(bl>>8), int(g>>8)-int(r>>8)
			switch {
			case dg > 30 && g>>8 > bl>>8:
				green++
			case dr > 14 && dg < -4:
				warm++
			}
		}
	}
	return green, warm
}
