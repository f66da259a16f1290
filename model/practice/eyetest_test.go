package practice

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"
)

// observe runs a whole test with a simulated observer of known threshold.
func observe(seed uint64, c curve) Threshold {
	t := NewEyeTest(seed)
	d := rand.New(rand.NewPCG(seed, 99))
	for !t.Ended() {
		q := t.Trial()
		s := q.Wide
		if d.Float64() >= c.at(math.Log(q.Share)) { // wrong: any of the other three
			s = Side((int(s) + 1 + d.IntN(3)) % 4)
		}
		t.Answer(s)
	}
	return t.Result("sim", time.Time{})
}

func TestSim(t *testing.T) {
	for _, x := range []float64{0.02, 0.04, 0.08, 0.16, 0.3} {
		for _, slope := range []float64{1.2, 2, 3.5} {
			var sum, n, cover, trials, ratio, sure float64
			for i := range 200 {
				r := observe(uint64(i)*7919+uint64(x*1000), curve{math.Log(x), slope, 0.02})
				sum += math.Log(r.Share / x)
				if r.Low95 <= x && x <= r.High95 {
					cover++
				}
				trials += float64(r.Trials)
				ratio += r.High95 / r.Low95
				if r.Sure {
					sure++
				}
				n++
			}
			t.Logf("x %.3f slope %.1f: bias %+.1f %% cover %.1f %% trials %.0f ratio %.2f sure %.0f%%", x, slope, 100*(math.Exp(sum/n)-1), 100*cover/n, trials/n, ratio/n, 100*sure/n)
		}
	}
}
