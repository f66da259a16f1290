package model

import (
	"math"
	"math/rand/v2"
	"testing"
)

// seamTrace is a trace over 10 mm with the seam at 5.2: a step, a slope, noise,
// and what stands up within 0.3 mm of the seam.
func seamTrace(step, slope, noise, burr float64, rng *rand.Rand) []Vec {
	var p []Vec
	for i := range 51 {
		x := 0.2 * float64(i)
		y := slope * x
		if x > 5.1 {
			y += step
		}
		if math.Abs(x-5.2) < 0.3 {
			y += burr
		}
		p = append(p, Vec{x, y + noise*rng.NormFloat64()})
	}
	return p
}

func TestSeamsGiveStepBurrAndGouge(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	for _, tt := range []struct {
		name                    string
		step, slope, noise, add float64
		burr, gouge             bool
	}{
		{"clean step", 0.020, 0, 0.0005, 0, false, false},
		{"clean step down", -0.020, 0, 0.0005, 0, false, false},
		{"sloping wall", 0.020, 0.001, 0.0005, 0, false, false},
		{"burr on a step", 0.010, 0, 0.0005, 0.030, true, false},
		{"burr without a step", 0, 0.0005, 0.0005, 0.030, true, false},
		{"gouge", 0.005, 0, 0.0005, -0.030, false, true},
		{"nothing", 0, 0, 0.0005, 0, false, false},
	} {
		s, err := ReadSeam(seamTrace(tt.step, tt.slope, tt.noise, tt.add, rng), tenth)
		if err != nil {
			t.Fatal(err)
		}
		near(t, tt.name+": step", s.StepMM, tt.step, 4*s.UMM)
		if s.UMM < math.Sqrt2*rectangularHalf(tenth) {
			t.Errorf("%s: u %g, better than the division allows", tt.name, s.UMM)
		}
		if s.Burr() != tt.burr || (s.GougeMM > 0) != tt.gouge {
			t.Errorf("%s: burr %g, gouge %g, want burr %v, gouge %v", tt.name, s.BurrMM, s.GougeMM, tt.burr, tt.gouge)
		}
		if tt.burr {
			near(t, tt.name+": height of the burr", s.BurrMM, tt.add, 0.002)
		}
		if tt.step != 0 {
			near(t, tt.name+": place", s.AtMM, 5.1, 0.45)
		}
	}
}

// A high spot away from the seam is dirt on the wall, not a burr at the seam.
func TestHighSpotAwayFromTheSeamIsNoBurr(t *testing.T) {
	p := seamTrace(0.02, 0, 0.0003, 0, rand.New(rand.NewPCG(1, 6)))
	p[10].Y += 0.05
	s, err := ReadSeam(p, tenth)
	if err != nil {
		t.Fatal(err)
	}
	if s.Burr() {
		t.Errorf("burr of %g mm, want none: the spot is 3 mm from the seam", s.BurrMM)
	}
	near(t, "step", s.StepMM, 0.02, 0.001)
}

func TestReadSeamFalseAlarms(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 6))
	alarms := 0
	for range 300 {
		s, err := ReadSeam(seamTrace(0.01, 0.0003, 0.001, 0, rng), 0.0005)
		if err != nil {
			t.Fatal(err)
		}
		if s.Burr() {
			alarms++
		}
	}
	if alarms > 6 {
		t.Errorf("%d of 300 clean traces are called burred, want at most 2 %%", alarms)
	}
}

func TestReadSeamRefuses(t *testing.T) {
	for name, p := range map[string][]Vec{
		"too few":    make([]Vec, 7),
		"not finite": {{0, 0}, {1, 0}, {2, 0}, {3, math.NaN()}, {4, 0}, {5, 0}, {6, 0}, {7, 0}},
	} {
		if _, err := ReadSeam(p, tenth); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	// All at one place: no crash, and no step.
	if s, err := ReadSeam(make([]Vec, 9), tenth); err != nil || s.StepMM != 0 || s.Burr() {
		t.Errorf("nine equal points: %+v, %v", s, err)
	}
}
