package practice

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"
)

// run does a whole test with an observer who is right at a mismatch (share of the
// width) with chance p, and otherwise names one of the other three sides.
func run(seed uint64, p func(share float64) float64) Threshold {
	t := NewEyeTest(seed)
	d := rand.New(rand.NewPCG(seed, 99))
	for !t.Ended() {
		q := t.Trial()
		s := q.Wide
		if d.Float64() >= p(q.Share) {
			s = Side((int(s) + 1 + d.IntN(3)) % 4)
		}
		t.Answer(s)
	}
	return t.Result("simulated", time.Time{})
}

// tally gathers how well known thresholds are found.
type tally struct {
	n, covered, sure, trials int
	logError                 float64
}

func (y *tally) add(r Threshold, truth float64) {
	y.n++
	y.logError += math.Log(r.Share / truth)
	y.trials += r.Trials
	if r.Low95 <= truth && truth <= r.High95 {
		y.covered++
	}
	if r.Sure {
		y.sure++
	}
}

func (y tally) bias() float64     { return math.Exp(y.logError/float64(y.n)) - 1 }
func (y tally) coverage() float64 { return float64(y.covered) / float64(y.n) }

// Simulated observers with known thresholds: the estimate is off by less than 10 %
// on the mean at every threshold and steepness, and the stated 95 % interval holds
// the truth in at least 93 % of all runs. With 80 runs a cell the bias is known to
// some 2 %.
func TestEyeTestFindsKnownThresholds(t *testing.T) {
	runs := 80
	if testing.Short() {
		runs = 25
	}
	var all tally
	for _, truth := range []float64{0.03, 0.08, 0.25} {
		for _, slope := range []float64{1.2, 2, 3.5} {
			c := curve{math.Log(truth), slope, 0.02}
			var y tally
			for i := range runs {
				r := run(uint64(i)*7919+uint64(truth*1e4), func(s float64) float64 { return c.at(math.Log(s)) })
				y.add(r, truth)
				all.add(r, truth)
			}
			t.Logf("threshold %.2f, slope %.1f: bias %+.1f %%, coverage %.0f %%, %d pictures", truth, slope, 100*y.bias(), 100*y.coverage(), y.trials/y.n)
			if b := y.bias(); math.Abs(b) > 0.10 {
				t.Errorf("threshold %.2f, slope %.1f: bias %+.1f %%, want within 10 %%", truth, slope, 100*b)
			}
		}
	}
	t.Logf("all: bias %+.1f %%, coverage %.1f %% of %d, sure %.0f %%, %d pictures", 100*all.bias(), 100*all.coverage(), all.n, 100*float64(all.sure)/float64(all.n), all.trials/all.n)
	if c := all.coverage(); c < 0.93 {
		t.Errorf("the 95 %% interval holds the truth in %.1f %% of %d runs, want at least 93 %%", 100*c, all.n)
	}
}

// choice is how often the largest of four normal signals, one of them raised by
// d', is the raised one: signal detection theory's observer for four-alternative
// forced choice (D. M. Green and J. A. Swets 1966, from memory). Its curve is not
// the one the test assumes.
func choice(dPrime float64) float64 {
	var sum float64
	const h = 0.01
	for z := -8.0; z < 14; z += h {
		phi := math.Exp(-(z-dPrime)*(z-dPrime)/2) / math.Sqrt(2*math.Pi)
		sum += phi * math.Pow(0.5*math.Erfc(-z/math.Sqrt2), 3) * h
	}
	return sum
}

// An observer of quite another make is found as well.
func TestEyeTestFindsASignalDetector(t *testing.T) {
	if g, w := choice(0), 0.25; math.Abs(g-w) > 1e-6 {
		t.Fatalf("without a signal right %.7f of the time, want %.2f", g, w)
	}
	table := make([]float64, 1001) // of d' 0..10
	for i := range table {
		table[i] = choice(float64(i) / 100)
	}
	at75 := 0.0
	for table[int(at75*100)] < 0.75 {
		at75 += 0.01
	}
	const truth = 0.06
	var y tally
	for i := range 80 {
		y.add(run(uint64(i)+5000, func(s float64) float64 { return table[min(int(100*at75*s/truth), 1000)] }), truth)
	}
	t.Logf("d' %.2f at 75 %%: bias %+.1f %%, coverage %.0f %%", at75, 100*y.bias(), 100*y.coverage())
	if b := y.bias(); math.Abs(b) > 0.10 {
		t.Errorf("bias %+.1f %%, want within 10 %%", 100*b)
	}
	if c := y.coverage(); c < 0.90 { // 80 runs of a true 95 % give fewer than 90 % about once in fifty
		t.Errorf("coverage %.0f %%, want at least 90 %%", 100*c)
	}
}

// Somebody who sees nothing and guesses must not get a threshold to plan with.
func TestAGuesserGetsNoThreshold(t *testing.T) {
	sure := 0
	for i := range 20 {
		if run(uint64(i)+900, func(float64) float64 { return guessRate }).Sure {
			sure++
		}
	}
	if sure > 1 {
		t.Errorf("%d of 20 guessers got a sure threshold, want at most 1", sure)
	}
}

// Nothing but the chamfer may tell the side: sides come up equally often, whatever
// went before, and the hole's place and the tool marks don't follow them.
func TestTheSideCannotBeGuessed(t *testing.T) {
	count, same, n := map[Side]int{}, 0, 0
	var dx, dy, along float64
	for seed := range uint64(60) {
		e := NewEyeTest(seed)
		last := Side(-1)
		for range 20 {
			q := e.Trial()
			count[q.Wide]++
			if q.Wide == last {
				same++
			}
			last = q.Wide
			n++
			u := q.Wide.ScreenRad()
			dx, dy = q.Shot.OffX, -q.Shot.OffY // screen: y down in the picture
			along += dx*math.Cos(u) + dy*math.Sin(u)
			e.Answer(q.Wide)
		}
	}
	for _, s := range Sides { // n/4 = 300, sd 15
		if c := count[s]; c < 240 || c > 360 {
			t.Errorf("side %d o'clock came up %d times of %d, want about a quarter", s.Hour(), c, n)
		}
	}
	if r := float64(same) / float64(n-60); r < 0.2 || r > 0.3 {
		t.Errorf("the side repeats in %.0f %% of cases, want 25 %%", 100*r)
	}
	if m := along / float64(n); math.Abs(m) > 2 { // sd 14.4 / sqrt(1200) = 0.4
		t.Errorf("the hole lies %.1f px towards the wide side on the mean, want 0", m)
	}
}

func TestEyeTestRepeats(t *testing.T) {
	play := func() []Trial {
		var out []Trial
		e := NewEyeTest(42)
		for i := 0; !e.Ended(); i++ {
			out = append(out, e.Trial())
			e.Answer(Side(i * i % 4))
		}
		return out
	}
	a, b := play(), play()
	if !reflect.DeepEqual(a, b) {
		t.Error("the same seed and answers gave another test")
	}
	if len(a) < leastTrials || len(a) > mostTrials {
		t.Errorf("%d pictures, want %d to %d", len(a), leastTrials, mostTrials)
	}
}
