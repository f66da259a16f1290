package vision

import (
	"math"
	"testing"

	"evenrim/model"
)

// A small plain hole beside the chamfered one is the rounder of the two. The photo was refused as
// without a chamfer.
func TestAPlainHoleBesideTheChamferedOneIsPassedOver(t *testing.T) {
	p := drawnPhoto(t, nil)
	const x, y, r = 660, 300, 45
	p = remade(p, p.W, p.H, func(u, v int) uint8 {
		// Its edge is as soft as the picture's.
		in := 1 / (1 + math.Exp(1.7*(math.Hypot(float64(u)-x, float64(v)-y)-r)))
		return uint8(in*12 + (1-in)*float64(p.Gray8[v*p.W+u]) + 0.5)
	})
	job := model.JobCard{BoreMM: 10, ChamferMM: 0.4, ThicknessMM: 12}.WithDefaults()
	guesses := findHoles(p)
	if first := guesses[0].circle; math.Hypot(first.X-x, first.Y-y) > r {
		t.Fatalf("the first guess is not the plain hole but %.0f: the picture tests nothing", first)
	}
	h, err := findRims(p, job)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(h.bore.R-176) > 6 || math.Hypot(h.bore.X-399.5, h.bore.Y-299.5) > 12 {
		t.Errorf("the bore found is %.1f", h.bore)
	}
}
