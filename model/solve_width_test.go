package model

import (
	"errors"
	"math"
	"testing"
)

// A chamfer of half or twice the nominal width is read, with a word on the tool; one of two
// fifths or two and a half times, or further off, is no chamfer of this card's, unless the card
// names no width or a person has marked the edges.
func TestAWidthFarFromTheCardsIsNotRead(t *testing.T) {
	v := view{
		Camera{CX: 799.5, CY: 599.5, U0: 800, V0: 600, PxPerMM: 64, InvDistPerMM: 1.0 / 150, SlopeX: 0.02, PlusX: 0.3},
		Solid{RadiusMM: 5, WidthMM: 0.3, ThicknessMM: 10, HalfAngle: math.Pi / 4, Mismatch: Vec{0.02, -0.01}},
	}
	trace := v.trace(0, true, nil)
	for _, c := range []struct {
		nominal float64
		helped  string
		read    bool
	}{
		{0.15, "", true}, {0.6, "", true}, {0.075, "", false}, {1.2, "", false}, {0.12, "", false}, {0.75, "", false}, {0, "", true}, {0.075, "outer edge", true},
	} {
		job := v.job()
		job.ChamferMM = c.nominal
		trace.HelpedBy = c.helped
		r, err := Solve(trace, job)
		var refused *Refusal
		switch {
		case c.read && err != nil:
			t.Errorf("nominal %g mm, helped %q: %v", c.nominal, c.helped, err)
		case c.read && r.Mismatch.Sub(v.solid.Mismatch).Norm() > 1e-3:
			t.Errorf("nominal %g mm: read %v, want %v", c.nominal, r.Mismatch, v.solid.Mismatch)
		case !c.read && (!errors.As(err, &refused) || refused.Reason != Unsure):
			t.Errorf("nominal %g mm: %v, want a refusal", c.nominal, err)
		}
	}
}
