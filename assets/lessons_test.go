package assets

import (
	"strings"
	"testing"

	"evenrim/model/drawing"
)

// Every lesson can be read, has drawings that there are, teaches safety and asks
// something.
func TestEveryLessonTeachesSafetyAndAsks(t *testing.T) {
	ls := Lessons()
	if len(ls) != 11 {
		t.Errorf("%d lessons, want 11", len(ls))
	}
	ids, live := map[string]bool{}, 0
	for _, l := range ls {
		if ids[l.ID] {
			t.Errorf("two lessons are called %s", l.ID)
		}
		ids[l.ID] = true
		if len(l.Drawings) == 0 || len(l.Cautions) == 0 || l.Ask == "" || l.Answer == "" {
			t.Errorf("%s lacks a drawing, a caution, a question or its answer", l.ID)
		}
		for _, d := range l.Drawings {
			if _, ok := drawing.Get(d); !ok {
				t.Errorf("%s shows a drawing %q that there isn't", l.ID, d)
			}
		}
		if l.Live != "" {
			live++
		}
		words := len(strings.Fields(strings.Join(l.Paras, " ")))
		if words < 60 || words > 220 {
			t.Errorf("%s has %d words, want 60 to 220: short, but something", l.ID, words)
		}
	}
	if live < 6 {
		t.Errorf("%d lessons have a live picture, want at least 6", live)
	}
}
