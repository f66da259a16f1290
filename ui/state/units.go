package state

import (
	"math"
	"strings"

	"evenrim/model/chart"
)

// Units are the units lengths are shown in; stored values are mm all the same.
type Units = chart.Unit

const (
	MM   = chart.MM
	Inch = chart.Inch
)

// WithUnit gives a bare number, as typed, the unit u.
func WithUnit(text string, u Units) string {
	t := strings.TrimSpace(text)
	if t == "" || !strings.ContainsAny(t[len(t)-1:], "0123456789.,") {
		return text
	}
	return t + " " + u.String()
}

// signed shows a displacement to the decimals its 95 % uncertainty deserves,
// always with its sign: which way matters more than how far.
func signed(u Units, mm, u95MM float64) string { return u.Signed(mm, u.Decimals(u95MM)) }

// length shows a measured length with its unit, to the decimals its 95 %
// uncertainty deserves.
func length(u Units, mm, u95MM float64) string {
	return u.Format(mm, u.Decimals(u95MM)) + " " + u.String()
}

// plusMinus shows a 95 % uncertainty.
func plusMinus(u Units, u95MM float64) string { return "± " + u.FormatU(u95MM, u.Decimals(u95MM)) }

// Degrees shows an angle given in radians.
func Degrees(rad float64, decimals int) string { return plain(rad*180/math.Pi, decimals) + "°" }

// plain formats a number with a true minus sign and never shows a negative zero.
func plain(x float64, decimals int) string { return chart.MM.Format(x, decimals) }
