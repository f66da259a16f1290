package model

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func TestWallListsAreReadRowByRow(t *testing.T) {
	const list = `# the bracket, from the bench
part,wall,at_x,at_y,normal_deg,heights,spacing,resolution,proud,seen_from,note
b1,right,60mm,5,0,"1.1 1.2 1.3thou",10mm,0.0001in,,,
b1,left,-60,0,180,0.02mm; 0.021mm,,0.01mm,setup-1,,shy
b1,back,10,40,90,12 um,,,setup 2,setup-1,
`
	rows, err := ParseWalls([]byte(list), FlipAboutY)
	if err != nil {
		t.Fatal(err)
	}
	want := []WallRow{
		{Row: 3, Part: "b1", Wall: Wall{Name: "right", At: Vec{60, 5}, StepMM: []float64{.02794, .03048, .03302}, AlongMM: []float64{-10, 0, 10}, ResolutionMM: tenth}},
		{Row: 4, Part: "b1", Note: "shy", Wall: Wall{Name: "left", At: Vec{-60, 0}, NormalRad: math.Pi, StepMM: []float64{-.02, -.021}, ResolutionMM: 0.01}},
		// Seen from setup 1, a flip about Y mirrors X.
		{Row: 5, Part: "b1", Wall: Wall{Name: "back", At: Vec{-10, 40}, NormalRad: math.Pi / 2, StepMM: []float64{.012}}},
	}
	if d := cmp.Diff(want, rows, cmpopts.EquateApprox(0, 1e-12), cmpopts.EquateEmpty()); d != "" {
		t.Errorf("ParseWalls (-want +got):\n%s", d)
	}
}

func TestParseWallsSeenFromSetup1(t *testing.T) {
	const list = "wall;at_x;at_y;normal_deg;h1;h2;h3;spacing;seen_from\nw;50;20;0;1thou;2thou;4thou;10;setup-1\n"
	for flip, want := range map[FlipAxis]Wall{
		FlipAboutY: {Name: "w", At: Vec{-50, 20}, NormalRad: math.Pi, StepMM: []float64{.0254, .0508, .1016}, AlongMM: []float64{10, 0, -10}},
		FlipAboutX: {Name: "w", At: Vec{50, -20}, NormalRad: 0, StepMM: []float64{.0254, .0508, .1016}, AlongMM: []float64{10, 0, -10}},
	} {
		rows, err := ParseWalls([]byte(list), flip)
		if err != nil || rows[0].Err != nil {
			t.Fatal(err, rows[0].Err)
		}
		if d := cmp.Diff(want, rows[0].Wall, cmpopts.EquateApprox(0, 1e-12)); d != "" {
			t.Errorf("flip %s (-want +got):\n%s", flip, d)
		}
		// The places of the readings on the part mirror like any point.
		first := rows[0].Wall.At.Add(Polar(rows[0].Wall.AlongMM[0], rows[0].Wall.NormalRad+math.Pi/2))
		seen := Vec{50, 10} // in setup 1: 10 mm clockwise of the middle of a wall facing +X
		mirror := Vec{-seen.X, seen.Y}
		if flip == FlipAboutX {
			mirror = Vec{seen.X, -seen.Y}
		}
		near(t, "place of the first reading", first.Sub(mirror).Norm(), 0, 1e-9)
	}
}

func TestParseWallsWithTrace(t *testing.T) {
	rows, err := ParseWalls([]byte("wall,at_x,at_y,normal_deg,resolution,trace\nw,0,0,0,1um,0:0 1:0 2:0 3:0 4:0 5:0 5.5:30 6:12 7:12 8:12 9:12 10:12um\n"), FlipAboutY)
	if err != nil || rows[0].Err != nil {
		t.Fatal(err, rows[0].Err)
	}
	if s := rows[0].Seam; s == nil || !s.Burr() {
		t.Errorf("seam %+v, want a burr", s)
	}
	near(t, "step", rows[0].Wall.StepMM[0], 0.012, 1e-9)
}

func TestParseWallsSaysWhatIsWrong(t *testing.T) {
	const head = "part,wall,at_x,at_y,normal_deg,heights,spacing,resolution,proud,seen_from,trace\n"
	for _, tt := range []struct{ name, list, says string }{
		{"empty", "", "empty"},
		{"header alone", head, "empty"},
		{"no place", "wall,normal_deg,heights\nw,0,1um\n", "at_x"},
		{"no readings", "wall,at_x,at_y,normal_deg\nw,1,1,0\n", "heights"},
		{"slip in a column", "wall,at_x,at_y,normal,heights\n", "normal"},
		{"bad place", head + "p,w,here,0,0,1um\n", "at_x"},
		{"missing place", head + "p,w,,0,0,1um\n", "at_x"},
		{"bad unit", head + "p,w,0,0,0,1furlong\n", "furlong"},
		{"far too high", head + "p,w,0,0,0,12 12 12\n", "unit"},
		{"no reading", head + "p,w,0,0,0,\n", "no indicator reading"},
		{"bad side", head + "p,w,0,0,0,1um,,,top\n", "proud"},
		{"bad face", head + "p,w,0,0,0,1um,,,,above\n", "seen_from"},
		{"zero division", head + "p,w,0,0,0,1um,,0\n", "resolution"},
		{"both", head + "p,w,0,0,0,1um,,,,,1:1\n", "both"},
		{"bad trace", head + "p,w,0,0,0,,,,,,1-1\n", "travel:height"},
		{"short trace", head + "p,w,0,0,0,,,,,,1:1\n", "8"},
		{"surplus", head + "p,w,0,0,0,1um,,,,,,x\n", "more cells"},
	} {
		rows, err := ParseWalls([]byte(tt.list), FlipAboutY)
		if err == nil && len(rows) == 1 {
			err = rows[0].Err
		}
		var r *Refusal
		if !errors.As(err, &r) || !strings.Contains(r.Sentence, tt.says) {
			t.Errorf("%s: %v, want a refusal with %q", tt.name, err, tt.says)
		}
	}
}

func FuzzParseWalls(f *testing.F) {
	f.Add([]byte("part,wall,at_x,at_y,normal_deg,heights\nb,r,60,5,0,1 2 3thou\n"))
	f.Add([]byte("wall;at_x;at_y;normal_deg;trace\nr;60;5;0;1:1 2:2\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		rows, err := ParseWalls(data, FlipAboutX)
		if err != nil {
			return
		}
		var walls []Wall
		for _, r := range rows {
			if r.Err != nil {
				continue
			}
			w := r.Wall
			if len(w.StepMM) == 0 || !w.At.IsFinite() || !finite(w.NormalRad) || !finite(w.StepMM[0]) {
				t.Fatalf("row %d without an error is %+v", r.Row, w)
			}
			walls = append(walls, w)
		}
		if len(walls) > 0 {
			if _, err := FitPart("p", nil, walls); err != nil {
				t.Fatalf("a list that was accepted does not fit: %v", err)
			}
		}
	})
}
