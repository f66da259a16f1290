package words

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/plan"
)

// Widths are rounded inwards, and a narrow range keeps its two ends apart.
func TestSpansAreRoundedInwards(t *testing.T) {
	for _, tt := range []struct {
		least, most float64
		u           chart.Unit
		want        string
	}{
		{0.1012, 0.3175, chart.MM, "0.11 to 0.31"},
		{0.304, 0.306, chart.MM, "0.304 to 0.306"},
		{0.30, 0.31, chart.MM, "0.30 to 0.31"},
		{0.0381, 0.3175, chart.Inch, "0.002 to 0.012"},
		{0.3, 0.3, chart.MM, "0.3000"},
	} {
		if got := span(tt.least, tt.most, tt.u); got != tt.want {
			t.Errorf("%g to %g mm in %s: %q, want %q", tt.least, tt.most, tt.u, got, tt.want)
		}
	}
}

// The words follow the figures: each grade of a flip, and what the photo needs.
func TestWordsFollowTheFigures(t *testing.T) {
	f := plan.Usual()
	f.Features = []plan.Feature{{Name: "A", At: model.Vec{X: 10, Y: -10}}}
	for _, tt := range []struct {
		form  float64
		want  string
		grade Grade
	}{{0.01, "It holds", Good}, {0.03, "It is close", Doubt}, {0.2, "It does not hold", Bad}} {
		g := f
		g.FormMM = tt.form
		s, err := plan.UsualCarrier().Compare(g, 4000, 1)
		if err != nil {
			t.Fatal(err)
		}
		a := Flip(s, chart.MM)
		if a.Headline != tt.want || a.Grade != tt.grade || len(a.Tables) != 2 || len(a.Cautions) == 0 {
			t.Errorf("form %g mm: %q, grade %v (%s)", tt.form, a.Headline, a.Grade, a.Figure)
		}
	}
	for _, tt := range []struct {
		need plan.Need
		want string
	}{{plan.NeedNothing, "One photo will do"}, {plan.NeedPaper, "white paper or a light under"}, {plan.NeedTurning, "quarter turns"}, {plan.NeedBetter, "does not reach"}} {
		p := plan.PhotoPlan{DistanceMM: 110, PxPerMM: 40, ChamferPx: 12, Need: tt.need, U95MM: 0.005, PlainMM: 0.01, PaperMM: 0.005, TurnedMM: math.Inf(1), GoalMM: 0.006}
		a := Photo(p, chart.MM)
		if !strings.Contains(strings.Join(a.Lines, " "), tt.want) || a.Figure != "110" || !strings.Contains(a.About, "25 µm") || !strings.Contains(a.About, "± 0.0050 mm") {
			t.Errorf("need %v: %+v", tt.need, a)
		}
	}
	p := plan.PhotoPlan{DistanceMM: 110, PxPerMM: 40, ChamferPx: 12, U95MM: 0.005, GoalMM: 0.006}
	if a := Photo(p, chart.Inch); a.Figure+" "+a.Unit != "4.3 in" || !strings.Contains(a.About, "one pixel is then 0.98 thou") || strings.Contains(a.About, "µm") {
		t.Errorf("in inches: %+v", a)
	}
	if a := Photo(plan.PhotoPlan{DistanceMM: 400, PxPerMM: 10, ChamferPx: 2, U95MM: math.Inf(1)}, chart.Inch); !strings.Contains(a.About, "2.0 px wide from 15.7 in") || a.Figure != "no reading" {
		t.Errorf("too few pixels: %+v", a)
	}
}

// What makes nothing of the mismatch is not among the largest sources.
func TestASourceOfNothingIsNotNamed(t *testing.T) {
	f := plan.Usual()
	f.ThicknessMM = 412 // a tower: it leans in the vise, all else is nothing beside
	f.Features = []plan.Feature{{Name: "B", At: model.Vec{X: 70, Y: -40}}}
	s, err := plan.UsualCarrier().Compare(f, 4000, 1)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Join(Flip(s, chart.MM).Lines, "\n")
	if !strings.Contains(lines, "1. ") || strings.Contains(lines, " 0 % of it") {
		t.Errorf("the largest sources are\n%s", lines)
	}
}

// A table of lengths has one unit, said once.
func TestATableOfLengthsSaysItsUnitOnce(t *testing.T) {
	f := plan.Usual()
	f.Features = []plan.Feature{{Name: "A", At: model.Vec{X: 10, Y: -10}}, {Name: "right", At: model.Vec{X: 80, Y: -25}, Wall: true}}
	s, err := plan.UsualCarrier().Compare(f, 4000, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, u := range []chart.Unit{chart.MM, chart.Inch} {
		tab := Flip(s, u).Tables[0]
		if cells := fmt.Sprint(tab.Head, tab.Rows); !strings.HasSuffix(tab.Title, ", "+u.String()) || strings.Contains(cells, " "+u.String()) {
			t.Errorf("%q: %s", tab.Title, cells)
		}
	}
}

// A wall has one name in the sentences and in both tables.
func TestAWallIsCalledOneThing(t *testing.T) {
	f := plan.Usual()
	f.Features = []plan.Feature{{Name: "right", At: model.Vec{X: 80, Y: -25}, Wall: true}}
	s, err := plan.UsualCarrier().Compare(f, 4000, 1)
	if err != nil {
		t.Fatal(err)
	}
	a := Flip(s, chart.MM)
	all := fmt.Sprint(a.Lines, a.Tables)
	if n, named := strings.Count(all, "right"), strings.Count(all, "wall right"); n < 7 || n != named {
		t.Errorf("named %d times, as a wall %d times: %s", n, named, all)
	}
}
