package model

import (
	"math"
	"math/rand/v2"
	"testing"
)

// BenchmarkSolve is from traced rims to the reading: what a changed input costs.
func BenchmarkSolve(b *testing.B) {
	v := view{
		Camera{CX: 799.5, CY: 599.5, U0: 820, V0: 580, PxPerMM: 80, InvDistPerMM: 1 / 140.0, SlopeX: 0.04, SlopeY: -0.02},
		Solid{RadiusMM: 4, WidthMM: 0.3, ThicknessMM: 8, HalfAngle: math.Pi / 4, Mismatch: Vec{0.03, -0.01}},
	}
	for _, c := range []struct {
		name string
		exit bool
	}{{"exit rim", true}, {"no exit rim", false}} {
		trace := v.trace(0.15, c.exit, rand.New(rand.NewPCG(1, 2)))
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Solve(trace, v.job()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
