package accuracy

import (
	"math"
	"testing"

	"evenrim/model"
)

// With none of n the upper limit solves (1-p)^n = 0.025: in closed form.
func TestShareOfNoneAndAll(t *testing.T) {
	for _, n := range []int{1, 10, 60, 1000} {
		want := 1 - math.Pow(0.025, 1/float64(n))
		if s := NewShare(0, n); s.Lo != 0 || math.Abs(s.Hi-want) > 1e-9 {
			t.Errorf("0 of %d: %.6f to %.6f, want 0 to %.6f", n, s.Lo, s.Hi, want)
		}
		if s := NewShare(n, n); s.Hi != 1 || math.Abs(1-s.Lo-want) > 1e-9 {
			t.Errorf("%d of %d: %.6f to %.6f, want %.6f to 1", n, n, s.Lo, s.Hi, 1-want)
		}
	}
}

// The interval holds the true share in at least 95 % of cases, by enumeration.
func TestShareHoldsWhatItStates(t *testing.T) {
	const n = 40
	for _, p := range []float64{0.02, 0.3, 0.5, 0.93, 0.97} {
		held := 0.0
		for k := range n + 1 {
			lg := func(x int) float64 { v, _ := math.Lgamma(float64(x) + 1); return v }
			pk := math.Exp(lg(n) - lg(k) - lg(n-k) + float64(k)*math.Log(p) + float64(n-k)*math.Log(1-p))
			if s := NewShare(k, n); s.Lo <= p && p <= s.Hi {
				held += pk
			}
		}
		if held < 0.95 {
			t.Errorf("p = %g is held in %.4f of cases, want 0.95", p, held)
		}
	}
}

func TestSumGroupAndReliability(t *testing.T) {
	mk := func(light string, um, u95, p float64, within, covered bool) Case {
		return Case{Light: light, HasHole: true, UmPerPx: 10, ErrMM: um / 1000, U95MM: u95 / 1000, PWithin: p, Within: within, Covered: covered, Seconds: 1, Decode: 0.5}
	}
	cases := []Case{
		mk("ring", 1, 3, 0.99, true, true), mk("ring", 2, 3, 0.97, true, true), mk("ring", 9, 3, 0.96, false, false),
		mk("side", 4, 8, 0.02, false, true),
		{Light: "side", HasHole: true, Refused: model.Blurred},
		{Light: "side", HasHole: false, UmPerPx: 10, ErrMM: 1},
	}
	rows := GroupBy(cases, func(c Case) string { return c.Light }, "side", "ring")
	if len(rows) != 2 || rows[0].Name != "side" {
		t.Fatalf("groups %+v, want side then ring", rows)
	}
	if r := rows[1]; r.Readings != 3 || r.MedianUM != 2 || r.P95UM != 9 || r.MedianPx != 0.2 || r.Covered.K != 2 || r.SecondsPerDecode != 2 {
		t.Errorf("ring: %+v", r)
	}
	if r := rows[0]; r.Readings != 1 || r.Refused != 1 || r.WronglyWithout != 1 || r.RefusedReasons[model.Blurred] != 1 {
		t.Errorf("side: %+v", r)
	}
	rel := Reliability(cases)
	last := rel[len(rel)-1]
	if last.True.N != 3 || last.True.K != 2 || math.Abs(last.Stated-(0.99+0.97+0.96)/3) > 1e-12 {
		t.Errorf("the surest line: %+v, want 2 of 3", last)
	}
	if n := rel[0].True.N; n != 1 {
		t.Errorf("the least sure line has %d, want 1: a photo without a hole does not count", n)
	}
}

// A reading with a known covariance is judged like its own region.
func TestAReadingIsJudgedByItsOwnRegion(t *testing.T) {
	r := &model.Reading{Mismatch: model.Vec{X: 0.010}, Cov: model.Sym2{XX: 1e-6, YY: 1e-6}, Job: model.JobCard{BoreMM: 8}.WithDefaults()}
	k := model.CoverageFactor(model.EffectiveDOF(r.Budget)) / 1000
	for _, tt := range []struct {
		off  float64
		want bool
	}{{0.99 * k, true}, {1.01 * k, false}} {
		c := Case{UmPerPx: 10}
		c.Judge(r, model.Vec{X: 0.010 + tt.off})
		if c.Covered != tt.want {
			t.Errorf("truth %.5f mm off: covered %v, want %v", tt.off, c.Covered, tt.want)
		}
		if !c.Within {
			t.Error("a truth of some 10 um lies within 25.4 um")
		}
	}
}
