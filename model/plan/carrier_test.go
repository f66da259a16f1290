package plan

import (
	"math"
	"testing"
)

func TestCarrierAgainstVise(t *testing.T) {
	f := bracket()
	c := Carrier{MarginMM: 12, ToolMM: 8, StepdownMM: 4, OverMM: 2, Tabs: 3, FreshFormMM: 0.003, ProudMM: 0.002}
	s, err := c.Compare(f, 5000, 3)
	if err != nil {
		t.Fatal(err)
	}
	// By hand: 80 x 50 x 16 with 2 mm all round, and with 12 mm of frame.
	if v, w := s.Vise.StockMM3, 84.0*54*20; math.Abs(v-w) > 1e-6 {
		t.Errorf("stock in the vise %.0f mm³, want %.0f", v, w)
	}
	if v, w := s.Carrier.StockMM3, 104.0*74*20; math.Abs(v-w) > 1e-6 {
		t.Errorf("stock of the carrier %.0f mm³, want %.0f", v, w)
	}
	// 10 mm from each side in 3 steps; two faces of 20 mm in 5; slot twice; three tabs of 8 mm in 2.
	if s.Vise.Passes != 3+3+10 || s.Carrier.Passes != 12+10+6 {
		t.Errorf("passes %d and %d, want 16 and 28", s.Vise.Passes, s.Carrier.Passes)
	}
	// One clamping less to touch and a true base: the holes come out nearer.
	hole := 0
	if a, b := s.Vise.Features[hole].Mid95MM, s.Carrier.Features[hole].Mid95MM; !(b < a) {
		t.Errorf("95 %% stay below %.4f mm in the vise and %.4f in the carrier", a, b)
	}
	// The shape of the part's own coordinates: a feature keeps its place in the frame.
	if d := c.Flip(f).Features[0].At; d.X != 22 || d.Y != -24 {
		t.Errorf("hole A lies at %v from the frame's corner, want 22, -24", d)
	}
}

func TestCarrierThatLeavesNothing(t *testing.T) {
	c := UsualCarrier()
	c.MarginMM = c.ToolMM
	if err := c.Validate(); err == nil {
		t.Error("a frame as wide as the cutter was taken")
	}
	if err := UsualCarrier().Validate(); err != nil {
		t.Error(err)
	}
	u := Usual()
	u.Features = bracket().Features
	if err := u.Validate(); err != nil {
		t.Error(err)
	}
	for field, why := range UsualWhy {
		if why == "" {
			t.Errorf("%s has no word on its source", field)
		}
	}
}
