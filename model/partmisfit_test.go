package model

import (
	"math/rand/v2"
	"strings"
	"testing"
)

func TestFitPartNamesTheHoleThatDoesNotFit(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	holes := holesOf(sixPlaces, Vec{0.06, -0.02}, 0.08*degree, oneMicron, rng)
	holes[3].Mismatch = holes[3].Mismatch.Add(Vec{-0.012, 0.004})
	f, err := FitPart("bracket", holes, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, h := range f.Holes {
		if h.Misfit != (i == 3) || h.LeftOut != (i == 3) {
			t.Errorf("hole %s: misfit %v, left out %v", h.Hole, h.Misfit, h.LeftOut)
		}
	}
	near(t, "its residual", f.Holes[3].Residual.X, -0.012, 0.003)
	near(t, "shift X", f.Shift.X, 0.06, 0.0015)
	if len(f.Warnings) != 1 || !strings.Contains(f.Warnings[0], "Hole D") || !strings.Contains(f.Warnings[0], " in) from where they put it") {
		t.Errorf("warnings %q, want hole D named", f.Warnings)
	}
	// Of three, which one is wrong can't be told: nobody is named.
	f, _ = FitPart("bracket", []HoleReading{holes[0], holes[3], holes[5]}, nil)
	for _, h := range f.Holes {
		if h.LeftOut {
			t.Errorf("hole %s of three left out", h.Hole)
		}
	}
	if f.Scale <= 1 {
		t.Error("three holes that disagree leave the uncertainty as it was")
	}
}

// Naming a hole that belongs is rare: at 1 % a part.
func TestFitPartSeldomNamesInVain(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 5))
	named := 0
	const n = 1000
	for range n {
		f, err := FitPart("p", holesOf(sixPlaces, Vec{}, 0, oneMicron, rng), nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, h := range f.Holes {
			if h.Misfit {
				named++
				break
			}
		}
	}
	if named > n*2/100 {
		t.Errorf("%d of %d good parts have a hole named, want at most 2 %%", named, n)
	}
}

// However far out it lies, the hole that is wrong is named and not the first one:
// all probabilities are nothing there.
func TestFitPartNamesAHoleThatIsFarOut(t *testing.T) {
	holes := holesOf(sixPlaces, Vec{0.01, 0.02}, 0.0005, oneMicron, rand.New(rand.NewPCG(3, 3)))
	holes[4].Mismatch.X += 2
	f, err := FitPart("bracket", holes, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, h := range f.Holes {
		if h.LeftOut != (i == 4) {
			t.Errorf("hole %s left out: %v", h.Hole, h.LeftOut)
		}
	}
}

// One picture cannot be of two holes; of two holes in one picture it can.
func TestFitPartNamesHolesOfOnePicture(t *testing.T) {
	holes := holesOf(sixPlaces, Vec{0.06, -0.02}, 0.08*degree, oneMicron, rand.New(rand.NewPCG(3, 5)))
	for i, shape := range []RimShape{{CX: 500, CY: 500, A: 300, B: 299}, {CX: 1500, CY: 500, A: 300, B: 299}, {CX: 501, CY: 499, A: 300, B: 299}} {
		holes[i].Readings = []*Reading{{Photo: Photo{SHA256: "1"}, Outer: shape}}
	}
	f, err := FitPart("bracket", holes, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Warnings) != 1 || !strings.Contains(f.Warnings[0], "Holes A and C were read from the same place in the same picture") {
		t.Errorf("warnings %q, want holes A and C named, and not B", f.Warnings)
	}
}
