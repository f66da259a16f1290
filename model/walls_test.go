package model

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

const tenth = 0.00254 // mm: 0.0001 in

func TestWallsAreAveragedWithTheirResolution(t *testing.T) {
	steps, err := ReadWalls([]Wall{
		{Name: "right", StepMM: []float64{0.010, 0.012, 0.014}, AlongMM: []float64{-10, 0, 10}, ResolutionMM: tenth},
		{Name: "left", StepMM: []float64{-0.010, -0.012}, ResolutionMM: tenth},
	})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", steps[0].MeanMM, 0.012, 1e-12)
	near(t, "drift per mm", steps[0].DriftPerMM, 2e-4, 1e-12)
	near(t, "spread about the drift", steps[0].SpreadMM, 0, 1e-12)
	near(t, "spread", steps[1].SpreadMM, math.Sqrt2*0.001, 1e-12)
	// An indicator with 0.0001 in divisions reads to no better than a rectangular
	// half division, 1.27 um / sqrt3 = 0.73 um (common practice, no source;
	// JCGM 100 4.3.7): here twice, for zero and reading.
	near(t, "division", steps[0].UDivisionMM, 0.00127/math.Sqrt(3)*math.Sqrt2, 1e-9)
	if steps[0].UMM < 0.00127/math.Sqrt(3) {
		t.Errorf("u of the mean %g is better than half a division allows", steps[0].UMM)
	}
	// Pooled: (0 + 2e-6) over 1 + 1 degrees of freedom.
	near(t, "repeat of two", steps[1].URepeatMM, 0.001/math.Sqrt2, 1e-12)
	near(t, "repeat of three", steps[0].URepeatMM, 0.001/math.Sqrt(3), 1e-12)
	near(t, "gain", steps[0].UGainMM, 0.00012, 1e-12)
	near(t, "u of the drift", steps[0].UDriftPerMM, 0.001/math.Sqrt(200), 1e-9)
	if !steps[0].DriftIsReal() {
		t.Errorf("a drift of %g with u %g counts as chance", steps[0].DriftPerMM, steps[0].UDriftPerMM)
	}
	// No end of readings beats the division.
	many := make([]float64, 1000)
	steps, _ = ReadWalls([]Wall{{StepMM: many, ResolutionMM: tenth}})
	near(t, "thousand readings", steps[0].UMM, steps[0].UDivisionMM, 0.02*steps[0].UDivisionMM)
	for name, w := range map[string]Wall{"no reading": {Name: "w1"}, "places": {Name: "w1", StepMM: []float64{1}, AlongMM: []float64{1, 2}}} {
		if _, err := ReadWalls([]Wall{w}); err == nil || !strings.Contains(err.Error(), "w1") {
			t.Errorf("%s: error %v, want one that names the wall", name, err)
		}
	}
}

// box is the four walls of a block of 120 x 80 mm with two readings each, 30 mm
// apart, of what is true of it.
func box(s Vec, omega, size float64, noise func() float64) []Wall {
	var walls []Wall
	for i, name := range []string{"right", "back", "left", "front"} {
		a := float64(i) * math.Pi / 2
		w := Wall{Name: name, At: Polar([]float64{60, 40, 60, 40}[i], a), NormalRad: a, ResolutionMM: tenth / 10}
		for _, along := range []float64{-15, 0, 15} {
			m, _ := moved(w.At.Add(Polar(along, a+math.Pi/2)), omega)
			w.AlongMM = append(w.AlongMM, along)
			w.StepMM = append(w.StepMM, Polar(1, a).Dot(s.Add(m))+size+noise())
		}
		walls = append(walls, w)
	}
	return walls
}

func silent() float64 { return 0 }

func TestFitWallsAlone(t *testing.T) {
	f, err := FitPart("block", nil, box(Vec{0.03, -0.01}, 0.0005, 0.006, silent))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "shift X", f.Shift.X, 0.03, 1e-5)
	near(t, "shift Y", f.Shift.Y, -0.01, 1e-5)
	near(t, "rotation", f.RotationRad, 0.0005, 1e-9)
	near(t, "size", f.SizeMM, 0.006, 1e-5)
	if !f.KnowsX || !f.KnowsY || !f.KnowsRotation || !f.KnowsSize {
		t.Errorf("knows %v %v %v %v, want all", f.KnowsX, f.KnowsY, f.KnowsRotation, f.KnowsSize)
	}
	if f.Verdict != Undecided || f.Compare != nil {
		t.Errorf("verdict %q, comparison %v without a hole", f.Verdict, f.Compare)
	}
	// Straight along a wall the step changes by minus the rotation.
	near(t, "drift", f.Walls[0].DriftPerMM, -0.0005, 1e-9)
}

func TestOneSidedWallsLeaveTheShiftOpen(t *testing.T) {
	w := box(Vec{0.03, -0.01}, 0, 0.006, silent)
	f, err := FitPart("block", nil, []Wall{w[0], w[1]})
	if err != nil {
		t.Fatal(err)
	}
	if f.KnowsX || f.KnowsY || f.KnowsSize {
		t.Errorf("two neighbouring walls tell X %v, Y %v, size %v; want none: size and mismatch look alike", f.KnowsX, f.KnowsY, f.KnowsSize)
	}
	if len(f.Warnings) == 0 || !strings.Contains(strings.Join(f.Warnings, " "), "opposite") {
		t.Errorf("warnings %q, want the opposite walls asked for", f.Warnings)
	}
	// With three, the lone one's axis is still known through the size.
	f, _ = FitPart("block", nil, w[:3])
	if !f.KnowsX || !f.KnowsY || !f.KnowsSize {
		t.Errorf("three walls tell X %v, Y %v, size %v; want all", f.KnowsX, f.KnowsY, f.KnowsSize)
	}
}

// Opposite walls both proud by the same is size, not alignment (common practice,
// no source).
func TestOppositeWallsTellSizeFromShift(t *testing.T) {
	for _, tt := range []struct {
		name string
		s    Vec
		size float64
		want PairFinding
	}{
		{"both proud", Vec{}, 0.01, PairSize},
		{"one proud, one shy", Vec{0.01, 0}, 0, PairMismatch},
		{"both", Vec{0.01, 0}, 0.02, PairBoth},
		{"even", Vec{}, 0, PairEven},
	} {
		walls := box(tt.s, 0, tt.size, silent)
		steps, err := ReadWalls(walls)
		if err != nil {
			t.Fatal(err)
		}
		pairs := PairWalls(walls, steps)
		if len(pairs) != 2 || pairs[0].A != "right" || pairs[0].B != "left" {
			t.Fatalf("%s: pairs %+v, want right-left and back-front", tt.name, pairs)
		}
		if p := pairs[0]; p.Says != tt.want {
			t.Errorf("%s: %q (mismatch %g, size %g, u %g), want %q", tt.name, p.Says, p.MismatchMM, p.SizeMM, p.UMM, tt.want)
		}
		near(t, tt.name+": mismatch", pairs[0].MismatchMM, tt.s.X, 1e-9)
		near(t, tt.name+": size", pairs[0].SizeMM, tt.size, 1e-9)
	}
}

// ISO 13528: 10.04 against 10.00 with U = 0.03 and 0.04 (k = 2) gives 0.80.
func TestEnAgreesWithTheStandardsExample(t *testing.T) {
	near(t, "En", En(10.04, 0.015, 10.00, 0.020), 0.80, 1e-9)
	// In the plane: the 95 % point of chi-squared with 2 degrees of freedom, 5.991.
	near(t, "En in the plane", En2(Vec{math.Sqrt(5.991), 0}, Sym2{0.5, 0, 0.5}, Vec{}, Sym2{0.5, 0, 0.5}), 1, 1e-4)
}

func TestPhotosAgainstIndicator(t *testing.T) {
	s, omega := Vec{0.03, -0.01}, 0.0006
	holes := holesOf(sixPlaces, s, omega, oneMicron, nil)
	f, err := FitPart("block", holes, box(s, omega, 0.004, silent))
	if err != nil {
		t.Fatal(err)
	}
	c := f.Compare
	if c == nil || !c.Agree || !c.ComparesX || !c.ComparesY || !c.ComparesRotation {
		t.Fatalf("comparison %+v, want agreement in all", c)
	}
	near(t, "En plane", c.EnPlane, 0, 0.02)
	near(t, "size", f.SizeMM, 0.004, 1e-5)
	// The indicator has the sign of two opposite walls wrong.
	wrong := box(s, omega, 0.004, silent)
	for _, i := range []int{0, 2} {
		for k := range wrong[i].StepMM {
			wrong[i].StepMM[k] *= -1
		}
	}
	f, _ = FitPart("block", holes, wrong)
	if f.Compare.Agree || math.Abs(f.Compare.EnX) < 1 {
		t.Errorf("E_n X = %g with the signs of X swapped, want beyond 1", f.Compare.EnX)
	}
	if !strings.Contains(strings.Join(f.Warnings, " "), "disagree") {
		t.Errorf("warnings %q, want the disagreement", f.Warnings)
	}
	// One wall alone compares nothing, and that is no agreement.
	lone := box(s, omega, 0, silent)[:1]
	lone[0].AlongMM = nil // or its drift would compare the rotation
	f, _ = FitPart("block", holes, lone)
	if f.Compare.ComparesX || f.Compare.Agree {
		t.Errorf("one wall compares X %v, agrees %v", f.Compare.ComparesX, f.Compare.Agree)
	}
	if !f.KnowsSize {
		t.Error("with the shift from photos one wall tells the size")
	}
}

// The fit of walls states what it scatters by: 93 to 97 % coverage, with the
// readings rounded to the division as an indicator does.
func TestFitWallsCoverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 55))
	const n = 1500
	inShift, inSize, inJoint := 0, 0, 0
	for range n {
		s, g := Vec{0.02 * rng.NormFloat64(), 0.02 * rng.NormFloat64()}, 0.005*rng.NormFloat64()
		omega := 0.0003 * rng.NormFloat64()
		zero := 0.0
		walls := box(s, omega, g, func() float64 { return 0.002 * rng.NormFloat64() })
		for i := range walls {
			zero = rng.Float64() - 0.5 // of a division, each time zero is set
			gain := 1 + 0.01*rng.NormFloat64()
			walls[i].ResolutionMM = tenth
			round := rng.Float64() - 0.5
			for k, v := range walls[i].StepMM {
				// Both faces' roundings stay with the wall, as stated.
				walls[i].StepMM[k] = v*gain + (zero+round)*tenth
			}
		}
		f, err := FitPart("block", nil, walls)
		if err != nil {
			t.Fatal(err)
		}
		if f.ShiftCov().Mahalanobis2(f.Shift.Sub(s)) <= chiSquared95 {
			inShift++
		}
		if math.Abs(f.SizeMM-g) <= 1.96*math.Sqrt(f.Cov[pSize][pSize]) {
			inSize++
		}
		f, _ = FitPart("block", holesOf(sixPlaces[:3], s, omega, oneMicron, rng), walls)
		if f.ShiftCov().Mahalanobis2(f.Shift.Sub(s)) <= chiSquared95 {
			inJoint++
		}
	}
	near(t, "coverage of the shift", float64(inShift)/n, 0.95, 0.02)
	near(t, "coverage of the size", float64(inSize)/n, 0.95, 0.02)
	near(t, "coverage of the joint shift", float64(inJoint)/n, 0.95, 0.02)
}

// Walls turn with the part, too.
func TestWallsTurnWithThePart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(-3, 3).Draw(t, "turn")
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		walls := box(Vec{0.02, 0.01}, 0.001, 0.003, func() float64 { return 0.001 * rng.NormFloat64() })
		f, _ := FitPart("p", nil, walls)
		for i := range walls {
			walls[i].At, walls[i].NormalRad = walls[i].At.Rotate(a), walls[i].NormalRad+a
		}
		g, _ := FitPart("p", nil, walls)
		if e := g.Shift.Sub(f.Shift.Rotate(a)).Norm(); e > 1e-8 || math.Abs(g.SizeMM-f.SizeMM) > 1e-8 || math.Abs(g.RotationRad-f.RotationRad) > 1e-9 {
			t.Fatalf("turned walls: shift off by %g, size %g and %g, rotation %g and %g", e, g.SizeMM, f.SizeMM, g.RotationRad, f.RotationRad)
		}
	})
}

// withWrongWall has the wall "back" read 0.03 mm too high.
func withWrongWall(walls []Wall) []Wall {
	for k := range walls[1].StepMM {
		walls[1].StepMM[k] += 0.03
	}
	return walls
}

// rounded reads walls as an indicator with 0.0001 in divisions does.
func rounded(walls []Wall) []Wall {
	const div = tenth
	for i := range walls {
		walls[i].ResolutionMM = div
		for k, v := range walls[i].StepMM {
			walls[i].StepMM[k] = math.Round(v/div) * div
		}
	}
	return walls
}

// Six holes and four walls of one part, the walls read to 0.0001 in: shift, rotation
// and size come back and the two agree; a wrong wall is named, left out, and spoils
// nothing.
func TestWallsAndPhotosTogether(t *testing.T) {
	s, omega, size := Vec{0.06, -0.02}, 0.08*degree, 0.0127
	rng := rand.New(rand.NewPCG(8, 31))
	holes := holesOf(sixPlaces, s, omega, oneMicron, rng)
	for _, tt := range []struct {
		name  string
		walls []Wall
		wrong string
	}{
		{"consistent", rounded(box(s, omega, size, silent)), ""},
		{"one wall wrong", rounded(withWrongWall(box(s, omega, size, silent))), "back"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f, err := FitPart("block", holes, tt.walls)
			if err != nil {
				t.Fatal(err)
			}
			if m := f.ShiftCov().Mahalanobis2(f.Shift.Sub(s)); m > chiSquared95 {
				t.Errorf("shift (%.5f, %.5f), want (%.5f, %.5f) within its 95 %% region", f.Shift.X, f.Shift.Y, s.X, s.Y)
			}
			near(t, "rotation", f.RotationRad, omega, 2*math.Sqrt(f.Cov[pTurn][pTurn]))
			near(t, "size", f.SizeMM, size, 2*math.Sqrt(f.Cov[pSize][pSize]))
			if c := f.Compare; !c.Agree || math.Abs(c.EnX) >= 1 || !(c.EnRotation < 1) {
				t.Errorf("E_n X %.2f, Y %.2f, rotation %.2f, want agreement", c.EnX, c.EnY, c.EnRotation)
			}
			for _, w := range f.Walls {
				if w.LeftOut != (w.Wall == tt.wrong) || w.Misfit != w.LeftOut {
					t.Errorf("wall %s misfit %v, left out %v", w.Wall, w.Misfit, w.LeftOut)
				}
				if w.LeftOut {
					near(t, "residual of the wrong wall", w.ResidualMM, 0.03, 0.004)
				}
			}
			for _, h := range f.Holes {
				if h.Misfit {
					t.Errorf("hole %s is blamed", h.Hole)
				}
			}
			if said := strings.Contains(strings.Join(f.Warnings, " "), "Wall back does not fit"); said != (tt.wrong != "") {
				t.Errorf("warnings %q", f.Warnings)
			}
		})
	}
}

// Of walls alone none can be convicted: with shift and size open, each wall's
// error is any other's.
func TestWallsAloneConvictNone(t *testing.T) {
	f, err := FitPart("block", nil, withWrongWall(box(Vec{0.02, 0.01}, 0, 0.005, silent)))
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range f.Walls {
		if w.LeftOut {
			t.Errorf("wall %s left out", w.Wall)
		}
	}
	if f.PValue > misfitLevel || len(f.Warnings) == 0 {
		t.Errorf("probability %g, warnings %q, want the disagreement said", f.PValue, f.Warnings)
	}
}

// A good wall is seldom named: at most about 1 % of parts.
func TestWallsSeldomNamedInVain(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 8))
	const n = 300
	named := 0
	for range n {
		s, omega := Vec{0.02 * rng.NormFloat64(), 0.02 * rng.NormFloat64()}, 0.001*rng.NormFloat64()
		holes := holesOf(sixPlaces, s, omega, oneMicron, rng)
		f, err := FitPart("block", holes, rounded(box(s, omega, 0.005, func() float64 { return 0.001 * rng.NormFloat64() })))
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range f.Walls {
			if w.Misfit {
				named++
			}
		}
	}
	if named > n*2/100 {
		t.Errorf("%d of %d parts had a good wall named", named, n)
	}
}
