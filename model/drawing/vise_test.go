package drawing

import (
	"math"
	"testing"

	"evenrim/model"
	"evenrim/model/chart"

	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/recorder"
)

// However low the part is between the jaws, and whichever way part zero moves, its words
// stand on the part and not on a jaw.
func TestTheWordsStandClearOfTheJaws(t *testing.T) {
	for _, highMM := range []float64{60, 40, 30, 20} {
		for _, way := range []float64{1, -1} {
			v := Vise{Outline: []model.Vec{{X: -60, Y: -highMM / 2}, {X: 60, Y: -highMM / 2}, {X: 60, Y: highMM / 2}, {X: -60, Y: highMM / 2}},
				Setup: 2, X: "X -0.061 mm", Y: "Y +0.079 mm", Move: model.Vec{X: -0.061, Y: way * 0.079}}
			var rec recorder.Canvas
			v.Figure(chart.Light()).Draw(draw.NewCanvas(&rec, boxW, boxH))
			half := highMM / 2 * 196 / 120 // as place fits the part
			found := 0
			for _, a := range rec.Actions {
				s, ok := a.(*recorder.FillString)
				if !ok || s.String != v.X && s.String != v.Y {
					continue
				}
				found++
				// From the foot of the letters to their top.
				if y := float64(s.Point.Y) - boxH/2; y < -half || y+letter*0.7 > half {
					t.Errorf("part %g mm high, moving %+g: %q spans %.0f to %.0f, the part %.0f either way", highMM, way, s.String, y, y+letter*0.7, math.Round(half))
				}
			}
			if found != 2 {
				t.Fatalf("part %g mm high: %d words of 2", highMM, found)
			}
		}
	}
}

// The words of a move run into no hole, where there is a side without.
func TestTheWordsStandClearOfHoles(t *testing.T) {
	outline := []model.Vec{{X: -60, Y: -45}, {X: 60, Y: -45}, {X: 60, Y: 45}, {X: -60, Y: 45}}
	holes := []model.Vec{{X: -42, Y: -28}, {X: 0, Y: -30}, {X: 45, Y: -26}, {X: 44, Y: 30}, {X: 2, Y: 27}, {X: -40, Y: 31}, {X: -24, Y: -8}}
	for _, way := range []model.Vec{{X: -1, Y: 1}, {X: 1, Y: 1}, {X: -1, Y: -1}, {X: 1, Y: -1}} {
		v := Vise{Outline: outline, Holes: holes, Setup: 2, X: "X -0.061 mm", Y: "Y +0.020 mm", Move: way}
		var rec recorder.Canvas
		v.Figure(chart.Light()).Draw(draw.NewCanvas(&rec, boxW, boxH))
		place, st := v.place(), chart.Light().Text(chart.Bold, letter, chart.Light().Ink)
		for _, a := range rec.Actions {
			s, ok := a.(*recorder.FillString)
			if !ok || s.String != v.X && s.String != v.Y {
				continue
			}
			lo := pt{X: float64(s.Point.X), Y: float64(s.Point.Y)} // the foot of the letters
			hi := lo.Add(pt{X: float64(st.Width(s.String)), Y: letter * 0.7})
			for _, h := range holes {
				p := place(h)
				near := pt{X: math.Min(math.Max(p.X, lo.X), hi.X), Y: math.Min(math.Max(p.Y, lo.Y), hi.Y)}
				if p.Sub(near).Norm() < holeR {
					t.Errorf("moving %v: %q runs into the hole at %v", way, s.String, h)
				}
			}
		}
	}
}
