package chart

import (
	"math"
	"strconv"
	"strings"

	"evenrim/model"
)

// Unit is the unit lengths are shown in; its zero value is the millimetre.
type Unit int

const (
	MM Unit = iota
	Inch
)

// UnitOf is the unit a job card asks to be shown in.
func UnitOf(showInch bool) Unit {
	if showInch {
		return Inch
	}
	return MM
}

func (u Unit) String() string {
	if u == Inch {
		return "in"
	}
	return "mm"
}

// Of converts mm.
func (u Unit) Of(mm float64) float64 {
	if u == Inch {
		return mm / model.MMPerInch
	}
	return mm
}

// MM converts to mm.
func (u Unit) MM(v float64) float64 {
	if u == Inch {
		return v * model.MMPerInch
	}
	return v
}

// Decimals is how many decimals a length deserves whose uncertainty is uMM: two
// figures of the uncertainty (JCGM 100, 7.2.6), within what a shop reads.
func (u Unit) Decimals(uMM float64) int {
	least, most := 3, 4
	if u == Inch {
		least, most = 4, 5
	}
	v := u.Of(math.Abs(uMM))
	if !(v > 0) || math.IsInf(v, 0) {
		return least
	}
	d := 1 - int(math.Floor(math.Log10(v)))
	// 0.00996 rounds up to 0.010: one decimal less is enough.
	if math.Round(v*math.Pow10(d)) >= 100 {
		d--
	}
	return min(max(d, least), most)
}

// Format writes a length of mm without its unit, with a true minus sign; zero
// has none.
func (u Unit) Format(mm float64, decimals int) string { return number(u.Of(mm), decimals) }

// FormatU writes an uncertainty, rounded up so that it is never understated
// (JCGM 100, 7.2.6 allows for it); "unknown" when it isn't a positive number.
func (u Unit) FormatU(mm float64, decimals int) string {
	v := u.Of(mm)
	if !(v > 0) || math.IsInf(v, 0) {
		return "unknown"
	}
	k := math.Pow10(decimals)
	return number(math.Ceil(v*k-1e-6)/k, decimals)
}

// Signed is Format with a plus sign where it belongs.
func (u Unit) Signed(mm float64, decimals int) string {
	s := u.Format(mm, decimals)
	if strings.ContainsAny(s, "123456789") && !strings.HasPrefix(s, "−") {
		return "+" + s
	}
	return s
}

// Plain writes a length as it stands on a drawing: up to the unit's usual
// decimals, no trailing zeros, with the unit.
func (u Unit) Plain(mm float64) string {
	d := 4
	if u == Inch {
		d = 5
	}
	s := number(u.Of(mm), d)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s + " " + u.String()
}

func number(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.HasPrefix(s, "-") {
		s = s[1:]
		if strings.ContainsAny(s, "123456789") {
			s = "−" + s
		}
	}
	return s
}
