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
