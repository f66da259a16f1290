package model

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"pgregory.net/rapid"
)

// sixPlaces are the holes of the bracket, mm.
var sixPlaces = []Vec{{-42, -28}, {0, -30}, {45, -26}, {44, 30}, {2, 27}, {-40, 31}}

// holesOf makes a part's holes from what is true of it; noise may be nil.
func holesOf(places []Vec, s Vec, omega float64, cov Sym2, rng *rand.Rand) []HoleReading {
	var out []HoleReading
	for i, r := range places {
		m, _ := moved(r, omega)
		d := s.Add(m)
		if rng != nil {
			d = d.Add(drawCov(rng, cov))
		}
		h := HoleReading{Hole: string(rune('A' + i)), At: r, HasPlace: true, Mismatch: d, Cov: cov, Job: JobCard{BoreMM: 8}.WithDefaults()}
		h.Verdict, h.PWithin = Judge(d, cov, h.Job.ToleranceMM, h.Job.Zone)
		out = append(out, h)
	}
	return out
}

var oneMicron = Sym2{1e-6, 0, 1e-6}

// Against SciPy's least_squares on the exact model, with the script and its
// output in testdata/reference.
func TestFitPartAgainstSciPy(t *testing.T) {
	var ref struct {
		Holes []struct {
			At, D [2]float64
			Cov   [2][2]float64
		}
		Walls []struct {
			Name      string
			At        [2]float64
			NormalDeg float64 `json:"normal_deg"`
			U, Step   float64
			UDrift    *float64 `json:"u_drift"`
			Drift     *float64
		}
		Fits map[string]struct {
			Free []int
			X    []float64
			Cov  [][]float64
			Chi2 float64
			DOF  int
		}
	}
	data, err := os.ReadFile("testdata/reference/rigid.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &ref); err != nil {
		t.Fatal(err)
	}
	var holes []HoleReading
	for _, h := range ref.Holes {
		holes = append(holes, HoleReading{At: Vec{h.At[0], h.At[1]}, HasPlace: true, Mismatch: Vec{h.D[0], h.D[1]}, Cov: Sym2{h.Cov[0][0], h.Cov[0][1], h.Cov[1][1]}})
	}
	var walls []Wall
	var steps []WallStep
	for _, w := range ref.Walls {
		walls = append(walls, Wall{Name: w.Name, At: Vec{w.At[0], w.At[1]}, NormalRad: w.NormalDeg * degree})
		s := WallStep{MeanMM: w.Step, UMM: w.U}
		if w.Drift != nil {
			s.HasDrift, s.DriftPerMM, s.UDriftPerMM = true, *w.Drift, *w.UDrift
		}
		steps = append(steps, s)
	}
	if len(ref.Fits) != 4 {
		t.Fatalf("%d reference fits, want 4", len(ref.Fits))
	}
	for name, want := range ref.Fits {
		t.Run(name, func(t *testing.T) {
			var b *body
			switch name {
			case "walls":
				b = newBody(nil, walls, steps)
			case "both":
				b = newBody(holes, walls, steps)
			default:
				b = newBody(holes, nil, nil)
			}
			got := b.fit(len(want.Free) == 4 && want.Free[3] == pGrow)
			near(t, "chi2", got.Chi2, want.Chi2, 1e-5*want.Chi2)
			if got.DOF != want.DOF {
				t.Errorf("dof = %d, want %d", got.DOF, want.DOF)
			}
			cov := b.covariance(got, 1)
			for i, j := range want.Free {
				near(t, "unknown", got.X[j], want.X[i], 1e-4*math.Sqrt(want.Cov[i][i]))
				for k, l := range want.Free {
					near(t, "covariance", cov.At(j, l), want.Cov[i][k], 1e-4*math.Sqrt(want.Cov[i][i]*want.Cov[k][k]))
				}
			}
		})
	}
}

func TestFitPartExact(t *testing.T) {
	f, err := FitPart("bracket", holesOf(sixPlaces, Vec{0.06, -0.02}, 0.08*degree, oneMicron, nil), nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "shift X", f.Shift.X, 0.06, 1e-9)
	near(t, "shift Y", f.Shift.Y, -0.02, 1e-9)
	near(t, "rotation", f.RotationRad, 0.08*degree, 1e-12)
	near(t, "growth, ppm", f.GrowthPPM, 0, 1e-3)
	if f.DOF != 9 || f.Chi2 > 1e-6 || f.Scale != 1 {
		t.Errorf("dof %d, chi2 %g, scale %g, want 9, 0, 1", f.DOF, f.Chi2, f.Scale)
	}
	if f.RotationP > 1e-6 {
		t.Errorf("rotation by chance with p = %g, want it significant", f.RotationP)
	}
	d, cov := f.At(Vec{100, 0})
	near(t, "predicted Y, 100 mm out", d.Y, -0.02+100*math.Sin(0.08*degree), 1e-9)
	if cov.YY <= f.ShiftCov().YY {
		t.Errorf("variance 100 mm out %g is not above that at zero, %g", cov.YY, f.ShiftCov().YY)
	}
	// A step on the right wall, read off below its middle.
	step, u := f.StepAt(Vec{60, -20}, 0)
	near(t, "step", step, 0.06+20*math.Sin(0.08*degree)-60*(1-math.Cos(0.08*degree)), 1e-9)
	if !(u > 0) {
		t.Errorf("u of the step = %g, want above 0", u)
	}
	if f.Verdict != DoesNotConform {
		t.Errorf("verdict %q of a part 0.06 mm off, tolerance 0.0254", f.Verdict)
	}
}

func TestFitPartWithFewHoles(t *testing.T) {
	s, omega := Vec{0.01, 0.02}, 0.05*degree
	for _, tt := range []struct {
		name   string
		places []Vec
		drop   bool // places not known
		knows  bool
		dof    int
	}{
		{"one", []Vec{{30, 10}}, false, false, 0},
		{"two", []Vec{{-30, 10}, {40, 0}}, false, true, 1},
		{"two at one place", []Vec{{30, 10}, {30, 10}}, false, false, 2},
		{"three without places", []Vec{{0, 0}, {10, 0}, {20, 0}}, true, false, 4},
	} {
		holes := holesOf(tt.places, s, omega, oneMicron, nil)
		if tt.drop {
			for i := range holes {
				holes[i].HasPlace, holes[i].At, holes[i].Mismatch = false, Vec{}, s
			}
		}
		f, err := FitPart("p", holes, nil)
		if err != nil {
			t.Fatal(err)
		}
		if f.KnowsRotation != tt.knows || f.DOF != tt.dof || !f.KnowsX || !f.KnowsY {
			t.Errorf("%s: knows rotation %v, dof %d, want %v, %d", tt.name, f.KnowsRotation, f.DOF, tt.knows, tt.dof)
		}
		if !tt.knows {
			if f.RotationRad != 0 || len(f.Warnings) == 0 {
				t.Errorf("%s: rotation %g, warnings %q, want none and a word on it", tt.name, f.RotationRad, f.Warnings)
			}
			near(t, tt.name+": shift is the mean", f.Shift.Sub(holes[0].Mismatch).Norm(), 0, 1e-9)
		} else {
			near(t, tt.name+": rotation", f.RotationRad, omega, 1e-10)
		}
	}
	if _, err := FitPart("p", nil, nil); err == nil {
		t.Error("a part of nothing was fitted")
	}
}

// Turning all inputs turns the answer.
func TestFitPartTurnsWithItsInputs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var holes, turned []HoleReading
		a := rapid.Float64Range(-3, 3).Draw(t, "turn")
		s := Vec{rapid.Float64Range(-.1, .1).Draw(t, "sx"), rapid.Float64Range(-.1, .1).Draw(t, "sy")}
		omega := rapid.Float64Range(-.01, .01).Draw(t, "omega")
		for i := range rapid.IntRange(2, 6).Draw(t, "holes") {
			r := sixPlaces[i].Add(Vec{rapid.Float64Range(-5, 5).Draw(t, "x"), 0})
			_, cov := drawReading(t)
			m, _ := moved(r, omega)
			h := HoleReading{At: r, HasPlace: true, Cov: cov, PlusX: 0.4, CameraCov: cov.Scale(0.3).Rotate(0.4),
				Mismatch: s.Add(m).Add(Vec{rapid.Float64Range(-.002, .002).Draw(t, "ex"), 0})}
			holes = append(holes, h)
			h.At, h.Cov, h.Mismatch, h.PlusX = h.At.Rotate(a), h.Cov.Rotate(a), h.Mismatch.Rotate(a), h.PlusX-a
			turned = append(turned, h)
		}
		f, err := FitPart("p", holes, nil)
		g, err2 := FitPart("p", turned, nil)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		if e := g.Shift.Sub(f.Shift.Rotate(a)).Norm(); e > 1e-8 {
			t.Fatalf("shift of the turned part is %g mm from the turned shift", e)
		}
		if e := math.Abs(g.RotationRad - f.RotationRad); e > 1e-10 {
			t.Fatalf("rotation differs by %g", e)
		}
		c, want := g.ShiftCov(), f.ShiftCov().Rotate(a)
		if e := math.Abs(c.XX-want.XX) + math.Abs(c.XY-want.XY) + math.Abs(c.YY-want.YY); e > 1e-6*(want.XX+want.YY) {
			t.Fatalf("covariance %v, want %v", c, want)
		}
		if math.Abs(f.Chi2-g.Chi2) > 1e-6*(1+f.Chi2) {
			t.Fatalf("chi2 %g and %g", f.Chi2, g.Chi2)
		}
	})
}

// Swapping the setups flips all signs.
func TestFitPartSwapsSigns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		holes := holesOf(sixPlaces, Vec{0.05, 0.01}, 0.001, oneMicron, rng)
		swapped := append([]HoleReading(nil), holes...)
		for i := range swapped {
			swapped[i].Mismatch = holes[i].Mismatch.Scale(-1)
		}
		f, _ := FitPart("p", holes, nil)
		g, _ := FitPart("p", swapped, nil)
		// The pattern seen from the other setup turns back; to first order, as r is
		// that of setup 1 in one case and of setup 2 in the other.
		if f.Shift.Add(g.Shift).Norm() > 1e-3*f.Shift.Norm()+1e-6 || math.Abs(f.RotationRad+g.RotationRad) > 1e-4*math.Abs(f.RotationRad)+1e-9 {
			t.Fatalf("shift %v and %v, rotation %g and %g: want opposite signs", f.Shift, g.Shift, f.RotationRad, g.RotationRad)
		}
		a, b := Correct(f.Shift, FlipAboutX), Correct(f.Shift.Scale(-1), FlipAboutX)
		if a.Setup1 != b.Setup1.Scale(-1) || a.Setup2 != b.Setup2.Scale(-1) {
			t.Fatalf("corrections %v and %v, want opposite signs", a, b)
		}
	})
}

// Adding a hole never enlarges the covariance of the shift: the difference has no
// negative eigenvalue.
func TestAddingAHoleNeverHurts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var holes []HoleReading
		_, camera := drawReading(t) // shared by all, in the camera's axes
		for range rapid.IntRange(3, 7).Draw(t, "holes") {
			r := Vec{rapid.Float64Range(-60, 60).Draw(t, "x"), rapid.Float64Range(-60, 60).Draw(t, "y")}
			_, own := drawReading(t)
			plusX := rapid.Float64Range(-3, 3).Draw(t, "+X")
			holes = append(holes, HoleReading{At: r, HasPlace: true, Mismatch: Vec{}, Cov: own.Add(camera.Rotate(-plusX)), CameraCov: camera, PlusX: plusX})
		}
		walls := box(Vec{}, 0, 0, silent)[:rapid.IntRange(0, 4).Draw(t, "walls")]
		steps, err := ReadWalls(walls)
		if err != nil {
			t.Fatal(err)
		}
		n := len(holes)
		// Apart by a good bit, or the rotation is known only with the last hole and
		// then costs the shift.
		if holes[0].At.Sub(holes[1].At).Norm() < 1 {
			t.Skip()
		}
		few, many := newBody(holes[:n-1], walls, steps), newBody(holes, walls, steps)
		a, b := few.covariance(few.fit(false), 1), many.covariance(many.fit(false), 1)
		diff := Sym2{a.At(0, 0) - b.At(0, 0), a.At(0, 1) - b.At(0, 1), a.At(1, 1) - b.At(1, 1)}
		if _, minor, _ := diff.Eigen(); minor < -1e-9*(a.At(0, 0)+a.At(1, 1)) {
			t.Fatalf("with one hole more the variance grows by %g along some direction", -minor)
		}
	})
}

// Adding an equal camera error to all holes adds it to the shift whole, and not
// at all to the rotation.
func TestCameraErrorIsNotAveraged(t *testing.T) {
	holes := holesOf(sixPlaces, Vec{}, 0, oneMicron, nil)
	plain, _ := FitPart("p", holes, nil)
	for i := range holes {
		holes[i].CameraCov = Sym2{4e-6, 0, 4e-6}
		holes[i].Cov = oneMicron.Add(holes[i].CameraCov)
	}
	f, _ := FitPart("p", holes, nil)
	near(t, "variance X", f.Cov[pX][pX], plain.Cov[pX][pX]+4e-6, 1e-12)
	near(t, "variance of the rotation", f.Cov[pTurn][pTurn], plain.Cov[pTurn][pTurn], 1e-16)
}

// The stated region of shift and rotation holds the truth in 93 to 97 % of
// simulated parts: own noise of each hole, one camera error in all of them.
func TestFitPartCoverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(99, 2))
	const n = 1200
	for _, camera := range []float64{0, 0.0005, 0.003} {
		inShift, inTurn, inAt := 0, 0, 0
		for range n {
			s := Vec{0.03 * rng.NormFloat64(), 0.03 * rng.NormFloat64()}
			omega := 0.001 * rng.NormFloat64()
			own := Sym2{1e-6, 3e-7, 2e-6}
			holes := holesOf(sixPlaces, s, omega, own, rng)
			cam := Sym2{camera * camera, 0, camera * camera}
			bias := drawCov(rng, cam)
			for i := range holes {
				holes[i].Mismatch = holes[i].Mismatch.Add(bias)
				holes[i].Cov, holes[i].CameraCov = own.Add(cam), cam
			}
			f, err := FitPart("p", holes, nil)
			if err != nil {
				t.Fatal(err)
			}
			if f.ShiftCov().Mahalanobis2(f.Shift.Sub(s)) <= chiSquared95 {
				inShift++
			}
			if math.Abs(f.RotationRad-omega) <= 1.96*math.Sqrt(f.Cov[pTurn][pTurn]) {
				inTurn++
			}
			r := Vec{70, -50}
			m, _ := moved(r, omega)
			if d, cov := f.At(r); cov.Mahalanobis2(d.Sub(s.Add(m))) <= chiSquared95 {
				inAt++
			}
		}
		near(t, "coverage of the shift", float64(inShift)/n, 0.95, 0.02)
		near(t, "coverage of a prediction", float64(inAt)/n, 0.95, 0.02)
		near(t, "coverage of the rotation", float64(inTurn)/n, 0.95, 0.02)
	}
}

// Thermal growth: 6061 aluminium, 23.6e-6/K (data sheets: 13.1e-6/degF), so the
// pattern of a part 4 K warmer in setup 2 is 94 ppm smaller once it is cold.
func TestFitPartSeesGrowth(t *testing.T) {
	holes := holesOf(sixPlaces, Vec{0.01, 0}, 0.0005, Sym2{2.5e-7, 0, 2.5e-7}, nil)
	for i := range holes {
		holes[i].Mismatch = holes[i].Mismatch.Add(holes[i].At.Scale(-4 * Expansion6061))
	}
	f, _ := FitPart("p", holes, nil)
	near(t, "growth, ppm", f.GrowthPPM, -94.4, 0.5)
	if !(f.UGrowthPPM > 0 && f.UGrowthPPM < 20) {
		t.Errorf("u of the growth = %g ppm", f.UGrowthPPM)
	}
	// 100 mm over 1 K: 2.36 um (the same data sheets).
	near(t, "100 mm, 1 K", 100*Expansion6061, 0.00236, 5e-7)
}

func BenchmarkFitPart(b *testing.B) {
	holes := holesOf(sixPlaces, Vec{0.06, -0.02}, 0.0014, oneMicron, rand.New(rand.NewPCG(1, 1)))
	for b.Loop() {
		if _, err := FitPart("p", holes, nil); err != nil {
			b.Fatal(err)
		}
	}
}
