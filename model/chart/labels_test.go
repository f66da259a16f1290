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

func fourWalls() *model.PartFit {
	return &model.PartFit{Walls: []model.WallFit{
		{WallStep: model.WallStep{Wall: "left", MeanMM: -0.0483, UMM: 0.001}, At: model.Vec{X: -60}, NormalRad: math.Pi},
		{WallStep: model.WallStep{Wall: "right", MeanMM: 0.0737, UMM: 0.001}, At: model.Vec{X: 60}},
		{WallStep: model.WallStep{Wall: "front", MeanMM: 0.033, UMM: 0.001}, At: model.Vec{Y: -45}, NormalRad: -math.Pi / 2},
		{WallStep: model.WallStep{Wall: "back", MeanMM: -0.0076, UMM: 0.001}, At: model.Vec{Y: 45}, NormalRad: math.Pi / 2},
	}}
}

// The name of the wall at the back is neither on the part's outline nor under the note,
// however small the drawing is.
func TestTheBackWallIsNamedClearOfOutlineAndNote(t *testing.T) {
	name, note := Light().Text(Regular, noteSize, Light().Ink), Light().Text(Regular, tickSize, Light().Soft)
	for _, size := range []vg.Point{{X: 500, Y: 250}, {X: 290, Y: 260}, {X: 240, Y: 120}} {
		f := PartMap(fourWalls(), PartOptions{Style: Light()})
		at, lines := written(t, f, size.X, size.Y, "back")
		top := vg.Length(0) // of the outline
		for _, l := range lines {
			for i := 1; i < len(l); i++ {
				if level := l[i-1].Y == l[i].Y && len(l) >= 4; level && l[i].Y < at.Y+name.Height("x") && math.Abs(float64(l[i].X-l[i-1].X)) > 30 {
					top = max(top, l[i].Y)
				}
			}
		}
		if top == 0 || at.Y-top < 2 {
			t.Errorf("%v: the name stands at %.1f, the outline at %.1f", size, float64(at.Y), float64(top))
		}
		said, _ := written(t, f, size.X, size.Y, "steps")
		words := "steps 200 times as long, dashed: as the rigid fit has it"
		if size.Y < 200 {
			words = "steps × 200"
		}
		if said.X+note.Width(words) > at.X && said.Y < at.Y+name.Height("x")*0.8 {
			t.Errorf("%v: the name at %v runs under the note at %v", size, at, said)
		}
	}
}

// The name of a wall at the side is not crossed by the part's outline.
func TestSideWallsAreNamedBesideThePart(t *testing.T) {
	fit := fourWalls()
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

// In a small map with large letters no number runs into the next, every name of the legend
// is within the map, and so are the words for the zone.
func TestWordsOfASmallMapStandApart(t *testing.T) {
	s := Light()
	s.TextScale = 2
	for _, at := range []float64{0.03, -0.03} {
		f := TargetMap([]MapPoint{{At: model.Vec{X: at}}}, Zone{ToleranceMM: 0.0254}, MapOptions{Style: s, Groups: []string{"raw edge", "a batch with a long name"}})
		for _, w := range []vg.Length{160, 210, 300, 600} {
			var rec recorder.Canvas
			c := draw.NewCanvas(&rec, w, 260)
			f.Draw(c)
			data := f.DataCanvas(c)
			end, said := vg.Length(-1), 0
			for _, a := range rec.Actions {
				word, ok := a.(*recorder.FillString)
				if !ok {
					continue
				}
				tick := s.Text(Regular, tickSize, s.Soft)
				note := s.Text(Regular, noteSize, s.Soft)
				switch isNumber := strings.Trim(word.String, "−.0123456789") == ""; {
				case isNumber && word.Point.Y < data.Min.Y && word.Point.X > data.Min.X-tick.Width(word.String): // below the map
					if word.Point.X < end {
						t.Errorf("%g wide: %q begins at %.0f, the one before ends at %.0f", float64(w), word.String, float64(word.Point.X), float64(end))
					}
					end = word.Point.X + tick.Width(word.String)
				case strings.HasPrefix(word.String, "raw"), strings.HasPrefix(word.String, "a b"), strings.HasPrefix(word.String, "tolerance"):
					said++
					if word.Point.X < data.Min.X-1 || word.Point.X+note.Width(word.String) > data.Max.X+1 {
						t.Errorf("%g wide: %q from %.0f is outside of the map, %.0f to %.0f", float64(w), word.String, float64(word.Point.X), float64(data.Min.X), float64(data.Max.X))
					}
				}
			}
			if end < 0 || w >= 210 && said < 2 {
				t.Errorf("%g wide: numbers to %.0f, %d names", float64(w), float64(end), said)
			}
		}
	}
}
