package report

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/practice"
)

// A sheet asks on its first pages and answers on its last alone; the answers are
// the exercises' keys.
func TestPracticeSheetAnswersOnItsLastPageAlone(t *testing.T) {
	s := &PracticeSheet{Version: "test", MadeAt: time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC), Inch: true}
	for n := 1; n <= 6; n++ {
		s.Exercises = append(s.Exercises, practice.NewExercise(7, n, 5))
		s.Photos = append(s.Photos, photo())
	}
	pages := s.Pages()
	if len(pages) != 3 {
		t.Fatalf("%d pages, want two that ask and one that answers", len(pages))
	}
	asks := words(pages[0], Letter) + words(pages[1], Letter)
	for _, e := range s.Exercises {
		if e.Key.Even {
			continue
		}
		if w := model.Clock(e.Key.ScreenRad); strings.Contains(asks, w) {
			t.Errorf("an answer (%s) stands on the pages that ask", w)
		}
	}
	if !strings.Contains(asks, "Wide at ______ o'clock") || !strings.Contains(asks, "series 7, level 5, photos 1 to 6") {
		t.Errorf("the sheet asks %q", asks)
	}
	answers := words(pages[2], Letter)
	for i, e := range s.Exercises {
		want := e.Key.Cause.Words()
		if !strings.Contains(answers, want) || !strings.Contains(answers, string(e.Key.Verdict)) {
			t.Errorf("photo %d: no %q, %q among the answers %q", i+1, want, e.Key.Verdict, answers)
		}
		if !e.Key.Even && !strings.Contains(answers, practice.Small(e.Key.Mismatch.Norm(), e.Key.WidthMM/50, s.unit())) {
			t.Errorf("photo %d: its size is not among the answers", i+1)
		}
	}
	for _, c := range Cautions {
		if !strings.Contains(answers, c) {
			t.Errorf("the caution %q is missing", c)
		}
	}
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		if err := Write(w, Letter, pages...); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same sheet gave other bytes")
	}
}
