package chart

import (
	"math"
	"strings"
	"testing"

	"evenrim/model"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/recorder"
)

// written returns where a figure writes words, from their lower left corner.
func written(t *testing.T, f Figure, w, h vg.Length, words string) (at vg.Point, lines [][]vg.Point) {
	t.Helper()
	var rec recorder.Canvas
	f.Draw(draw.NewCanvas(&rec, w, h))
	found := false
	for _, a := range rec.Actions {
		switch a := a.(type) {
		case *recorder.FillString:
			if strings.HasPrefix(a.String, words) {
				at, found = a.Point, true
			}
		case *recorder.Stroke:
			var line []vg.Point
			for _, c := range a.Path {
				line = append(line, c.Pos)
			}
			lines = append(lines, line)
		}
	}
	if !found {
		t.Fatalf("%q isn't written", words)
	}
	return at, lines
}

// The name of a limit stands where no part is: a part beyond the limit is the one that
// everybody looks for.
func TestLimitIsNamedClearOfTheParts(t *testing.T) {
	for _, tt := range []struct {
		name   string
		values []float64
		left   bool
		rises  bool
	}{
		{"the last part on the limit", []float64{0, 0, 0, 0, 0, 0, 0, 0.9, 1}, true, false},
		{"the first part on the limit", []float64{1, 0.9, 0, 0, 0, 0, 0, 0, 0}, false, false},
		{"a limit that rises at the left", []float64{0, 0, 0, 0, 0, 0, 0, 0.5, 0.97}, true, true},
		{"none near it", []float64{0, 0, 0, 0, 0, 0, 0, 0, 0}, false, false},
	} {
		out := make([]bool, len(tt.values))
		for i, v := range tt.values {
			out[i] = v == 1
		}
		upper := []float64{1}
		if tt.rises {
			upper = []float64{0.5, 0.7, 0.8, 0.9, 1, 1, 1, 1, 1}
		}
		f := RunChart(Run{XLabel: "part", YLabel: "X", Values: tt.values, Out: out, Centre: []float64{0}, Upper: upper, Lower: []float64{-1}}, Light())
		at, lines := written(t, f, 300, 120, "upper limit")
		st := Light().Text(Regular, tickSize, Light().Soft)
		box := vg.Rectangle{Min: at, Max: vg.Point{X: at.X + st.Width("upper limit"), Y: at.Y + st.Height("x")}}
		for _, l := range lines {
			if len(l) == 2*len(upper) && len(upper) > 1 && crossed(l, box) {
				t.Errorf("%s: the limit runs through its name", tt.name)
			}
		}
		if (at.X < 150) != tt.left {
			t.Errorf("%s: named at %.0f of 300", tt.name, float64(at.X))
		}
	}
}

// The name of a wall at the side is not crossed by the part's outline.
func TestSideWallsAreNamedBesideThePart(t *testing.T) {
	fit := &model.PartFit{Walls: []model.WallFit{
		{WallStep: model.WallStep{Wall: "left", MeanMM: -0.0483, UMM: 0.001}, At: model.Vec{X: -60}, NormalRad: math.Pi},
		{WallStep: model.WallStep{Wall: "right", MeanMM: 0.0737, UMM: 0.001}, At: model.Vec{X: 60}},
		{WallStep: model.WallStep{Wall: "front", MeanMM: 0.033, UMM: 0.001}, At: model.Vec{Y: -45}, NormalRad: -math.Pi / 2},
		{WallStep: model.WallStep{Wall: "back", MeanMM: -0.0076, UMM: 0.001}, At: model.Vec{Y: 45}, NormalRad: math.Pi / 2},
	}}
	st := Light().Text(Regular, noteSize, Light().Ink)
	for name, words := range map[string]string{"left": "left −0.0483", "right": "right +0.0737"} {
		at, lines := written(t, PartMap(fit, PartOptions{Style: Light()}), 500, 250, name)
		end := at.X + st.Width(words)
		for _, l := range lines {
			for i := 1; i < len(l); i++ {
				a, b := l[i-1], l[i]
				upright := a.X == b.X && math.Abs(float64(a.Y-b.Y)) > 100 && len(l) >= 4 // the outline's sides
				if upright && at.X < a.X && a.X < end {
					t.Errorf("%s: from %.0f to %.0f, crossed by the outline at %.0f", words, float64(at.X), float64(end), float64(a.X))
				}
			}
		}
	}
}
