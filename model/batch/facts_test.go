package batch

import (
	"math"
	"math/rand/v2"
	"testing"

	"evenrim/model"
)

// Student's t at 5 degrees of freedom is 4.032 at 99.5 % and 5.893 at 99.9 % (NIST/SEMATECH
// e-Handbook 1.3.6.7.2); three standard deviations lie between, at 99.865 %.
func TestThreeSigmaOfFewParts(t *testing.T) {
	near(t, "many", studentOver3(1_000_000), 1, 1e-4)
	if k := studentOver3(5); !(3*k > 4.032 && 3*k < 5.893) {
		t.Errorf("5 degrees of freedom: %g", 3*k)
	}
}

// A steady batch seldom looks as if it drifted, and a drift is measured.
func TestFactsOfABatch(t *testing.T) {
	rng := rand.New(rand.NewPCG(41, 41))
	const runs = 4000
	drifts := 0
	for range runs {
		parts := draw(rng, 6, model.Vec{X: 0.01}, spread)
		s, err := Summarise(parts)
		if err != nil {
			t.Fatal(err)
		}
		f := FactsOf(parts, s, nil)
		if math.Abs(f.TrendMM.X) > 3*f.UTrendMM.X {
			drifts++
		}
	}
	between(t, "drifts in steady batches", drifts, runs, 0.0027, 0)

	parts := draw(rng, 10, model.Vec{X: 0.01}, spread.Scale(0.01))
	for i := range parts {
		parts[i].Name = string(rune('a' + i))
		parts[i].D.Y += 0.002 * float64(i)
	}
	s, err := Summarise(parts)
	if err != nil {
		t.Fatal(err)
	}
	f := FactsOf(parts, s, &Control{OutOfControl: []int{9}})
	near(t, "drift", f.TrendMM.Y, 0.018, 5e-4)
	if f.UTrendMM.Y > 1e-3 || f.N != 10 || len(f.Odd) != 1 || f.Odd[0] != "j" {
		t.Errorf("%+v", f)
	}
	if f := FactsOf(parts[:4], s, nil); f != nil {
		t.Errorf("four parts tell %+v", f)
	}
}
