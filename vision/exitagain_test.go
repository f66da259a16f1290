package vision

import (
	"math"
	"testing"

	"evenrim/model"
)

// An exit rim that was found round a bore edge a few pixels off is looked for again
// round the traced one.
func TestTheExitRimIsFoundAgainRoundTheTracedBoreEdge(t *testing.T) {
	p := drawnPhoto(t, nil)
	h, err := findRims(p, model.JobCard{BoreMM: 10, ChamferMM: 0.4}.WithDefaults())
	if err != nil {
		t.Fatal(err)
	}
	if len(h.exits) == 0 || h.exits[0].sharp < sureExit {
		t.Fatal("a sound photo's exit rim is not sure")
	}
	right := h.exits[0].circle
	wrong := right
	wrong.X, wrong.Y = right.X+24, right.Y-18
	h.exits = []exitPlace{{wrong, 10 * sureExit}}
	h.bore.X += 3
	r, _ := settle(p, h, 120)
	if !r.exitAgain(h) {
		t.Fatal("the exit rim was not looked for again")
	}
	if c := r.curve[exit]; !r.hasExit || math.Hypot(c.X-right.X, c.Y-right.Y) > 2 {
		t.Errorf("exit rim at %.1f, %.1f; it is at %.1f, %.1f", c.X, c.Y, right.X, right.Y)
	}
}
