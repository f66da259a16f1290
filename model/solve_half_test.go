package model

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// A bore edge that is found on less than half of the hole is no edge to read by, and one
// with a gap of a third is.
func TestABoreEdgeOnHalfOfTheHoleIsNotRead(t *testing.T) {
	v := view{
		Camera{CX: 799.5, CY: 599.5, U0: 800, V0: 600, PxPerMM: 64, InvDistPerMM: 1.0 / 150, SlopeX: 0.02, PlusX: 0.3},
		Solid{RadiusMM: 5, WidthMM: 0.3, ThicknessMM: 10, HalfAngle: math.Pi / 4, Mismatch: Vec{0.02, -0.01}},
	}
	for _, c := range []struct {
		seen float64 // of the bore edge
		read bool
	}{{0.67, true}, {0.45, false}} {
		trace := v.trace(0, true, nil)
		trace.Bore = trace.Bore[:int(c.seen*float64(len(trace.Bore)))]
		_, err := Solve(trace, v.job())
		var refused *Refusal
		switch {
		case c.read && err != nil:
			t.Errorf("%.0f %% of the bore edge: no reading: %v", 100*c.seen, err)
		case !c.read && (!errors.As(err, &refused) || !strings.HasPrefix(refused.Sentence, "The bore edge shows on less than half")):
			t.Errorf("%.0f %% of the bore edge: got %v, want a refusal for it", 100*c.seen, err)
		}
	}
}
