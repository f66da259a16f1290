package batch

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"evenrim/model"

	"gonum.org/v1/gonum/stat/distuv"
)

func TestSmallestBatchShowsTheShift(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	for _, tt := range []struct{ shift, power float64 }{{0.004, 0.8}, {0.002, 0.9}} {
		n, err := SmallestBatch(tt.shift, spread, model.Sym2{}, tt.power)
		if err != nil {
			t.Fatal(err)
		}
		_, _, angle := spread.Eigen()
		shown := func(n int) float64 {
			hits := 0
			const runs = 3000
			for range runs {
				a, b := draw(rng, n, model.Vec{}, spread), draw(rng, n, model.Polar(tt.shift, angle), spread)
				if p, err := hotellingTwo(sampleOf(matrixOf(a)), sampleOf(matrixOf(b)), nil); err == nil && p.P < 0.05 {
					hits++
				}
			}
			return float64(hits) / runs
		}
		if got := shown(n); got < tt.power-0.03 {
			t.Errorf("shift %g: %d parts show it with %.3f, want %.2f", tt.shift, n, got, tt.power)
		}
		if got := shown(n - 1); got > tt.power+0.03 {
			t.Errorf("shift %g: %d parts would do already: %.3f", tt.shift, n-1, got)
		}
	}
	if _, err := SmallestBatch(1e-9, spread, model.Sym2{}, 0.8); !errors.Is(err, ErrTooFew) {
		t.Errorf("a shift of nothing: %v, want ErrTooFew", err)
	}
	if _, err := SmallestBatch(math.NaN(), spread, model.Sym2{}, 0.8); err == nil {
		t.Error("a shift that is no number was answered")
	}
}

// No number of parts sees a shift that the camera's own error hides.
func TestSmallestBatchMindsTheCamera(t *testing.T) {
	camera := model.Sym2{XX: 1e-6, YY: 1e-6}
	alone, err1 := SmallestBatch(0.0035, spread, model.Sym2{}, 0.8)
	with, err2 := SmallestBatch(0.0035, spread, camera.Scale(0.5), 0.8)
	if err1 != nil || err2 != nil || with <= alone {
		t.Errorf("%d parts without the camera's error (%v), %d with it (%v): want more", alone, err1, with, err2)
	}
	if n, err := SmallestBatch(0.002, spread, camera, 0.8); !errors.Is(err, ErrTooFew) {
		t.Errorf("%d parts are to show what the camera hides (%v)", n, err)
	}
}

// With no shift the noncentral F is F; with many degrees of freedom it is
// noncentral chi-squared, whose values for a circle about an offset centre are
// P(|d| <= R) (check values of this project: d 2, R 3: .785638; d 3, R 3: .432520).
func TestNoncentralFHasItsKnownLimits(t *testing.T) {
	near(t, "central", noncentralF(3.2, 2, 9, 0), distuv.F{D1: 2, D2: 9}.CDF(3.2), 1e-12)
	near(t, "chi-squared, 2 in 3", noncentralF(9./2, 2, 1e8, 4), .785638, 1e-6)
	near(t, "chi-squared, 3 in 3", noncentralF(9./2, 2, 1e8, 9), .432520, 1e-6)
}

func TestComparisonSaysWhetherItHelped(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	before, after := draw(rng, 8, model.Vec{X: 0.03, Y: -0.01}, spread), draw(rng, 8, model.Vec{X: 0.001}, spread)
	c, err := Compare(before, after)
	if err != nil {
		t.Fatal(err)
	}
	if c.PValue > 1e-6 || c.Closer.Low < 0.02 || c.Verdict[:9] != "It helped" || math.Abs(c.Difference.X+0.029) > 0.004 {
		t.Errorf("a fix: %+v", c)
	}
	back, err := Compare(after, before)
	if err != nil || math.Abs(back.PValue-c.PValue) > 1e-12 || back.Difference != c.Difference.Scale(-1) || back.Closer.High > -0.02 {
		t.Errorf("the same the other way round: %+v, %v", back, err)
	}
	same, err := Compare(before[:4], before[4:])
	if err != nil || same.PValue < 0.01 {
		t.Errorf("one batch cut in two: %+v, %v", same, err)
	}
	// 4 + 4 parts divide in 70 ways, all tried: the answer is a multiple of 1/70.
	if k := same.PPermutation * 70; math.Abs(k-math.Round(k)) > 1e-9 || k < 1 {
		t.Errorf("permutation p %.6f is no multiple of 1/70", same.PPermutation)
	}
}

// Two batches with one true mean, the camera moved between them: what it has wrong in
// each is no difference of the batches.
func TestTheCamerasErrorIsNoDifference(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 21))
	camera := model.Sym2{XX: 16e-6, YY: 16e-6}
	batch := func(mean model.Vec, camera model.Sym2) []Part {
		parts := draw(rng, 10, mean.Add(normalWith(camera, rng)), spread)
		for i := range parts {
			parts[i].Cov, parts[i].Shared = camera, camera
		}
		return parts
	}
	const runs = 60
	believed, equal, permuted, held, warned := 0, 0, 0, 0, 0
	for range runs {
		c, err := Compare(batch(model.Vec{X: 0.01}, camera), batch(model.Vec{X: 0.01}, camera))
		if err != nil {
			t.Fatal(err)
		}
		if c.PValue < 0.05 {
			believed++
		} else if len(c.Warnings) > 0 && strings.Contains(c.Warnings[len(c.Warnings)-1], "camera") {
			warned++
		}
		if c.PUnequal < 0.05 {
			equal++
		}
		if c.PPermutation < 0.05 {
			permuted++
		}
		if c.Difference.Norm() <= c.U95MM {
			held++
		}
	}
	between(t, "differences believed", believed, runs, 0.05, 0)
	between(t, "differences believed, unequal spreads", equal, runs, 0.05, 0)
	between(t, "differences believed, permuted", permuted, runs, 0.05, 0)
	if held < runs*9/10 || warned < runs/2 {
		t.Errorf("%d of %d differences lie within their U95, %d were said to be the camera's", held, runs, warned)
	}
	// A difference far beyond it is seen all the same.
	if c, err := Compare(batch(model.Vec{X: 0.05}, camera), batch(model.Vec{}, camera)); err != nil || c.PValue > 1e-3 || c.PPermutation > 0.01 || c.Closer.Low < 0.01 {
		t.Errorf("a fix of 0.05 mm: %+v, %v", c, err)
	}
}

func TestPermutationAgreesWithTheExactTest(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	sum, n := 0.0, 0
	for range 40 {
		a, b := draw(rng, 6, model.Vec{}, spread), draw(rng, 6, model.Vec{X: 0.002}, spread)
		c, err := Compare(a, b)
		if err != nil {
			t.Fatal(err)
		}
		sum += math.Abs(c.PValue - c.PPermutation)
		n++
	}
	if sum/float64(n) > 0.02 {
		t.Errorf("mean disagreement %.3f of exact and permutation p on normal parts", sum/float64(n))
	}
}

func TestProbabilityInsideHoldsTheTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	mean := model.Vec{X: 0.002, Y: 0.001}
	const tol = 0.0045
	truth := model.PWithin(mean, spread, tol, model.RoundZone)
	hits := 0
	const runs = 150
	for range runs {
		c, err := Capable(draw(rng, 12, mean, spread), tol, model.RoundZone)
		if err != nil {
			t.Fatal(err)
		}
		if c.PInside.Low <= truth && truth <= c.PInside.High {
			hits++
		}
		if !(c.PInside.Low <= c.PInside.Value+0.05 && c.PInside.Value-0.05 <= c.PInside.High) {
			t.Errorf("interval %+v lies beside its value", c.PInside)
		}
	}
	between(t, "interval of the probability inside", hits, runs, 0.95, 0.02)
}

func TestStudyIntervalsHoldTheTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 10))
	const repeat, person, part = 1.0, 0.8, 3.0
	hits := map[string]int{}
	const runs = 60
	for range runs {
		var trials []Trial
		persons := []float64{person * rng.NormFloat64(), person * rng.NormFloat64(), person * rng.NormFloat64(), person * rng.NormFloat64()}
		for i := range 10 {
			p := part * rng.NormFloat64()
			for j, o := range persons {
				for range 2 {
					trials = append(trials, Trial{string(rune('a' + i)), string(rune('A' + j)), p + o + repeat*rng.NormFloat64()})
				}
			}
		}
		s, err := StudyOf(trials, 5)
		if err != nil {
			t.Fatal(err)
		}
		for name, x := range map[string]struct {
			i     Interval
			truth float64
		}{"repeatability": {s.Repeatability, repeat}, "reproducibility": {s.Reproducibility, person}, "parts": {s.PartToPart, part}, "reading": {s.Reading, math.Hypot(repeat, person)}} {
			if x.i.Low <= x.truth && x.truth <= x.i.High {
				hits[name]++
			}
		}
	}
	for name, n := range hits {
		between(t, name, n, runs, 0.95, 0.02)
	}
}

func TestStudyRefusesWhatIsNotBalanced(t *testing.T) {
	good := []Trial{{"1", "A", 1}, {"1", "A", 2}, {"1", "B", 1}, {"1", "B", 2}, {"2", "A", 1}, {"2", "A", 2}, {"2", "B", 3}, {"2", "B", 2}}
	if _, err := StudyOf(good, 1); err != nil {
		t.Errorf("smallest study: %v", err)
	}
	for name, trials := range map[string][]Trial{
		"none": nil, "one short": good[:7], "one person": {{"1", "A", 1}, {"1", "A", 2}, {"2", "A", 1}, {"2", "A", 2}},
		"one trial each": {good[0], good[2], good[4], good[6]},
	} {
		if _, err := StudyOf(trials, 1); !errors.Is(err, ErrTooFew) {
			t.Errorf("%s: %v, want ErrTooFew", name, err)
		}
	}
}

// The funnel: chasing the last part doubles the variance of a right offset
// (Deming, Out of the Crisis, rule 2); what is advised costs next to nothing there
// and finds a wrong offset all the same.
func TestAdviceBeatsChasingTheLastPart(t *testing.T) {
	const sd, parts, group = 1.0, 200, 5
	cost := func(h Habit, offset model.Vec) float64 {
		sum := 0.0
		const runs = 200
		for seed := range uint64(runs) {
			sum += RunFunnel(h, offset, sd, parts, group, seed).MeanSquare
		}
		return sum / runs
	}
	right := cost(LeaveAlone, model.Vec{})
	near(t, "leave a right offset alone", right, 2*sd*sd, 0.05)
	chased := cost(LastPart, model.Vec{})
	near(t, "chase the last part: variance ratio", chased/right, 2, 0.05)
	mean, advised := cost(WholeMean, model.Vec{}), cost(Reduced, model.Vec{})
	if advised > 1.10*right || advised > mean || mean > chased {
		t.Errorf("right offset: alone %.3f, advised %.3f, whole mean %.3f, chased %.3f", right, advised, mean, chased)
	}
	for _, offset := range []model.Vec{{X: 1}, {X: 3}, {X: 10, Y: -5}} {
		alone, advised, chased := cost(LeaveAlone, offset), cost(Reduced, offset), cost(LastPart, offset)
		if advised > chased || advised > alone {
			t.Errorf("offset %v: alone %.3f, advised %.3f, chased %.3f", offset, alone, advised, chased)
		}
		t.Logf("offset %v sd: mean square alone %.2f, advised %.2f, chased %.2f", offset, alone, advised, chased)
	}
}

// X is far off and Y no farther than chance may make it: the Bench would leave Y,
// and so does the batch's advice. The 95 % region of four parts' mean reaches
// sqrt(2 * 3/2 * F) * sd / 2 with F = 19.00 (any table of F at 95 %, 2 and 2
// degrees of freedom): 0.0302 for an sd of 0.008.
func TestAnAxisWithinItsUncertaintyIsLeft(t *testing.T) {
	four := func(x, y, sd float64) Summary {
		k := sd * math.Sqrt(3) / 2 // two above and two below by k have the sd of n-1
		s, err := Summarise([]Part{{D: model.Vec{X: x + k, Y: y + k}}, {D: model.Vec{X: x + k, Y: y - k}}, {D: model.Vec{X: x - k, Y: y + k}}, {D: model.Vec{X: x - k, Y: y - k}}})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "sd", s.SD.Y, sd, 1e-12)
		return s
	}
	for _, tt := range []struct {
		x, y         float64
		moveX, moveY bool
		say          string
	}{
		{0.060, 0.030, true, false, "Leave Y"},
		{0.030, -0.060, false, true, "Leave X"},
		{0.060, 0.031, true, true, "Correct by the mean:"},
		{0.004, 0.004, false, false, "Leave the offset alone"},
	} {
		a := Advise(four(tt.x, tt.y, 0.008), model.FlipAboutY, nil)
		if a.MoveX != tt.moveX || a.MoveY != tt.moveY || (a.Offset.X != 0) != tt.moveX || (a.Correction.Setup2.Y != 0) != tt.moveY || !strings.Contains(a.Sentence, tt.say) {
			t.Errorf("mean %g, %g: %+v, want X moved %t, Y %t, %q", tt.x, tt.y, a, tt.moveX, tt.moveY, tt.say)
		}
	}
	// What all readings share doesn't grow less with the parts.
	s := four(0.060, 0.031, 0.008)
	s.Shared = model.Sym2{YY: 0.005 * 0.005} // with it Y is good to 0.0326
	if a := Advise(s, model.FlipAboutY, nil); !a.MoveX || a.MoveY {
		t.Errorf("with an error that all readings share: %+v, want Y left", a)
	}
}

func TestAdviceOfFewParts(t *testing.T) {
	one, _ := Summarise([]Part{{D: model.Vec{X: 0.05}}})
	if a := Advise(one, model.FlipAboutY, nil); a.Known || a.Offset != (model.Vec{}) || a.Sentence == "" {
		t.Errorf("one part without history: %+v, want no advice", a)
	}
	// With a history of sd 0.005 on each axis: w = 1 - 2*25e-6/2.5e-3 = 0.98.
	h := model.Sym2{XX: 25e-6, YY: 25e-6}
	a := Advise(one, model.FlipAboutY, &h)
	near(t, "weight with history", a.Weight, 0.98, 1e-12)
	if a.Correction.Setup2 != (model.Vec{X: -0.05 * a.Weight}) {
		t.Errorf("correction %+v, want against the mismatch", a.Correction)
	}
	// What the camera may have wrong counts for one part as for several.
	small := model.Sym2{XX: 1e-8, YY: 1e-8}
	camera := model.Sym2{XX: 90e-6, YY: 90e-6} // sd 9.5 um
	for n := 1; n <= 3; n++ {
		s, err := Summarise(slices.Repeat([]Part{{D: model.Vec{X: 0.02}, Cov: camera, Shared: camera}}, n))
		if a := Advise(s, model.FlipAboutY, &small); err != nil || a.MoveX || a.MoveY {
			t.Errorf("20 um read by a camera good to 23 um, %d parts: %+v (%v), want it left alone", n, a, err)
		}
	}
}
