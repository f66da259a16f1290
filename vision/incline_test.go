package vision

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"evenrim/model"
)

// litPhoto is a picture of a hole on a face of light 0.6 with a dark bore. Its chamfer is
// nearly as light as the face to the right and half as light to the left; from the outer edge
// to the bore edge it loses this share of its light.
func litPhoto(across float64) *Photo {
	const w, h, cx, cy, outerPx, borePx, blurPx = 900, 900, 450.3, 449.6, 318.0, 300.0, 1.2
	rng := rand.New(rand.NewPCG(11, 28))
	p := &Photo{W: w, H: h, Gray8: make([]uint8, w*h)}
	beyond := func(d float64) float64 { return math.Erfc(d/blurPx/math.Sqrt2) / 2 }
	for i := range p.Gray8 {
		x, y := float64(i%w)-cx, float64(i/w)-cy
		r := math.Hypot(x, y)
		chamfer := (0.45 + 0.14*x/r) * (1 - across*(outerPx-r)/(outerPx-borePx))
		v := 0.6 + (chamfer-0.6)*beyond(r-outerPx) + (0.05-chamfer)*beyond(r-borePx)
		p.Gray8[i] = uint8(255*encodedOf(v+0.003*rng.NormFloat64()) + rng.Float64())
	}
	return p
}

// A chamfer as light as the face that grows darker inwards has its outer edge taken too far
// in, on that side of the hole only. How far is in doubt; where its light is even, nothing is.
func TestLightThatChangesAcrossTheChamferIsInDoubt(t *testing.T) {
	job := model.JobCard{BoreMM: 10, ChamferMM: 0.6, ThicknessMM: 15}.WithDefaults()
	for _, c := range []struct{ across, leastOff, mostOff float64 }{{0, 0, 0.05}, {0.2, 0.3, 1.5}, {-0.2, 0.1, 1.5}} {
		p := litPhoto(c.across)
		h, err := findRims(p, job)
		if err != nil {
			t.Fatal(err)
		}
		const n = 240
		r, _ := settle(p, h, n)
		r.calm(p, n)
		doubt := r.inclineDoubt(p, n)
		off := math.Abs(r.curve[outer].X - 450.3)
		if off < c.leastOff || off > c.mostOff {
			t.Errorf("%+.0f %% across: the outer edge is found %.2f px off, wanted %.2f to %.2f", 100*c.across, off, c.leastOff, c.mostOff)
		}
		if sd := math.Sqrt(doubt[outer].XX); off > 2.5*sd+0.05 || sd > 0.05+off {
			t.Errorf("%+.0f %% across: off by %.2f px, in doubt by %.2f", 100*c.across, off, sd)
		}
		if sd := math.Sqrt(doubt[outer].YY); sd > 0.05 {
			t.Errorf("%+.0f %% across: in doubt by %.2f px along y, where both sides are alike", 100*c.across, sd)
		}
		if sd := math.Sqrt(doubt[bore].XX + doubt[bore].YY); sd > 0.05 {
			t.Errorf("%+.0f %% across: the bore edge is in doubt by %.2f px beside a dark wall", 100*c.across, sd)
		}
	}
}

// What light across the chamfer leaves open reaches the trace, and with it the uncertainty.
func TestATraceDoubtsLightThatChangesAcrossTheChamfer(t *testing.T) {
	job := model.JobCard{BoreMM: 10, ChamferMM: 0.6, ThicknessMM: 15}.WithDefaults()
	var doubt [2]float64
	for i, across := range [2]float64{0, 0.2} {
		tr, err := Trace(context.Background(), litPhoto(across), job, nil)
		if err != nil {
			t.Fatal(err)
		}
		doubt[i] = math.Sqrt(tr.Doubt[outer].XX)
	}
	if doubt[0] > 0.1 || doubt[1] < doubt[0]+0.2 {
		t.Errorf("the outer edge is in doubt by %.2f px in even light and by %.2f px in light that changes", doubt[0], doubt[1])
	}
}
