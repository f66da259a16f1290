package model

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// wallsOf has the pair of walls that face along normalDeg read as s, omega and size make
// them at their places, then their steps taken times sign.
func wallsOf(at Vec, normalDeg float64, s Vec, omega, size, sign float64) []Wall {
	walls := pairOf([2]string{fmt.Sprint(normalDeg), fmt.Sprint(normalDeg + 180)}, at, normalDeg, 0, 0)
	for i := range walls {
		w := &walls[i]
		m, _ := moved(w.At, omega)
		step := sign * (Polar(1, w.NormalRad).Dot(s.Add(m)) + size)
		w.StepMM = []float64{step, step}
	}
	return walls
}

// contradicts fails t unless nothing is given or advised and the reason said.
func contradicts(t *testing.T, f *PartFit) {
	t.Helper()
	if !f.Disputed() || f.Compare.Agree {
		t.Fatalf("comparison %+v, want disagreement", f.Compare)
	}
	if f.KnowsX || f.KnowsY || f.KnowsRotation || f.KnowsSize {
		t.Errorf("knows X %v, Y %v, rotation %v, size %v of what is contradicted", f.KnowsX, f.KnowsY, f.KnowsRotation, f.KnowsSize)
	}
	a := AdvisePart(f, JobCard{}, Machine{})
	if !a.Empty() || len(a.Setup1) > 0 || !strings.Contains(strings.Join(a.LeftAlone, " "), "contradict") {
		t.Errorf("advice %+v, want none and why", a)
	}
	if said := strings.Join(f.Warnings, " "); !strings.Contains(said, "disagree") || strings.Contains(said, "cannot be told") {
		t.Errorf("warnings %q, want the disagreement and nothing of what cannot be told", said)
	}
	line, err := PartLine(PartReport{Fit: f, Advice: a})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"shift_mm":[null,null]`, `"rotation_deg":null`, `"correction":null`, `"agree":false`} {
		if !strings.Contains(string(line), want) {
			t.Errorf("no %s in %s", want, line)
		}
	}
}

// Photos of six holes tell the rotation, and with it one pair of walls is compared
// wherever along the walls it was read. The walls are what the same shift and rotation
// make of them: they agree as they are, and with the signs crossed nothing is blended.
func TestOnePairOfWallsAgainstPhotos(t *testing.T) {
	s, omega := Vec{0.0601, -0.0202}, 0.08*degree
	holes := holesOf(sixPlaces, s, omega, oneMicron, nil)
	for _, at := range []float64{0, 25, -38} {
		for _, tt := range []struct {
			name  string
			walls func(sign float64) []Wall
			isX   bool
		}{
			{"right and left", func(sign float64) []Wall { return wallsOf(Vec{60, at}, 0, s, omega, 0.003, sign) }, true},
			{"back and front", func(sign float64) []Wall { return wallsOf(Vec{at, 40}, 90, s, omega, 0.003, sign) }, false},
		} {
			t.Run(fmt.Sprintf("%s at %g", tt.name, at), func(t *testing.T) {
				f, err := FitPart("block", holes, tt.walls(1))
				if err != nil {
					t.Fatal(err)
				}
				c := f.Compare
				if c.ComparesX != tt.isX || c.ComparesY == tt.isX || c.ComparesRotation || !c.Agree || f.Disputed() {
					t.Fatalf("comparison %+v, want agreement along one axis", c)
				}
				if en := [2]float64{c.EnY, c.EnX}[map[bool]int{false: 0, true: 1}[tt.isX]]; math.Abs(en) > 0.01 {
					t.Errorf("E_n %.3f of walls that are exactly right", en)
				}
				near(t, "shift X", f.Shift.X, s.X, 1e-5)
				near(t, "size", f.SizeMM, 0.003, 1e-5)
				if AdvisePart(f, JobCard{}, Machine{}).Empty() {
					t.Error("no correction though they agree")
				}
				f, _ = FitPart("block", holes, tt.walls(-1))
				contradicts(t, f)
			})
		}
	}
}

// A mild contradiction: the mismatch that the walls show is a third larger.
func TestAMildContradictionIsNotBlended(t *testing.T) {
	s := Vec{0.0601, -0.0202}
	holes := holesOf(sixPlaces, s, 0, oneMicron, nil)
	f, err := FitPart("block", holes, pairOf([2]string{"left", "right"}, Vec{-60, 0}, 180, -0.0683, 0.0937))
	if err != nil {
		t.Fatal(err)
	}
	contradicts(t, f)
	near(t, "the indicator's X", f.Compare.Walls.Shift.X, 0.081, 1e-9)
}

// Whatever the photos have beside walls with crossed signs, the two aren't averaged.
func TestCrossedSignsAreNeverBlended(t *testing.T) {
	s := Vec{0.06, -0.02}
	one := func(at Vec) []HoleReading { return holesOf([]Vec{at}, s, 0, oneMicron, nil) }
	placeless := one(Vec{})
	placeless[0].HasPlace = false
	four := append(wallsOf(Vec{60, 0}, 0, s, 0, 0, -1), wallsOf(Vec{0, 40}, 90, s, 0, 0, 1)...)
	corner := wallsOf(Vec{60, 0}, 0, s, 0, 0, -1)[:1]
	corner = append(corner, wallsOf(Vec{0, 40}, 90, s, 0, 0, 1)[:1]...)
	for _, tt := range []struct {
		name  string
		holes []HoleReading
		walls []Wall
	}{
		{"one photo at part zero", one(Vec{}), wallsOf(Vec{60, 0}, 0, s, 0, 0, -1)},
		{"one photo as far back as the walls were read", one(Vec{20, 15}), wallsOf(Vec{60, 15}, 0, s, 0, 0, -1)},
		{"one photo without a place", placeless, wallsOf(Vec{60, 0}, 0, s, 0, 0, -1)},
		{"one photo and four walls, one pair crossed", one(Vec{20, 15}), four},
		{"one photo without a place and four walls", placeless, four},
		{"six photos and four walls", holesOf(sixPlaces, s, 0, oneMicron, nil), four},
		{"six photos and two walls that meet", holesOf(sixPlaces, s, 0, oneMicron, nil), corner},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f, err := FitPart("block", tt.holes, tt.walls)
			if err != nil {
				t.Fatal(err)
			}
			contradicts(t, f)
		})
	}
	// One photo off the pair: a rotation explains it, and nothing checks that. It is
	// told, and not corrected by.
	f, err := FitPart("block", one(Vec{20, 15}), wallsOf(Vec{60, 0}, 0, s, 0, 0, -1))
	if err != nil {
		t.Fatal(err)
	}
	if a := AdvisePart(f, JobCard{}, Machine{}); !a.Empty() || !f.TurnUnchecked || f.Compare.Compares {
		t.Errorf("unchecked %v, compares %v, advice %+v", f.TurnUnchecked, f.Compare.Compares, a)
	}
	line, _ := PartLine(PartReport{Fit: f})
	if !strings.Contains(string(line), `"agree":null`) || !strings.Contains(string(line), `"correction":null`) {
		t.Errorf("want agreement and correction null in %s", line)
	}
}

// A part turned in the vise, one hole photographed and all four walls read with their
// drift: the walls tell the rotation, and the hole is compared where it is.
func TestOnePhotoIsComparedWithTheWallsRotation(t *testing.T) {
	s, omega := Vec{0.03, -0.01}, 0.001
	f, err := FitPart("block", holesOf([]Vec{{40, 25}}, s, omega, oneMicron, nil), box(s, omega, 0.004, silent))
	if err != nil {
		t.Fatal(err)
	}
	if c := f.Compare; !c.Agree || !c.ComparesX || !c.ComparesY || c.ComparesRotation || math.Abs(c.EnX) > 0.1 {
		t.Errorf("comparison %+v, want agreement in X and Y", c)
	}
}

// Where photos and indicator are right, they are found apart in 5 % of parts: that is
// what E_n of all together is made to (95 % point of chi-squared). Counted within three
// standard deviations of a binomial, 5.3 of 30.
func TestGoodPartsAreSeldomDisputed(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 66))
	const n = 600
	pair, four := 0, 0
	for range n {
		s, omega := Vec{0.02 * rng.NormFloat64(), 0.02 * rng.NormFloat64()}, 0.001*rng.NormFloat64()
		holes := holesOf(sixPlaces, s, omega, oneMicron, rng)
		noisy := func(walls []Wall) []Wall {
			for i := range walls {
				walls[i].ResolutionMM = 0.002
				// Zero and reading, each within half a division.
				zero := (rng.Float64() + rng.Float64() - 1) * 0.002
				for k := range walls[i].StepMM {
					walls[i].StepMM[k] += zero + 0.001*rng.NormFloat64()
				}
			}
			return walls
		}
		if f, _ := FitPart("p", holes, noisy(wallsOf(Vec{60, 20}, 0, s, omega, 0.004, 1))); f.Disputed() {
			pair++
		}
		if f, _ := FitPart("p", holes, noisy(box(s, omega, 0.004, silent))); f.Disputed() {
			four++
		}
	}
	for name, disputed := range map[string]int{"a pair of walls": pair, "four walls": four} {
		if disputed < 30-16 || disputed > 30+16 {
			t.Errorf("of %d good parts with %s %d were disputed, want about 30", n, name, disputed)
		}
	}
}
