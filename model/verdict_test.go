package model

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.10g, want %.10g within %.2g", what, got, want, tol)
	}
}

func TestPWithinAgainstReferenceValues(t *testing.T) {
	one := Sym2{1, 0, 1}
	for _, tt := range []struct {
		name, source string
		d            Vec
		cov          Sym2
		r            float64
		zone         Zone
		want, tol    float64
	}{
		// Non-central chi-squared with 2 degrees of freedom, SciPy 1.10 ncx2.cdf.
		{"centred", "SciPy ncx2", Vec{}, one, 1, RoundZone, 0.393469, 5e-7},
		{"centred", "SciPy ncx2", Vec{}, one, 2, "", 0.864665, 5e-7},
		{"off by 1", "SciPy ncx2", Vec{1, 0}, one, 2, RoundZone, 0.730988, 5e-7},
		{"off by 1", "SciPy ncx2", Vec{0, -1}, one, 3, RoundZone, 0.956284, 5e-7},
		{"off by 2", "SciPy ncx2", Vec{0, 2}, one, 3, RoundZone, 0.785638, 5e-7},
		{"off by 2", "SciPy ncx2", Vec{math.Sqrt2, -math.Sqrt2}, one, 4, RoundZone, 0.965865, 5e-7},
		{"on the limit", "SciPy ncx2", Vec{3, 0}, one, 3, RoundZone, 0.432520, 5e-7},
		// Two-dimensional quadrature, SciPy 1.10 dblquad.
		{"anisotropic", "SciPy dblquad", Vec{10, 5}, Sym2{4, 1, 9}, 15, RoundZone, 0.927119, 5e-7},
		{"anisotropic", "SciPy dblquad", Vec{10, 5}, Sym2{4, 1, 9}, 12, RoundZone, 0.590824, 5e-7},
		// JCGM 106: breakdown voltage -5.47 V, u 0.05 V, limit -5.40 V: Phi(1.4) =
		// 0.919. The other limit is put 50 u off; the other axis does not vary.
		{"JCGM 106 one limit", "JCGM 106:2012, Phi(1.4)", Vec{2.5 - 0.07, 0}, Sym2{0.0025, 0, 0}, 2.5, SquareZone, 0.919, 5e-4},
		{"JCGM 106 on a disc's line", "JCGM 106:2012, Phi(1.4)", Vec{2.5 - 0.07, 0}, Sym2{0.0025, 0, 0}, 2.5, RoundZone, 0.919, 5e-4},
		// Independent axes: the product of two intervals; Phi(1) - Phi(-1) = 0.6827.
		{"square", "normal table", Vec{}, one, 1, SquareZone, 0.682689 * 0.682689, 1e-6},
	} {
		near(t, tt.name+" ("+tt.source+")", PWithin(tt.d, tt.cov, tt.r, tt.zone), tt.want, tt.tol)
	}
}

func TestPWithinDegenerate(t *testing.T) {
	for _, tt := range []struct {
		name string
		d    Vec
		cov  Sym2
		zone Zone
		want float64
	}{
		{"no uncertainty, inside", Vec{0.6, 0.6}, Sym2{}, RoundZone, 1},
		{"no uncertainty, outside", Vec{0.8, 0.8}, Sym2{}, RoundZone, 0},
		{"no uncertainty, in the corner", Vec{0.8, 0.8}, Sym2{}, SquareZone, 1},
		{"a line through the middle", Vec{}, Vec{0.3, 0.4}.Outer(), RoundZone, math.Erf(2 / math.Sqrt2)},
		{"a line beside the disc", Vec{-0.8 * 1.01, 0.6 * 1.01}, Vec{0.3, 0.4}.Outer(), RoundZone, 0},
		{"a diagonal line in the square", Vec{}, Vec{0.5, 0.5}.Outer(), SquareZone, math.Erf(2 / math.Sqrt2)},
		{"rounded to negative", Vec{0.1, 0}, Sym2{-1e-20, 0, -1e-20}, RoundZone, 1},
	} {
		near(t, tt.name, PWithin(tt.d, tt.cov, 1, tt.zone), tt.want, 1e-9)
	}
	for _, d := range []Vec{{math.NaN(), 0}, {0, math.Inf(1)}} {
		if p := PWithin(d, Sym2{1, 0, 1}, 1, RoundZone); !math.IsNaN(p) {
			t.Errorf("PWithin(%v) = %g, want NaN", d, p)
		}
		if v, _ := Judge(d, Sym2{1, 0, 1}, 1, RoundZone); v != Undecided {
			t.Errorf("Judge(%v) = %q, want undecided: nothing is known", d, v)
		}
	}
	if p := PWithin(Vec{}, Sym2{1, 0, 1}, 0, RoundZone); p != 0 {
		t.Errorf("PWithin with no tolerance = %g, want 0", p)
	}
}

// Against a plain sum over a fine grid, which shares nothing with the quadrature,
// over the whole range of shapes that readings have.
func TestPWithinAgainstGrid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Vec{rapid.Float64Range(-2, 2).Draw(t, "dx"), rapid.Float64Range(-2, 2).Draw(t, "dy")}
		s1, s2 := math.Exp(rapid.Float64Range(-2.5, 1).Draw(t, "ln s1")), math.Exp(rapid.Float64Range(-2.5, 1).Draw(t, "ln s2"))
		a := rapid.Float64Range(-3, 3).Draw(t, "angle")
		cov := Sym2{s1 * s1, 0, s2 * s2}.Rotate(a)
		zone := rapid.SampledFrom([]Zone{RoundZone, SquareZone}).Draw(t, "zone")
		const n = 400
		sum := 0.0
		norm := 1 / (2 * math.Pi * s1 * s2)
		for i := range n {
			for k := range n {
				p := Vec{-1 + (2*float64(i)+1)/n, -1 + (2*float64(k)+1)/n}
				if zone == SquareZone || p.Norm() <= 1 {
					sum += norm * math.Exp(-cov.Mahalanobis2(p.Sub(d))/2)
				}
			}
		}
		want := sum * 4 / (n * n)
		if got := PWithin(d, cov, 1, zone); math.Abs(got-want) > 2e-3 {
			t.Fatalf("PWithin(%v, %v, 1, %s) = %.6f, grid %.6f", d, cov, zone, got, want)
		}
	})
}

// Small uncertainty: the edge of the zone is nearly straight, so the probability
// on the limit is Phi(0) less the curvature's share sigma/(R sqrt(2 pi))/2.
func TestPWithinOnTheLimitOfASharpReading(t *testing.T) {
	for _, s := range []float64{0.03, 0.003, 1e-4, 1e-6, 1e-8} {
		for _, d := range []Vec{{1, 0}, {0, 1}, {math.Sqrt2 / 2, math.Sqrt2 / 2}} {
			want := 0.5 - s/(2*math.Sqrt(2*math.Pi))
			near(t, "on the limit", PWithin(d, Sym2{s * s, 0, s * s}, 1, RoundZone), want, s*s+1e-8)
		}
	}
}

func TestPWithinTurnsWithItsInputs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, cov := drawReading(t)
		a := rapid.Float64Range(-3.2, 3.2).Draw(t, "turn")
		p, q := PWithin(d, cov, 0.0254, RoundZone), PWithin(d.Rotate(a), cov.Rotate(a), 0.0254, RoundZone)
		if math.Abs(p-q) > 1e-9 {
			t.Fatalf("p = %.12f, after a turn by %g %.12f", p, a, q)
		}
		if sq := PWithin(d, cov, 0.0254, SquareZone); sq < p-1e-9 {
			t.Fatalf("the square holds %.12f, less than the disc inside it, %.12f", sq, p)
		}
	})
}

// drawReading draws a mismatch of up to 0.05 mm with sds of 0.5 to 10 um.
func drawReading(t *rapid.T) (Vec, Sym2) {
	d := Vec{rapid.Float64Range(-0.05, 0.05).Draw(t, "dx"), rapid.Float64Range(-0.05, 0.05).Draw(t, "dy")}
	s1, s2 := rapid.Float64Range(0.0005, 0.01).Draw(t, "s1"), rapid.Float64Range(0.0005, 0.01).Draw(t, "s2")
	return d, Sym2{s1 * s1, 0, s2 * s2}.Rotate(rapid.Float64Range(-2, 2).Draw(t, "axis"))
}

func TestVerdictsFollowZoneAndUncertainty(t *testing.T) {
	fine := Sym2{1e-6, 0, 1e-6} // 1 um
	for _, tt := range []struct {
		name string
		d    Vec
		cov  Sym2
		zone Zone
		want Verdict
	}{
		{"well inside", Vec{0.01, 0.005}, fine, RoundZone, Conforms},
		{"well outside", Vec{0.04, 0}, fine, RoundZone, DoesNotConform},
		{"on the limit", Vec{0.0254, 0}, fine, RoundZone, Undecided},
		// The guard band of a plain limit is 1.645 u (ISO 14253-1:2017); the limit's
		// curvature adds little here.
		{"inside by 1.8 u", Vec{0.0254 - 0.0018, 0}, fine, RoundZone, Conforms},
		{"inside by 1.5 u", Vec{0.0254 - 0.0015, 0}, fine, RoundZone, Undecided},
		{"outside by 1.5 u", Vec{0, -0.0254 - 0.0015}, fine, RoundZone, Undecided},
		{"outside by 1.7 u", Vec{0, -0.0254 - 0.0017}, fine, RoundZone, DoesNotConform},
		{"in the corner of a square", Vec{0.022, 0.022}, fine, SquareZone, Conforms},
		{"same, round", Vec{0.022, 0.022}, fine, RoundZone, DoesNotConform},
		// u ten times the tolerance: no reading can say anything, wherever it falls.
		{"far too coarse, at zero", Vec{}, Sym2{0.0625, 0, 0.0625}, RoundZone, Undecided},
		{"far too coarse, outside", Vec{0.1, 0}, Sym2{0.0625, 0, 0.0625}, RoundZone, Undecided},
		{"far too coarse, yet far off", Vec{0.6, 0}, Sym2{0.0625, 0, 0.0625}, RoundZone, DoesNotConform},
	} {
		if got, p := Judge(tt.d, tt.cov, DefaultToleranceMM, tt.zone); got != tt.want {
			t.Errorf("%s: %q with p %.4f, want %q", tt.name, got, p, tt.want)
		}
	}
}

func TestCoverageFactorIsThatOfTheTables(t *testing.T) {
	// Chi-squared with 2 degrees of freedom: sqrt(5.991) = 2.4477 (table).
	near(t, "known covariance", CoverageFactor(0), 2.44775, 5e-6)
	// F(0.95; 2, n) from the published table: 6.94 (4), 4.10 (10), 3.49 (20), 3.15 (60).
	for dof, f := range map[float64]float64{5: 6.94, 11: 4.10, 21: 3.49, 61: 3.15} {
		near(t, "k² by the F table", sq(CoverageFactor(dof)), 2*dof/(dof-1)*f, 0.006*2*dof/(dof-1))
	}
	if k := CoverageFactor(1); !math.IsInf(k, 1) {
		t.Errorf("factor with one degree of freedom = %g, want +Inf", k)
	}
	near(t, "U95 of the larger axis", U95(Sym2{4e-6, 0, 1e-6}.Rotate(0.7)), 0.00489549, 5e-8)
}

func TestMagnitudeAgreesWithTheWorkedExample(t *testing.T) {
	// JCGM 102 9.3, from a worked notebook of it: (0.001, 0), u 0.01 each: 95 % (0.0023, 0.0272).
	m := MagnitudeOf(Vec{0.001, 0}, Sym2{1e-4, 0, 1e-4})
	near(t, "low", m.Low95, 0.0023, 5e-5)
	near(t, "high", m.High95, 0.0272, 5e-5)
	near(t, "u", m.U, 0.01, 1e-12)
	// Far from zero the size is as good as normal.
	m = MagnitudeOf(Vec{3, 4}, Sym2{1e-4, 0, 4e-4})
	near(t, "|d|", m.MM, 5, 1e-15)
	near(t, "u along d", m.U, math.Sqrt(0.36e-4+0.64*4e-4), 1e-12)
	near(t, "high, normal", m.High95, 5+1.96*m.U, 1e-4)
}

// The stated probability is calibrated: over many readings of many parts with a
// flat spread of true mismatches, p of them lie inside (JCGM 106's meaning).
func TestPWithinIsCalibrated(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	var stated, inside, n [10]float64
	for range 200000 {
		truth := Vec{rng.Float64()*0.12 - 0.06, rng.Float64()*0.12 - 0.06}
		sx, sy := 0.004, 0.008
		d := truth.Add(Vec{sx * rng.NormFloat64(), sy * rng.NormFloat64()})
		p := PWithin(d, Sym2{sx * sx, 0, sy * sy}, DefaultToleranceMM, RoundZone)
		k := int(math.Min(p*10, 9))
		stated[k] += p
		n[k]++
		if truth.Norm() <= DefaultToleranceMM {
			inside[k]++
		}
	}
	for k := range n {
		near(t, "share inside", inside[k]/n[k], stated[k]/n[k], 4*0.5/math.Sqrt(n[k]))
	}
}

func BenchmarkPWithin(b *testing.B) {
	cov := Sym2{1e-6, 4e-7, 3e-6}
	for b.Loop() {
		PWithin(Vec{0.02, 0.015}, cov, DefaultToleranceMM, RoundZone)
	}
}

func BenchmarkPWithinSquare(b *testing.B) {
	cov := Sym2{1e-6, 4e-7, 3e-6}
	for b.Loop() {
		PWithin(Vec{0.02, 0.015}, cov, DefaultToleranceMM, SquareZone)
	}
}
