package model

import (
	"math"
	"testing"
)

// budgeted is a part of six holes, the second a turn set, each with a whole
// budget.
func budgeted(t testing.TB) *PartFit {
	t.Helper()
	var holes []HoleReading
	for i, r := range sixPlaces {
		turns := []float64{4}
		if i == 1 {
			turns = []float64{4, 93, 186, 271}
		}
		h, err := JoinHole(string(rune('A'+i)), &r, turned(Vec{0.02, -0.01}, Vec{}, typicalBudget(), turns...), nil)
		if err != nil {
			t.Fatal(err)
		}
		holes = append(holes, h)
	}
	f, err := FitPart("bracket", holes, box(Vec{0.02, -0.01}, 0, 0, silent))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// The simulation agrees with the law of propagation within 5 %: each hole,
// shift and rotation.
func TestSimulatePartAgreesWithTheFit(t *testing.T) {
	f := budgeted(t)
	s := SimulatePart(f, 60000, 3)
	if len(s.Holes) != len(f.Holes) {
		t.Fatalf("%d holes simulated of %d", len(s.Holes), len(f.Holes))
	}
	for i, h := range f.Holes {
		got := s.Holes[i]
		near(t, "hole "+h.Hole+": u X ratio", math.Sqrt(got.Cov.XX/h.Cov.XX), 1, 0.05)
		near(t, "hole "+h.Hole+": u Y ratio", math.Sqrt(got.Cov.YY/h.Cov.YY), 1, 0.05)
		near(t, "hole "+h.Hole+": U95 ratio", got.U95MM/U95(h.Cov), 1, 0.05)
		near(t, "hole "+h.Hole+": p within", got.PWithin, h.PWithin, 0.03)
	}
	near(t, "shift: u X ratio", math.Sqrt(s.ShiftCov.XX/f.Cov[pX][pX]), 1, 0.05)
	near(t, "shift: u Y ratio", math.Sqrt(s.ShiftCov.YY/f.Cov[pY][pY]), 1, 0.05)
	near(t, "rotation: u ratio", s.URotation/math.Sqrt(f.Cov[pTurn][pTurn]), 1, 0.05)
}

func BenchmarkSimulatePart100k(b *testing.B) {
	f := budgeted(b)
	for b.Loop() {
		SimulatePart(f, 100000, 1)
	}
}
