package bench_test

import (
	"math"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/ui/uitest"
)

func TestAPersonHelpsAndTakesItBack(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.drop("bracket.jpg")
	d.Settle()
	d.ToggleHelp()
	d.says("Wrong edges?")
	d.saysNot("A person helped")
	d.DrawHole()
	d.Drag([2]float64{395, 305}, [2]float64{395, 520}) // from the middle of the hole out
	d.Settle()
	if n := len(d.reader.Helps); n != 1 || math.Abs(d.reader.Helps[0].Hole.R-215) > 1 {
		t.Fatalf("helps %+v, want one circle of radius 215 px", d.reader.Helps)
	}
	d.says("A person helped: the hole was pointed out.")
	d.BrushOut()
	traced := d.reader.Traced
	d.Drag([2]float64{600, 310}, [2]float64{590, 270}, [2]float64{580, 240})
	d.Settle()
	d.says("left out 2")
	if d.reader.Traced != traced {
		t.Error("brushing an arc out traced the photo anew")
	}
	d.Undo()
	d.Settle()
	d.saysNot("left out 2")
	d.says("A person helped")
	d.Undo()
	d.Settle()
	d.saysNot("A person helped")
	d.Redo()
	d.Redo()
	d.Settle()
	d.says("left out 2")
	if d.record.Count() < 2 || len(d.record.Corrections) != d.record.Count()-1 {
		t.Errorf("%d readings kept, %d of them corrections: each but the first stands in the place of the one before", d.record.Count(), len(d.record.Corrections))
	}
}

func TestCandidatesAreChosenByPressingOne(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.reader.Refuse("two.jpg", &model.Refusal{Reason: model.Ambiguous, Sentence: "Two holes look alike: choose one.",
		Candidates: []model.Circle{{X: 150, Y: 200, R: 60}, {X: 500, Y: 300, R: 90}}})
	d.drop("two.jpg")
	d.Settle()
	d.says("More than one hole", "Which is the hole?")
	d.Drag([2]float64{505, 310})
	d.Settle()
	if len(d.reader.Helps) != 1 || d.reader.Helps[0].Candidate != 2 || d.reader.Helps[0].Hole.X != 500 {
		t.Fatalf("helps %+v, want candidate 2", d.reader.Helps)
	}
	d.says("A person helped")
}

func TestEachSettledChangeReplacesTheReadingBefore(t *testing.T) {
	d := newDesk(t, uitest.Bracket().Card())
	d.drop("bracket.jpg")
	d.Settle()
	d.Type("thickness", "9 mm")
	d.Settle()
	d.Type("thickness", "10 mm")
	d.Settle()
	if d.record.Count() != 3 {
		t.Fatalf("%d readings kept, want 3", d.record.Count())
	}
	for of, want := range map[string]string{"1": "thickness 8 mm to 9 mm", "2": "thickness 9 mm to 10 mm"} {
		if got := d.record.Corrections[of]; !strings.Contains(got, want) {
			t.Errorf("reading %s was replaced because of %q, want %q in it", of, got, want)
		}
	}
	d.Undo()
	d.Undo()
	d.Settle()
	d.says("8 mm")
}
