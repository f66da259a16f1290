package model

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// Common practice, no source: a drawn 0.005 in chamfer with a measured 0.006 in
// step must have vanished over 2 arccos(5/6) = 67 degrees.
func TestVanishedArcFor(t *testing.T) {
	near(t, "arc, degrees", VanishedArcFor(0.005, 0.006)/degree, 67, 0.2)
	near(t, "no more than the width", VanishedArcFor(0.005, 0.005), 0, 0)
	// The exact crossing of the two circles agrees for a large bore.
	s := Solid{RadiusMM: 50, WidthMM: 0.127, HalfAngle: math.Pi / 4, Mismatch: Vec{0.1524, 0}}
	near(t, "exact, degrees", s.VanishedArc().WidthRad/degree, 67.1, 0.3)
}

func TestChamferWidthIsHeldAgainstTheStep(t *testing.T) {
	const thou = 0.0254
	for _, tt := range []struct {
		name          string
		width         float64 // as measured
		d             Vec
		step          float64
		wider, size   bool
		says, saysNot string
	}{
		{"wider than drawn", 7 * thou, Vec{6 * thou, 0}, 6 * thou, true, false, "wider than drawn; the step agrees", "size"},
		{"part of it size", 5 * thou, Vec{3 * thou, 0}, 6 * thou, false, true, "76.2 um of the step are size", "wider"},
		{"both", 6 * thou, Vec{4 * thou, 0}, 6 * thou, true, true, "wider than drawn, and", ""},
		{"small step, all mismatch", 5 * thou, Vec{2 * thou, 0}, 2 * thou, false, false, "agree", "gone"},
	} {
		r := &Reading{Job: JobCard{BoreMM: 10, ChamferMM: 5 * thou}, WidthMM: tt.width, WidthUMM: 0.001, Mismatch: tt.d, Cov: oneMicron}
		r.VanishedRad = r.Solid().VanishedArc().WidthRad
		c := CheckStep(r, 0, tt.step, 0.002)
		if c.Wider != tt.wider || c.Size != tt.size || !strings.Contains(c.Says, tt.says) || tt.saysNot != "" && strings.Contains(c.Says, tt.saysNot) {
			t.Errorf("%s: wider %v, size %v, %q", tt.name, c.Wider, c.Size, c.Says)
		}
		if tt.step > 5*thou {
			near(t, tt.name+": expected arc", c.ExpectedArcRad/degree, 67.1, 0.1)
			if !strings.Contains(c.Says, "67 degrees; the photo shows 0") {
				t.Errorf("%s: %q, want the two arcs", tt.name, c.Says)
			}
		}
	}
	// The wall to the left sees the mismatch the other way.
	r := &Reading{Job: JobCard{BoreMM: 10}, Mismatch: Vec{0.05, 0}, Cov: oneMicron}
	near(t, "size on the left wall", CheckStep(r, math.Pi, -0.05, 0.001).SizeMM, 0, 1e-9)
}

// curveOf is a width curve of n points with waves and noise whose neighbours
// are alike.
func curveOf(n int, wave func(a float64) float64, noise float64, rng *rand.Rand) []CurvePoint {
	var c []CurvePoint
	e := 0.0
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		e = 0.7*e + math.Sqrt(1-0.49)*rng.NormFloat64()
		c = append(c, CurvePoint{AngleRad: a, WidthMM: 0.3 + wave(a) + noise*e, FitMM: 0.3, SigmaMM: noise, Used: true})
	}
	return c
}

func TestOvalAndLobesAreToldFromNoise(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 12))
	r := &Reading{Curve: curveOf(180, func(a float64) float64 { return 0.004 * math.Cos(2*(a-0.5)) }, 0.001, rng)}
	two, four := r.Waves()
	near(t, "oval", two.MM, 0.004, 4*two.UMM)
	near(t, "its direction", two.PeakRad, 0.5, 0.1)
	if two.Sigma() < 5 || four.Sigma() > 3.7 {
		t.Errorf("oval stands out %.1f, four lobes %.1f sigma, want one and not the other", two.Sigma(), four.Sigma())
	}
	r.Curve = curveOf(180, func(a float64) float64 { return 0.004 * math.Cos(4*a) }, 0.001, rng)
	if two, four = r.Waves(); four.Sigma() < 5 || two.Sigma() > 3.7 {
		t.Errorf("oval %.1f, four lobes %.1f sigma, want the other", two.Sigma(), four.Sigma())
	}
	// Half a rim can't tell.
	r.Curve = r.Curve[:90]
	if two, _ = r.Waves(); two.Measured {
		t.Error("an oval measured on half a rim")
	}
	// Noise alone stands out at its stated rate: 5 % beyond 2.45.
	beyond := 0
	const n = 800
	for range n {
		r.Curve = curveOf(180, func(float64) float64 { return 0 }, 0.001, rng)
		if two, _ = r.Waves(); two.Sigma() > 2.4477 {
			beyond++
		}
	}
	near(t, "false alarms", float64(beyond)/n, 0.05, 0.025)
}
