package apprentice_test

import (
	"math"
	"testing"

	"evenrim/model/practice"
)

func TestPracticeGetsHarderAndIsKept(t *testing.T) {
	r := newRoom(t, ordinary, 1)
	r.SetPerson("Ada")
	r.TurnTo(1)
	r.Settle()
	for range 3 {
		r.answerRight()
		r.Drill().Reveal()
		r.Next()
		r.Settle()
	}
	r.says("Photo 4, level 2 of 8")
	if got := len(r.diary.entries["Ada"]); got != 3 {
		t.Fatalf("%d entries kept, want 3", got)
	}
	if s := r.diary.entries["Ada"][0].Exercise.Score; math.Abs(s-1) > 1e-9 {
		t.Errorf("a right answer scores %.3f, want 1", s)
	}
	// The same series gives the same photos again.
	first := r.diary.entries["Ada"][0].Exercise
	if again := practice.NewExercise(first.Seed, first.N, first.Level); again.Key.Mismatch != first.Key.Mismatch {
		t.Errorf("series %d photo %d gave %v, now %v", first.Seed, first.N, first.Key.Mismatch, again.Key.Mismatch)
	}
	r.SetSeries("77")
	r.Settle()
	r.says("Photo 1, level 2 of 8")
	r.SetSeries("seven")
	r.says("A series is a whole number")

	r.TurnTo(4)
	r.Settle()
	r.says("Ada: level 2 of 8", "3 photos judged", "100 of 100", "Eye not measured yet")
	r.Forget("Ada")
	r.Settle()
	r.says("Today, without a name", "No photo judged yet")
	if len(r.diary.entries["Ada"]) != 0 || r.Person() != "" {
		t.Error("Ada was not forgotten")
	}
}
