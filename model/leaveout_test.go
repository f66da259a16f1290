package model

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func ringTrace(n int) Trace {
	var t Trace
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		c, s := math.Cos(a), math.Sin(a)
		t.Bore = append(t.Bore, EdgePoint{X: 100 + 50*c, Y: 80 - 50*s, SigmaPx: 0.1})
		t.Outer = append(t.Outer, EdgePoint{X: 101 + 60*c, Y: 80 - 60*s, SigmaPx: 0.1})
	}
	return t
}

func TestWithoutTakesTheArcOnTheScreen(t *testing.T) {
	whole := ringTrace(360)
	got, err := whole.Without([]Arc{{CentreRad: math.Pi / 2, WidthRad: 20 * math.Pi / 180}}) // at 12 o'clock
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range got.Bore {
		// Directions on the screen: y grows downwards.
		if a := math.Atan2(80-p.Y, p.X-100) * 180 / math.Pi; math.Abs(a-90) < 9.5 {
			t.Errorf("a point at %.1f degrees is still there", a)
		}
	}
	if n := len(whole.Bore) - len(got.Bore); n < 20 || n > 22 {
		t.Errorf("%d of 360 points left out for 20 degrees, want about 21", n)
	}
	if !strings.Contains(got.HelpedBy, "20° at 12 o'clock") || len(whole.Bore) != 360 || whole.HelpedBy != "" {
		t.Errorf("says %q; the original has %d points and says %q", got.HelpedBy, len(whole.Bore), whole.HelpedBy)
	}
}

func TestTooMuchBrushedOutIsRefused(t *testing.T) {
	_, err := ringTrace(360).Without([]Arc{{0, 4}})
	var r *Refusal
	if !errors.As(err, &r) || r.Reason != Unsure {
		t.Errorf("got %v, want a refusal as unsure", err)
	}
}
