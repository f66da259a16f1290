package practice

import (
	"testing"

	"evenrim/model/chart"
)

// The usual tolerance reads the same as on the job card.
func TestDrawingsToleranceIsNotRoundedAway(t *testing.T) {
	for _, tt := range []struct {
		mm   float64
		u    chart.Unit
		want string
	}{{0.0254, chart.MM, "0.0254 mm"}, {0.0254, chart.Inch, "0.001 in"}, {8, chart.MM, "8 mm"}, {12.7, chart.Inch, "0.5 in"}} {
		if got := OnDrawing(tt.mm, tt.u); got != tt.want {
			t.Errorf("%g mm: %q, want %q", tt.mm, got, tt.want)
		}
	}
}
