package state_test

import (
	"math"
	"testing"

	"evenrim/ui/port"
	"evenrim/ui/state"
	"evenrim/ui/uitest"
)

func TestPlusXSnapsToAStraightEdge(t *testing.T) {
	const d = math.Pi / 180
	b := state.NewBench(uitest.Bracket().Card())
	p := readPhoto(t, b, "bracket.jpg")
	b.SawEdges(p.ID, []port.StraightEdge{{AngleRad: 7 * d}, {AngleRad: -40 * d}})
	for _, tt := range []struct{ drag, want float64 }{
		{8, 7}, {5, 7}, {95, 97}, {-83.5, -83}, {-172, -173}, {20, 20}, {-41, -40}, {139, 140}, {52, 50},
	} {
		if got := p.Snapped(tt.drag*d) / d; math.Abs(math.Remainder(got-tt.want, 360)) > 1e-9 {
			t.Errorf("dragged to %g degrees: %g, want %g", tt.drag, got, tt.want)
		}
	}
	b.TurnPlusX(30 * d)
	if _, ok := b.SnapPlusX(); !ok || math.Abs(p.Card.PlusX-7*d) > 1e-9 && math.Abs(p.Card.PlusX-50*d) > 1e-9 {
		t.Errorf("snapped from 30 to %g degrees, want 50 or 7, the nearest", p.Card.PlusX/d)
	}
	if _, ok := p.EdgeOfPlusX(); !ok {
		t.Error("the edge that +X lies along isn't named")
	}
}
