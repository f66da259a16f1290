package worksheet_test

import (
	"strings"
	"testing"

	"evenrim/ui/part/worksheet"
)

// A field typed wrong hides what was worked out until it is right again: the numbers would
// be those of what stood there before.
func TestAFieldTypedWrongHidesTheAnswer(t *testing.T) {
	s := sheet(t)
	w := s.AddWall()
	readings := func() worksheet.Field { return field(t, s.WallFields(w), "Readings") }
	bore := func() worksheet.Field { return field(t, s.CardFields(), "Bore") }
	for _, tt := range []struct {
		f            func() worksheet.Field
		right, wrong string
	}{
		{bore, "10mm", "abc"}, {bore, "10mm", "-5"}, {bore, "10mm", "0"},
		{readings, "2 2 2 thou", "5 thou 4x"},
		{func() worksheet.Field { return field(t, s.HoleFields(s.Holes[1]), "X from") }, "40mm", "far"},
		{func() worksheet.Field { return field(t, s.HoleFields(s.Holes[1]), "+X") }, "0", "north"},
	} {
		if err := tt.f().Set(tt.right); err != nil || s.Report == nil {
			t.Fatalf("%q: %v, %s", tt.right, err, s.Problem)
		}
		f := tt.f()
		err := f.Set(tt.wrong)
		if err == nil || s.Report != nil || !strings.Contains(s.Problem, f.Label) || !strings.Contains(s.Problem, err.Error()) {
			t.Errorf("%s %q: error %v, report %v, reason %q", f.Label, tt.wrong, err, s.Report, s.Problem)
		}
		if words := s.NothingToKeep(); s.NotKept() > 0 || !strings.Contains(words, f.Label) {
			t.Errorf("%s %q: %d to keep, %q", f.Label, tt.wrong, s.NotKept(), words)
		}
		if again := tt.f(); again.Text != tt.wrong || again.Problem == "" {
			t.Errorf("made anew the field says %q, problem %q; want what was typed", again.Text, again.Problem)
		}
		if err := tt.f().Set(tt.right); err != nil || s.Report == nil {
			t.Errorf("%q typed over %q: %v, %s", tt.right, tt.wrong, err, s.Problem)
		}
	}
	// What is taken off takes its slips with it.
	readings().Set("5 thou 4x")
	s.Remove()
	if s.Report == nil {
		t.Errorf("the wall is gone, and still: %s", s.Problem)
	}
}

// What need not be known may be emptied.
func TestAnEmptiedSizeIsNotKnown(t *testing.T) {
	s := sheet(t)
	for _, label := range []string{"Thickness", "Chamfer", "Tolerance", "Part's size in X"} {
		if err := field(t, s.CardFields(), label).Set(""); err != nil || s.Report == nil {
			t.Errorf("%s: %v, %s", label, err, s.Problem)
		}
	}
	if c := s.Card; c.ThicknessMM != 0 || c.ChamferMM != 0 {
		t.Errorf("card %+v", c)
	}
	if err := field(t, s.CardFields(), "Bore").Set(""); err == nil {
		t.Error("no bore is taken")
	}
}
