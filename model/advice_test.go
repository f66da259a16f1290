package model

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func words(moves []Move) string {
	var s []string
	for _, m := range moves {
		s = append(s, m.Words)
	}
	return strings.Join(s, "\n")
}

func TestAdviceMovesOnlyAxesWorthMoving(t *testing.T) {
	// 0.0312 mm right, 0.0009 mm up, 1 um: X is worth it, Y isn't.
	a := Advise(Vec{0.0312, 0.0009}, oneMicron, JobCard{BoreMM: 8, ShowInch: true}, Machine{Inch: true})
	if len(a.Setup2) != 1 || len(a.Setup1) != 1 || a.Setup2[0].Axis != AxisX {
		t.Fatalf("moves %q and %q, want one of X each", words(a.Setup2), words(a.Setup1))
	}
	// 0.0312 mm is 0.00123 in.
	near(t, "setup 2", a.Setup2[0].AmountMM, -0.0012*25.4, 1e-12)
	near(t, "setup 1, flipped end for end", a.Setup1[0].AmountMM, -0.0012*25.4, 1e-12)
	if !strings.Contains(a.Setup2[0].Words, "add -0.0012 in to the X work offset") {
		t.Errorf("words %q", a.Setup2[0].Words)
	}
	if len(a.LeftAlone) != 1 || !strings.HasPrefix(a.LeftAlone[0], "Y: 0.0000 in") {
		t.Errorf("left alone %q, want Y", a.LeftAlone)
	}
	near(t, "rest X", a.Remaining.X, 0.0312-0.03048, 1e-9)
	near(t, "rest Y", a.Remaining.Y, 0.0009, 1e-12)
	near(t, "rest's uncertainty", a.RemainingU95MM, 0.00244775, 1e-8)
	if a.RemainingP < 0.999 || len(a.Cautions) == 0 {
		t.Errorf("p %g, cautions %q", a.RemainingP, a.Cautions)
	}
	a = Advise(Vec{0.0312, 0.01}, oneMicron, JobCard{BoreMM: 8, Flip: FlipAboutX}, Machine{})
	near(t, "setup 1, flipped about X: X", a.Setup1[0].AmountMM, 0.031, 1e-12)
	near(t, "setup 1, flipped about X: Y", a.Setup1[1].AmountMM, -0.010, 1e-12)
	if !strings.Contains(words(a.Setup2), "add -0.031 mm") {
		t.Errorf("words %q, want mm to three digits", words(a.Setup2))
	}
}

// Of a reading that states ± 0.0024 mm no axis with less than that is moved, nor one
// with less than the region's reach along it where the region is longer one way.
func TestAReadingsAxisIsMovedBeyondItsStatedUncertainty(t *testing.T) {
	for _, tt := range []struct {
		d    Vec
		cov  Sym2
		x, y bool
	}{
		{Vec{0.010, 0.0022}, oneMicron, true, false}, // 2.2 sd: beyond 1.96, within 2.45
		{Vec{0.010, 0.0026}, oneMicron, true, true},
		{Vec{-0.0022, 0.010}, oneMicron, false, true},
		{Vec{0.0022, 0.010}, Sym2{XX: 0.25e-6, YY: 1e-6}, true, true}, // X is good to 0.0012
		{Vec{0.001, 0.001}, oneMicron, false, false},
	} {
		r := &Reading{Mismatch: tt.d, Cov: tt.cov, U95MM: U95(tt.cov), Job: JobCard{BoreMM: 8}.WithDefaults()}
		if x, y := r.WorthMoving(); x != tt.x || y != tt.y {
			t.Errorf("%v with ± %.4f mm: X moved %t, Y %t; want %t, %t", tt.d, r.U95MM, x, y, tt.x, tt.y)
		}
	}
}

// No correction is advised that is smaller than its own uncertainty or than the
// machine's step, and none makes it worse.
func TestAdviseIsNeverSmallerThanItsUncertainty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, cov := drawReading(t)
		m := Machine{Inch: rapid.Bool().Draw(t, "inch")}
		a := Advise(d, cov, JobCard{BoreMM: 8}, m)
		step := m.withDefaults().StepMM
		for _, v := range append(a.Setup1, a.Setup2...) {
			if math.Abs(v.AmountMM) < v.U95-step/2 || math.Abs(v.AmountMM) < step*0.999 {
				t.Fatalf("advises %g mm with U95 %g, step %g", v.AmountMM, v.U95, step)
			}
			if k := v.AmountMM / step; math.Abs(k-math.Round(k)) > 1e-9 {
				t.Fatalf("%g mm is not in steps of %g", v.AmountMM, step)
			}
		}
		if len(a.Setup2)+len(a.LeftAlone) != 2 {
			t.Fatalf("moves %q and left alone %q: want each axis in one of them", words(a.Setup2), a.LeftAlone)
		}
		if a.Remaining.Norm() > d.Norm()+1e-12 {
			t.Fatalf("%v remains of %v", a.Remaining, d)
		}
	})
}

// What the advice says, done to the part: setup 2's coordinates turned and
// shifted, or setup 1's, mirrored by the flip, land chamfer on bore.
func TestAdvisePartLandsChamferOnBore(t *testing.T) {
	fine := Machine{StepMM: 1e-6, StepRad: 1e-9}
	for _, flip := range []FlipAxis{FlipAboutX, FlipAboutY} {
		s, omega := Vec{0.06, -0.02}, 0.08*degree
		f, err := FitPart("p", holesOf(sixPlaces, s, omega, Sym2{1e-8, 0, 1e-8}, nil), nil)
		if err != nil {
			t.Fatal(err)
		}
		a := AdvisePart(f, JobCard{BoreMM: 8, Flip: flip}, fine)
		get := func(moves []Move) (c Vec, turn float64) {
			for _, m := range moves {
				switch m.Axis {
				case AxisX:
					c.X = m.AmountMM
				case AxisY:
					c.Y = m.AmountMM
				default:
					turn = m.AmountRad
				}
			}
			return c, turn
		}
		c2, turn2 := get(a.Setup2)
		c1, turn1 := get(a.Setup1)
		mirror := func(v Vec) Vec {
			if flip == FlipAboutX {
				return Vec{v.X, -v.Y}
			}
			return Vec{-v.X, v.Y}
		}
		for _, r := range sixPlaces {
			// Setup 2 lands q at Rot(omega) q + s. Its coordinate system turned by
			// -turn, offset by c; second order in omega and s is 0.1 um.
			chamfer := r.Rotate(-turn2).Add(c2).Rotate(omega).Add(s)
			near(t, "chamfer less bore, corrected in setup 2", chamfer.Sub(r).Norm(), 0, 2e-4)
			// Setup 1 bores at r; corrected, in its own mirrored axes, elsewhere.
			bore := mirror(mirror(r).Rotate(-turn1).Add(c1))
			was := r.Rotate(omega).Add(s)
			near(t, "chamfer less bore, corrected in setup 1", was.Sub(bore).Norm(), 0, 2e-4)
		}
		near(t, "rest", a.Remaining.Norm(), 0, 2e-4)
		if !strings.Contains(words(a.Setup2), "counter-clockwise") || !strings.Contains(words(a.Setup2), "-0.080 degrees about part zero") {
			t.Errorf("words %q", words(a.Setup2))
		}
	}
}

// A part's axis is judged by the ± that stands beside its figures: what lies within that is
// left alone, and what is advised is as good as it says.
func TestAdvisePartMovesNoAxisWithinItsUncertainty(t *testing.T) {
	const holeSD = 0.004
	for _, sds := range [...]float64{2.2, 2.7} {
		// Of holes about part zero the mean is known to their sd over the root of their number.
		meanSD := holeSD / math.Sqrt(float64(len(sixPlaces)))
		f, err := FitPart("p", holesOf(sixPlaces, Vec{sds * meanSD, 20 * meanSD}, 0, Sym2{XX: holeSD * holeSD, YY: holeSD * holeSD}, nil), nil)
		if err != nil {
			t.Fatal(err)
		}
		centre := Vec{}
		for _, r := range sixPlaces {
			centre = centre.Add(r.Scale(1 / float64(len(sixPlaces))))
		}
		d, cov := f.At(centre)
		a := AdvisePart(f, JobCard{BoreMM: 8}, Machine{StepMM: 1e-5})
		if moved := len(a.Setup2) == 2; moved != (d.X > U95(cov)) {
			t.Errorf("X %.5f mm with ± %.5f: advised %q, left alone %q", d.X, U95(cov), words(a.Setup2), a.LeftAlone)
		}
		for _, m := range a.Setup2 {
			near(t, "what a move is good to", m.U95, U95(cov), 1e-5)
		}
	}
}

func TestAdvisePartLeavesARotationThatIsChance(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	// All holes to one side of part zero: the shift there is poorly known.
	places := []Vec{{100, 10}, {120, -10}, {130, 12}, {110, 0}}
	f, err := FitPart("p", holesOf(places, Vec{0.02, 0.03}, 0, Sym2{4e-6, 0, 4e-6}, rng), nil)
	if err != nil {
		t.Fatal(err)
	}
	a := AdvisePart(f, JobCard{BoreMM: 8}, Machine{})
	if strings.Contains(words(a.Setup2), "turn") || !strings.Contains(strings.Join(a.LeftAlone, " "), "Rotation") {
		t.Errorf("advice %q, left alone %q, want the rotation left", words(a.Setup2), a.LeftAlone)
	}
	// Corrected by the mean over the holes, which is known to 1 um.
	near(t, "Y", a.Setup2[1].AmountMM, -0.03, 0.003)
	if a.RemainingP < 0.99 {
		t.Errorf("p of what remains %g", a.RemainingP)
	}
	if w := AdvisePart(&PartFit{}, JobCard{BoreMM: 8}, Machine{}); !w.Empty() || len(w.LeftAlone) == 0 {
		t.Error("a part whose shift isn't known gets a correction")
	}
}

func TestMachineLengthsAreRoundedToTheMachine(t *testing.T) {
	for _, tt := range []struct {
		m    Machine
		mm   float64
		want string
	}{
		{Machine{}, 0.0316, "+0.032 mm"}, {Machine{}, -0.0002, "0.000 mm"}, {Machine{Inch: true}, -0.0254, "-0.0010 in"},
		{Machine{Inch: true}, 0.00254, "+0.0001 in"}, {Machine{}, 0, "0.000 mm"},
	} {
		if got := tt.m.Length(tt.mm); got != tt.want {
			t.Errorf("Length(%g) = %q, want %q", tt.mm, got, tt.want)
		}
	}
}
