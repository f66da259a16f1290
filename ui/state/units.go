package state

import (
	"math"

	"evenrim/model/chart"
)

// Units are the units lengths are shown in; stored values are mm all the same.
type Units = chart.Unit

const (
	MM   = chart.MM
	Inch = chart.Inch
)

// signed shows a displacement to the decimals its 95 % uncertainty deserves,
// always with its sign: which way matters more than how far.
func signed(u Units, mm, u95MM float64) string { return u.Signed(mm, u.Decimals(u95MM)) }

// length shows a measured length with its unit, to the decimals its 95 %
// uncertainty deserves.
func length(u Units, mm, u95MM float64) string {
	return u.Format(mm, u.Decimals(u95MM)) + " " + u.String()
}

// plusMinus shows a 95 % uncertainty, rounded up so that it is never understated.
func plusMinus(u Units, u95MM float64) string {
	d := u.Decimals(u95MM)
	k := math.Pow10(d)
	return "± " + u.Format(u.MM(math.Ceil(u.Of(u95MM)*k-1e-6)/k), d)
}

// Percent shows a probability without claiming certainty.
func Percent(p float64) string {
	switch {
	case math.IsNaN(p):
		return "unknown"
	case p > 0.999:
		return "over 99.9 %"
	case p < 0.001:
		return "under 0.1 %"
	case p > 0.99 || p < 0.01:
		return plain(p*100, 1) + " %"
	}
	return plain(p*100, 0) + " %"
}

// Degrees shows an angle given in radians.
func Degrees(rad float64, decimals int) string { return plain(rad*180/math.Pi, decimals) + "°" }

// plain formats a number with a true minus sign and never shows a negative zero.
func plain(x float64, decimals int) string { return chart.MM.Format(x, decimals) }
