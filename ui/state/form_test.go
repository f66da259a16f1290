package state

import (
	"errors"
	"math"
	"strings"
	"testing"

	"evenrim/model"
)

func TestLengthsAsTyped(t *testing.T) {
	// 25.4 mm per inch, exact by definition; a bare number counts in the units shown.
	for _, tt := range []struct {
		units Units
		typed string
		mm    float64
		echo  string
	}{
		{MM, "0.5in", 12.7, "= 12.7 mm"},
		{MM, "12.7", 12.7, "= 0.5 in"},
		{Inch, "0.5", 12.7, "= 12.7 mm"},
		{MM, "500 thou", 12.7, "= 12.7 mm"},
		{Inch, "12.7mm", 12.7, "= 0.5 in"},
		{MM, "12,7", 12.7, "= 0.5 in"},
		{MM, "1/2 in", 12.7, "= 12.7 mm"},
		{MM, " 10 mm ", 10, "= 0.3937 in"},
	} {
		f := CardForm{Units: tt.units}
		f.Set(Bore, tt.typed)
		j, err := f.Card()
		if err != nil || math.Abs(j.BoreMM-tt.mm) > 1e-12 {
			t.Errorf("%q in %v: %g mm, %v; want %g mm", tt.typed, tt.units, j.BoreMM, err, tt.mm)
		}
		if got := f.Echo(Bore); got != tt.echo {
			t.Errorf("%q in %v echoes %q, want %q", tt.typed, tt.units, got, tt.echo)
		}
	}
}

func TestChangingUnitsNeverChangesTheCard(t *testing.T) {
	f := CardForm{Units: MM}
	f.Set(Bore, "10")
	f.Set(Tolerance, "0.02")
	f.Set(Chamfer, "10 thou")
	before, err := f.Card()
	if err != nil {
		t.Fatal(err)
	}
	for _, u := range []Units{Inch, MM, Inch, Inch} {
		f.ShowIn(u)
		after, err := f.Card()
		after.ShowInch = before.ShowInch
		if err != nil || after != before {
			t.Errorf("shown in %v the card reads %+v, %v; want %+v", u, after, err, before)
		}
	}
	if got := f.Text(Chamfer); got != "10 thou" {
		t.Errorf("typed text became %q", got)
	}
}

func TestACardSurvivesItsForm(t *testing.T) {
	want := model.JobCard{Name: "Crosshead bracket", BoreMM: 9.525, ChamferMM: 0.254, HalfAngle: math.Pi / 3, ThicknessMM: 12.7,
		PlusX: -2.7411, ToleranceMM: 0.0254, Zone: model.SquareZone, Flip: model.FlipAboutX}
	for _, inch := range []bool{false, true} {
		want.ShowInch = inch
		f := FormOf(want)
		got, err := f.Card()
		if err != nil {
			t.Fatal(err)
		}
		// Text shows fewer digits than a card holds; what isn't typed over stays exact.
		if got != want {
			t.Errorf("got  %+v\nwant %+v", got, want)
		}
	}
}

func TestEachFieldSaysWhatIsWrong(t *testing.T) {
	for _, tt := range []struct {
		field Field
		typed string
		says  string
	}{
		{Bore, "abc", "unit"}, {Bore, "10 ells", "unit"}, {Bore, "-1", "more than zero"}, {Bore, "", "bore"},
		{Chamfer, "6 mm", "as wide as"}, {Chamfer, "-0.1", "negative"}, {Angle, "x", "angle"}, {Angle, "89", "half-angle"},
		{Thickness, "5000", "thickness"}, {Tolerance, "40", "tolerance"}, {PlusX, "north", "angle"},
	} {
		f := CardForm{Units: MM}
		f.Set(Bore, "10")
		f.Set(tt.field, tt.typed)
		got := f.Problems()[tt.field]
		if !strings.Contains(strings.ToLower(got), strings.ToLower(tt.says)) {
			t.Errorf("%s %q: says %q, want a word on %q", tt.field, tt.typed, got, tt.says)
		}
	}
}

// What is wrong is told in the form's order, the same each time.
func TestTheFirstProblemIsTold(t *testing.T) {
	for range 50 {
		f := CardForm{Units: MM}
		f.Set(Bore, "10")
		f.Set(Angle, "steep")
		f.Set(PlusX, "up")
		_, err := f.Card()
		var wrong *model.FieldError
		if !errors.As(err, &wrong) || wrong.Field != string(Angle) {
			t.Fatalf("told %v, want the angle, which comes first", err)
		}
	}
}
