package model

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

// Decision is the probability at which a verdict is given: the default of
// ISO 14253-1:2017 (95 %, a guard band of 1.65 u for a plain limit; edition and
// figure from memory), expressed as a conformance probability the way JCGM
// 106:2012 does, because a zone in the plane has no single limit to put a guard
// band on.
const Decision = 0.95

// oneSided95 is the 95 % point of the standard normal: the guard band in
// standard deviations (table value 1.645).
const oneSided95 = 1.6448536269514722

// Judge returns the verdict on a mismatch d with covariance cov (mm²) against a
// zone of toleranceMM, and the probability that the true mismatch lies inside.
//
//   - Conforms: the probability is at least 95 %.
//   - DoesNotConform: it is at most 5 %. Where the measurement is so coarse that
//     its 95 % region wouldn't fit into the zone even at its best, a small
//     probability says more about the measurement than about the part; then d
//     must also lie outside the zone by the guard band of 1.645 standard
//     deviations in some direction.
//   - Undecided: everything else, also when d or cov is not finite.
//
// Source: the three cases of ISO 14253-1, conformance probability of JCGM 106
// (no prior knowledge of the process).
//
// d is what several photos say together; one photo's reading is JudgePhoto's.
func Judge(d Vec, cov Sym2, toleranceMM float64, zone Zone) (Verdict, float64) {
	return judgeBy(PWithin, d, cov, toleranceMM, zone)
}

func judgeBy(within func(Vec, Sym2, float64, Zone) float64, d Vec, cov Sym2, toleranceMM float64, zone Zone) (Verdict, float64) {
	p := within(d, cov, toleranceMM, zone)
	switch {
	case p >= Decision:
		return Conforms, p
	case p <= 1-Decision && (within(Vec{}, cov, toleranceMM, zone) >= Decision ||
		guardDistance(d, cov, toleranceMM, zone) >= oneSided95):
		return DoesNotConform, p
	}
	return Undecided, p
}

// PWithin returns the probability that a normal variable with mean d and
// covariance cov lies inside the zone: the disc of radius toleranceMM for
// RoundZone or "", the square of that half side, along the axes, for SquareZone.
// It is exact to about 1e-10: one integral in closed form, the other by
// Gauss-Legendre in panels that follow the integrand. A singular covariance is
// fine: the limit is taken. NaN or infinite input gives NaN; no tolerance, 0.
func PWithin(d Vec, cov Sym2, toleranceMM float64, zone Zone) float64 {
	if !d.IsFinite() || !finite(cov.XX) || !finite(cov.XY) || !finite(cov.YY) || math.IsNaN(toleranceMM) {
		return math.NaN()
	}
	if toleranceMM <= 0 {
		return 0
	}
	// In units of the tolerance.
	d, cov = d.Scale(1/toleranceMM), cov.Scale(1/(toleranceMM*toleranceMM))
	if zone == SquareZone {
		return inUnitSquare(d, cov)
	}
	return inUnitDisc(d, cov)
}

// Below noSpread of the zone's size a standard deviation counts as none.
const noSpread = 1e-9

// reach is how many standard deviations of the normal are integrated: the rest
// is 1e-18.
const reach = 9.0

func inUnitDisc(d Vec, cov Sym2) float64 {
	major, minor, angle := cov.Eigen()
	s1, s2 := math.Sqrt(math.Max(major, 0)), math.Sqrt(math.Max(minor, 0))
	m := d.Rotate(-angle) // x along the major axis
	chord := func(y float64) float64 { return math.Sqrt(math.Max(0, 1-y*y)) }
	if s2 < noSpread {
		if math.Abs(m.Y) > 1 {
			return 0
		}
		return inInterval(m.X, s1, chord(m.Y))
	}
	lo, hi := math.Max(m.Y-reach*s2, -1), math.Min(m.Y+reach*s2, 1)
	if lo >= hi {
		return 0
	}
	// y = sin t takes the root out of the chord, which is cos t. Panels end where
	// the chord passes the mean along the major axis, where the inner integral
	// may change fast.
	from, to := math.Asin(lo), math.Asin(hi)
	cuts := []float64{from, to, math.Asin(math.Max(-1, math.Min(1, m.Y)))}
	for _, k := range [...]float64{-6, 0, 6} {
		if c := math.Abs(m.X) + k*s1; c > -1 && c < 1 {
			t := math.Acos(math.Max(c, 0))
			cuts = append(cuts, t, -t)
		}
	}
	sum := overPanels(cuts, from, to, func(t float64) float64 {
		s, c := math.Sincos(t)
		z := (s - m.Y) / s2
		return math.Exp(-z*z/2) * c * inInterval(m.X, s1, c)
	})
	return math.Min(1, sum/(s2*math.Sqrt(2*math.Pi)))
}

func inUnitSquare(d Vec, cov Sym2) float64 {
	sx, sy := math.Sqrt(math.Max(cov.XX, 0)), math.Sqrt(math.Max(cov.YY, 0))
	if sx < noSpread || sy < noSpread {
		return inInterval(d.X, sx, 1) * inInterval(d.Y, sy, 1)
	}
	rho := math.Max(-1, math.Min(1, cov.XY/(sx*sy)))
	slope, rest := rho*sy/sx, sy*math.Sqrt(1-rho*rho) // of y given x
	from, to := math.Max(d.X-reach*sx, -1), math.Min(d.X+reach*sx, 1)
	if from >= to {
		return 0
	}
	cuts := []float64{from, to, d.X}
	if slope != 0 {
		for _, edge := range [...]float64{-1, 1} {
			for _, k := range [...]float64{-6, 0, 6} {
				cuts = append(cuts, d.X+(edge+k*rest-d.Y)/slope)
			}
		}
	}
	sum := overPanels(cuts, from, to, func(x float64) float64 {
		z := (x - d.X) / sx
		return math.Exp(-z*z/2) * inInterval(d.Y+slope*(x-d.X), rest, 1)
	})
	return math.Min(1, sum/(sx*math.Sqrt(2*math.Pi)))
}

// inInterval is the probability that a normal variable with this mean and sd
// lies within +/-half; sd below noSpread means it is the mean.
func inInterval(mean, sd, half float64) float64 {
	mean = math.Abs(mean)
	if sd < noSpread {
		if mean <= half {
			return 1
		}
		return 0
	}
	// By complements, so that a far mean keeps its digits.
	k := 1 / (sd * math.Sqrt2)
	return (math.Erfc((mean-half)*k) - math.Erfc((mean+half)*k)) / 2
}

var legendreX, legendreW = func() (x, w []float64) {
	const n = 32
	x, w = make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(x, w, -1, 1)
	return x, w
}()

// overPanels integrates f from..to, split at those cuts that lie between.
func overPanels(cuts []float64, from, to float64, f func(float64) float64) float64 {
	slices.Sort(cuts)
	sum, a := 0.0, from
	for _, b := range cuts {
		b = math.Min(b, to)
		if !(b > a) {
			continue
		}
		half, mid, part := (b-a)/2, (a+b)/2, 0.0
		for i, x := range legendreX {
			part += legendreW[i] * f(mid+half*x)
		}
		sum += half * part
		a = b
	}
	return sum
}

// guardDistance is how far d lies outside the zone in standard deviations, along
// the direction in which that is most; <= 0 inside.
func guardDistance(d Vec, cov Sym2, toleranceMM float64, zone Zone) float64 {
	const directions = 720
	best := math.Inf(-1)
	for i := range directions {
		a := Polar(1, 2*math.Pi*float64(i)/directions)
		reach := toleranceMM
		if zone == SquareZone {
			reach *= math.Abs(a.X) + math.Abs(a.Y)
		}
		out := a.Dot(d) - reach
		sd := math.Sqrt(math.Max(0, a.X*a.X*cov.XX+2*a.X*a.Y*cov.XY+a.Y*a.Y*cov.YY))
		if sd > 0 || out <= 0 {
			out /= math.Max(sd, math.SmallestNonzeroFloat64)
		} else {
			out = math.Inf(1)
		}
		best = math.Max(best, out)
	}
	return best
}

// CoverageFactor is the half axis of the 95 % region of a mismatch in standard
// deviations, from dof effective degrees of freedom (0 or +Inf: the covariance
// is known, 2.4477): k² = 2 dof/(dof-1) F(0.95; 2, dof-1), Hotelling's T² in the
// plane. With one degree of freedom or less there is no region: +Inf.
func CoverageFactor(dof float64) float64 {
	if dof == 0 || math.IsInf(dof, 1) {
		return math.Sqrt(chiSquared95)
	}
	if dof <= 1 {
		return math.Inf(1)
	}
	n := dof - 1
	return math.Sqrt(dof / n * studentRegion95(n))
}

// studentRegion95 is the square of the half axis, in units of the scale, of the region
// that holds 95 % of Student's distribution in the plane with n degrees of freedom:
// 2 F(0.95; 2, n), which has a closed form.
func studentRegion95(n float64) float64 { return n * math.Expm1(-2/n*math.Log(0.05)) }

// U95 returns the larger half axis of the 95 % region of a covariance that is
// known, mm.
func U95(cov Sym2) float64 { return U95DOF(cov, 0) }

// U95DOF is U95 for a covariance with dof effective degrees of freedom.
func U95DOF(cov Sym2, dof float64) float64 {
	major, _, _ := cov.Eigen()
	return CoverageFactor(dof) * math.Sqrt(math.Max(0, major))
}

// Magnitude is the size of a mismatch with what is known of it, mm.
type Magnitude struct {
	MM float64 // |d| as measured: biased high near zero
	U  float64 // standard uncertainty along d, first order (JCGM 100)
	// Low95 and High95 hold the central 95 % of the distribution of |d|: near zero
	// not MM +/- 2 U (Rice distribution; JCGM 102 9.3 works the example).
	Low95, High95 float64
}

// MagnitudeOf returns |d| with its uncertainty from the covariance cov, mm².
func MagnitudeOf(d Vec, cov Sym2) Magnitude {
	n := d.Norm()
	major, _, angle := cov.Eigen()
	along := Polar(1, angle)
	if n > 0 {
		along = d.Scale(1 / n)
	}
	v := along.X*along.X*cov.XX + 2*along.X*along.Y*cov.XY + along.Y*along.Y*cov.YY
	m := Magnitude{MM: n, U: math.Sqrt(math.Max(0, v)), Low95: n, High95: n}
	s := math.Sqrt(math.Max(0, major))
	if s == 0 || !finite(s) || !finite(n) {
		return m
	}
	quantile := func(p float64) float64 {
		lo, hi := math.Max(0, n-reach*s), n+reach*s
		for range 50 {
			mid := (lo + hi) / 2
			if PWithin(d, cov, mid, RoundZone) < p {
				lo = mid
			} else {
				hi = mid
			}
		}
		return (lo + hi) / 2
	}
	m.Low95, m.High95 = quantile(0.025), quantile(0.975)
	return m
}

// Factor95 is how many standard uncertainties to either side hold 95 % of a single
// number: the normal's 97.5 % point (tables).
const Factor95 = 1.96
