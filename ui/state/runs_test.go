package state_test

import (
	"math"
	"testing"

	"evenrim/model"
	"evenrim/ui/state"
)

// A rim with gaps comes as its pieces: no line goes straight across the hole.
func TestRunsStopAtGaps(t *testing.T) {
	round := func(without ...[2]int) (out []model.Vec) { // degrees left out, from and to
	next:
		for deg := range 360 {
			for _, w := range without {
				if deg >= w[0] && deg < w[1] {
					continue next
				}
			}
			out = append(out, model.Polar(100, float64(deg)*math.Pi/180))
		}
		return out
	}
	for _, tt := range []struct {
		name   string
		points []model.Vec
		want   int
	}{
		{"whole", round(), 1}, {"a point missing", round([2]int{40, 42}), 1}, {"a gap", round([2]int{40, 100}), 1},
		{"two gaps", round([2]int{40, 100}, [2]int{200, 230}), 2}, {"a gap over the start", round([2]int{0, 30}, [2]int{340, 360}), 1},
		{"none", nil, 0}, {"one", round([2]int{1, 360}), 0},
	} {
		runs := state.Runs(tt.points)
		if len(runs) != tt.want {
			t.Errorf("%s: %d runs, want %d", tt.name, len(runs), tt.want)
		}
		for _, run := range runs {
			for i := 1; i < len(run); i++ {
				if d := run[i].Sub(run[i-1]).Norm(); d > 10 {
					t.Errorf("%s: a line %.0f px long between neighbours", tt.name, d)
				}
			}
		}
	}
	if whole := state.Runs(round())[0]; whole[0] != whole[len(whole)-1] {
		t.Error("a whole rim doesn't end on its first point")
	}
}
