package model

import (
	"math/rand/v2"
	"runtime"
	"testing"
)

// Without the exit rim a tilt one way and the other are fitted at the same time: what either
// finds is in the reading, each time and on any number of processors.
func TestSolveIsRepeatable(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	v := view{
		Camera{CX: 799.5, CY: 599.5, U0: 810, V0: 590, PxPerMM: 80, InvDistPerMM: 1 / 140.0, SlopeX: 0.05, SlopeY: -0.03},
		Solid{RadiusMM: 4, WidthMM: 0.3, ThicknessMM: 8, HalfAngle: 0.785, Mismatch: Vec{0.03, -0.01}},
	}
	trace := v.trace(0.15, false, rand.New(rand.NewPCG(1, 2)))
	first, err := Solve(trace, v.job())
	if err != nil {
		t.Fatal(err)
	}
	if f, err := fitRims(&trace, v.job().WithDefaults()); err != nil || len(f.rivals) == 0 {
		t.Fatalf("no other tilt in doubt (%v), so that nothing is tried", err)
	}
	for round := range 24 {
		runtime.GOMAXPROCS(1 + round%4)
		again, err := Solve(trace, v.job())
		if err != nil {
			t.Fatal(err)
		}
		if again.Mismatch != first.Mismatch || again.Cov != first.Cov {
			t.Fatalf("mismatch %v, covariance %v; before %v, %v", again.Mismatch, again.Cov, first.Mismatch, first.Cov)
		}
	}
}
