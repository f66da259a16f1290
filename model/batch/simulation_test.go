package batch

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"evenrim/model"

	"pgregory.net/rapid"
)

// draw makes n parts about mean with covariance cov.
func draw(rng *rand.Rand, n int, mean model.Vec, cov model.Sym2) []Part {
	var p []Part
	for range n {
		p = append(p, Part{D: mean.Add(normalWith(cov, rng))})
	}
	return p
}

// between checks a rate found in runs trials against the expected one, within
// four standard deviations of chance and slack.
func between(t *testing.T, what string, hits, runs int, want, slack float64) {
	t.Helper()
	got := float64(hits) / float64(runs)
	tol := 4*math.Sqrt(want*(1-want)/float64(runs)) + slack
	if math.Abs(got-want) > tol {
		t.Errorf("%s: %.4f of %d, want %.4f within %.4f", what, got, runs, want, tol)
	}
}

var spread = model.Sym2{XX: 4e-6, XY: 1.5e-6, YY: 1e-6} // sd 2 and 1 um, correlated

func TestMeanRegionHoldsTheTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	shared := model.Sym2{XX: 1e-6, YY: 1e-6}
	for _, n := range []int{3, 4, 8, 25} {
		hits, withShared := 0, 0
		const runs = 3000
		for range runs {
			parts := draw(rng, n, model.Vec{X: 0.01}, spread)
			s, err := Summarise(parts)
			if err != nil {
				t.Fatal(err)
			}
			if s.Cov.Scale(regionFactor(n, 2)/float64(n)).Mahalanobis2(s.Mean.Sub(model.Vec{X: 0.01})) <= 1 {
				hits++
			}
			bias := normalWith(shared, rng)
			for i := range parts {
				parts[i].D, parts[i].Shared, parts[i].Cov = parts[i].D.Add(bias), shared, shared
			}
			if s, err = Summarise(parts); err != nil {
				t.Fatal(err)
			}
			if s.Mean.Sub(model.Vec{X: 0.01}).Norm() <= s.MeanU95MM {
				withShared++
			}
		}
		between(t, "95 % region", hits, runs, 0.95, 0)
		if float64(withShared)/runs < 0.94 { // the circle round an ellipse holds more
			t.Errorf("n %d: the circle of U95 holds %d of %d means with a shared error, want 95 %% and more", n, withShared, runs)
		}
	}
}

func TestProcessSpreadIsWhatRemainsOfTheReadings(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	measure := model.Sym2{XX: 1e-6, YY: 2e-6}
	var sum model.Sym2
	const runs = 400
	for range runs {
		parts := draw(rng, 40, model.Vec{}, spread.Add(measure))
		for i := range parts {
			parts[i].Cov = measure
		}
		s, err := Summarise(parts)
		if err != nil {
			t.Fatal(err)
		}
		sum = sum.Add(s.ProcessCov.Scale(1. / runs))
	}
	near(t, "process variance X", sum.XX, spread.XX, 1.5e-7)
	near(t, "process variance Y", sum.YY, spread.YY, 1.5e-7)
	near(t, "process covariance", sum.XY, spread.XY, 1.5e-7)

	parts := draw(rng, 20, model.Vec{}, measure.Scale(0.5))
	for i := range parts {
		parts[i].Cov = measure
	}
	if s, _ := Summarise(parts); !s.Masked || len(s.Warnings) == 0 || s.ProcessCov.Det() < -1e-30 {
		t.Errorf("readings as coarse as the spread: %+v, want it said", s)
	}
}

func TestFewPartsSayLittle(t *testing.T) {
	if _, err := Summarise(nil); !errors.Is(err, ErrTooFew) {
		t.Errorf("no parts: %v", err)
	}
	one, err := Summarise([]Part{{D: model.Vec{X: 1}}})
	if err != nil || !math.IsNaN(one.SD.X) || !math.IsNaN(one.MeanU95MM) || len(one.Warnings) == 0 {
		t.Errorf("one part: %+v, %v", one, err)
	}
	// By hand: own 3e-6 and shared 1e-6 mm² leave the mean of n parts 3e-6/n + 1e-6.
	read := Part{Cov: model.Sym2{XX: 4e-6, YY: 4e-6}, Shared: model.Sym2{XX: 1e-6, YY: 1e-6}}
	for n, cov := range map[int]float64{1: 4e-6, 3: 2e-6} {
		s, err := Summarise(slices.Repeat([]Part{read}, n))
		if want := model.U95(model.Sym2{XX: cov, YY: cov}); err != nil || math.Abs(s.MeasuredU95MM-want) > 1e-12 {
			t.Errorf("%d parts are measured to %.6f mm, want %.6f (%v)", n, s.MeasuredU95MM, want, err)
		}
	}
	two, err := Summarise(draw(rand.New(rand.NewPCG(1, 1)), 2, model.Vec{}, spread))
	if err != nil || math.IsNaN(two.SD.X) || !math.IsNaN(two.MeanU95MM) || len(two.Warnings) == 0 {
		t.Errorf("two parts: %+v, %v", two, err)
	}
	if _, err := Summarise([]Part{{D: model.Vec{X: math.NaN()}}}); err == nil {
		t.Error("a part without a mismatch was averaged")
	}
	same := []Part{{D: model.Vec{X: 1}}, {D: model.Vec{X: 1}}, {D: model.Vec{X: 1}}, {D: model.Vec{X: 1}}, {D: model.Vec{X: 1}}}
	if _, err := ChartT2(same); !errors.Is(err, ErrTooFew) {
		t.Errorf("parts without a spread: %v, want ErrTooFew", err)
	}
	if _, err := Charts(same[:4]); !errors.Is(err, ErrTooFew) {
		t.Errorf("charts of four: %v, want ErrTooFew", err)
	}
	if _, err := Compare(same[:1], same); !errors.Is(err, ErrTooFew) {
		t.Errorf("comparison with one: %v, want ErrTooFew", err)
	}
	if _, err := Capable(same[:2], 0.02, model.RoundZone); !errors.Is(err, ErrTooFew) {
		t.Errorf("capability of two: %v, want ErrTooFew", err)
	}
}

func TestFalseAlarmsAreAsStated(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	const runs = 2000
	plane, normal, pooled, unequal, dependent := 0, map[int]int{}, 0, 0, 0
	for range runs {
		parts := draw(rng, 20, model.Vec{}, spread)
		c, err := ChartT2(parts)
		if err != nil {
			t.Fatal(err)
		}
		plane += len(c.Signals)
		for _, n := range []int{8, 20, 50} {
			x, _ := axes(draw(rng, n, model.Vec{}, spread))
			if Normality(x) < 0.05 {
				normal[n]++
			}
		}
		a, b := sampleOf(matrixOf(draw(rng, 4, model.Vec{}, spread))), sampleOf(matrixOf(draw(rng, 6, model.Vec{}, spread)))
		if p, err := hotellingTwo(a, b, nil); err != nil || p.P < 0.05 {
			pooled++
		}
		if p, err := hotellingUnequal(a, b, nil); err != nil || p.P < 0.05 {
			unequal++
		}
	}
	for range 200 {
		x, _ := axes(draw(rng, 15, model.Vec{}, spread))
		if _, p := Independence(x); p <= 0.05 {
			dependent++
		}
	}
	between(t, "T2 chart, parts called out", plane, runs*20, chartAlpha, 0)
	for n, hits := range normal {
		between(t, "normality at n "+string(rune('0'+n/10)), hits, runs, 0.05, 0.01)
	}
	between(t, "two-sample test, exact", pooled, runs, 0.05, 0)
	between(t, "two-sample test, unequal", unequal, runs, 0.05, 0.02)
	between(t, "independence", dependent, 200, 0.05, 0)
}

func TestRunsRulesFireWhereTheyShould(t *testing.T) {
	for _, tt := range []struct {
		values []float64
		want   []Signal
	}{
		{[]float64{0, 3.1}, []Signal{{1, OneOut}}},
		{[]float64{2.1, 0, -2.1}, nil}, // not on one side
		{[]float64{2.1, 0, 2.1}, []Signal{{2, TwoOfThree}}},
		{[]float64{2.1, 2.1, 0}, nil}, // completed by none
		{[]float64{1.1, 1.1, 0, 1.1, 1.1}, []Signal{{4, FourOfFive}}},
		{[]float64{-.1, -.1, -.1, -.1, -.1, -.1, -.1}, nil},
		{[]float64{-.1, -.1, -.1, -.1, -.1, -.1, -.1, -.1}, []Signal{{7, EightSide}}},
	} {
		got := RunsRules(tt.values, 0, 1)
		if len(got) != len(tt.want) || len(got) > 0 && got[0] != tt.want[0] {
			t.Errorf("RunsRules(%v) = %v, want %v", tt.values, got, tt.want)
		}
	}
	if got := RunsRules([]float64{1, 2}, 0, 0); got != nil {
		t.Errorf("without a spread: %v", got)
	}
}

// The four rules together call out one value in about 92 of a steady process
// (Champ & Woodall 1987, average run length 91.75, from memory).
func TestRunsRulesTogether(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	total := 0.0
	const runs = 1000
	for range runs {
		x := make([]float64, 1500)
		for i := range x {
			x[i] = rng.NormFloat64()
		}
		first := len(x)
		for _, s := range RunsRules(x, 0, 1) {
			first = min(first, s.Index)
		}
		total += float64(first + 1)
	}
	near(t, "average run length", total/runs, 91.75, 10)
}

func TestEWMASeesASlowDriftBeforeSingleValues(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	ewma, single := 0, 0
	for range 400 {
		x := make([]float64, 20)
		for i := range x {
			x[i] = rng.NormFloat64() + 0.1*float64(i)
		}
		if len(ChartEWMA(x, 0, 1, EWMAWeight).Signals) > 0 {
			ewma++
		}
		for _, v := range x {
			if math.Abs(v) > 3 {
				single++
				break
			}
		}
	}
	if ewma < 350 || ewma < single+100 {
		t.Errorf("of 400 drifts the average saw %d, single values %d", ewma, single)
	}
}

// Turning the axes turns the answers and changes nothing else.
func TestAnswersTurnWithTheAxes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		angle := rapid.Float64Range(-3, 3).Draw(t, "angle")
		a, b := draw(rng, 6, model.Vec{X: 0.01}, spread), draw(rng, 5, model.Vec{}, spread)
		turn := func(p []Part) (out []Part) {
			for _, q := range p {
				out = append(out, Part{D: q.D.Rotate(angle), Cov: q.Cov.Rotate(angle)})
			}
			return out
		}
		s1, err1 := Summarise(a)
		s2, err2 := Summarise(turn(a))
		x, errX := hotellingTwo(sampleOf(matrixOf(a)), sampleOf(matrixOf(b)), nil)
		y, errY := hotellingTwo(sampleOf(matrixOf(turn(a))), sampleOf(matrixOf(turn(b))), nil)
		if err := errors.Join(err1, err2, errX, errY); err != nil {
			t.Fatal(err)
		}
		w1, w2 := Advise(s1, "", nil).Weight, Advise(s2, "", nil).Weight
		if s1.Mean.Rotate(angle).Sub(s2.Mean).Norm() > 1e-12 || math.Abs(s1.MeanU95MM/s2.MeanU95MM-1) > 1e-9 || math.Abs(x.T2/y.T2-1) > 1e-6 || math.Abs(w1-w2) > 1e-9 {
			t.Fatalf("turned by %g: %+v / %+v, T2 %g / %g, weight %g / %g", angle, s1, s2, x.T2, y.T2, w1, w2)
		}
	})
}

func TestTheSameDataGiveTheSameAnswer(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 11))
	a, b := draw(rng, 10, model.Vec{X: 0.01}, spread), draw(rng, 12, model.Vec{}, spread)
	c1, _ := Compare(a, b)
	c2, _ := Compare(a, b)
	k1, _ := Capable(a, 0.02, model.RoundZone)
	k2, _ := Capable(a, 0.02, model.RoundZone)
	if c1.PPermutation != c2.PPermutation || c1.Closer != c2.Closer || k1.PInside != k2.PInside {
		t.Error("two runs on the same parts differ")
	}
}

func TestAssumptionsAreSaid(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 12))
	if a := CheckAssumptions(draw(rng, 5, model.Vec{}, spread)); !a.TooFewToSay || len(a.Sentences) != 1 {
		t.Errorf("five parts: %+v", a)
	}
	fine := CheckAssumptions(draw(rng, 25, model.Vec{}, spread))
	if len(fine.Sentences) != 1 || fine.Sentences[0] != "Nothing speaks against normal and independent scatter." {
		t.Errorf("normal parts: %+v", fine)
	}
	drift := draw(rng, 25, model.Vec{}, spread)
	for i := range drift {
		drift[i].D.X += 0.0006 * float64(i)
	}
	if a := CheckAssumptions(drift); a.IndependentX > 0.01 {
		t.Errorf("a drift: %+v, want it doubted", a)
	}
	stray := draw(rng, 25, model.Vec{}, spread)
	stray[7].D.Y += 0.02
	if a := CheckAssumptions(stray); a.NormalY > 0.001 {
		t.Errorf("a stray part: %+v, want it doubted", a)
	}
}

// A part far out is no less doubtful among many.
func TestAStrayPartAmongMany(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 13))
	for _, n := range []int{100, 1000, 1500, 3000} {
		x := make([]float64, n)
		for i := range x {
			x[i] = rng.NormFloat64()
		}
		x[n/2] = 1e6
		if p := Normality(x); !(p >= 0 && p < 1e-6) {
			t.Errorf("%d parts, one far out: p = %g, want next to nothing", n, p)
		}
	}
}
