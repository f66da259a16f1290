package model

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
	"unicode"
)

// MMPerInch is exact by definition (international yard and pound agreement, 1959).
const MMPerInch = 25.4

// lengthUnits are the units as typed, in lower case, as exact multiples of 1 mm.
var lengthUnits = map[string]*big.Rat{
	"":   big.NewRat(1, 1), // a bare number
	"mm": big.NewRat(1, 1), "millimetre": big.NewRat(1, 1), "millimetres": big.NewRat(1, 1), "millimeter": big.NewRat(1, 1), "millimeters": big.NewRat(1, 1),
	"in": big.NewRat(254, 10), "inch": big.NewRat(254, 10), "inches": big.NewRat(254, 10), `"`: big.NewRat(254, 10), "″": big.NewRat(254, 10), "”": big.NewRat(254, 10), "''": big.NewRat(254, 10),
	"thou": big.NewRat(254, 10000), "mil": big.NewRat(254, 10000), "mils": big.NewRat(254, 10000),
	"um": big.NewRat(1, 1000), "µm": big.NewRat(1, 1000), "μm": big.NewRat(1, 1000), "micron": big.NewRat(1, 1000), "microns": big.NewRat(1, 1000),
}

// ParseLength returns the length s in mm, correctly rounded: "10mm", "0.5in",
// `0.5"`, "1/2in", "1 1/2 in", "5thou", "12um", "12 µm"; a bare number is mm. A
// comma is a decimal comma. An error is a sentence for the user.
func ParseLength(s string) (mm float64, err error) {
	number, unit := splitUnit(s)
	if number == "" && unit == "" {
		return 0, errors.New("A length is missing: type a number with its unit, for example 10mm, 0.5in or 5thou.")
	}
	factor, known := lengthUnits[strings.ToLower(unit)]
	switch {
	case !known && number == "": // "ten": no unit at fault
		return 0, fmt.Errorf("%q is not a number: type one with its unit, for example 10mm, 0.5in or 5thou.", clip(s))
	case !known:
		return 0, fmt.Errorf("%q has an unknown unit: use mm, um, in or thou, for example 10mm, 12um, 0.5in or 5thou.", clip(s))
	}
	v, err := parseNumber(number)
	if err != nil {
		return 0, fmt.Errorf("%q is not a length: type a number with its unit, for example 10mm, 0.5in or 5thou.", clip(s))
	}
	if unit == "" && strings.Contains(number, "/") {
		return 0, fmt.Errorf("%q is a fraction without a unit: write %sin if it is inches.", clip(s), strings.TrimSpace(number))
	}
	mm, _ = v.Mul(v, factor).Float64()
	if !finite(mm) {
		return 0, fmt.Errorf("%q is too large for a length: check the number.", clip(s))
	}
	return mm, nil
}

// ParseAngleDeg returns the angle s, degrees as typed ("45", "-12.5°", "45 deg"),
// in radians. An error is a sentence for the user.
func ParseAngleDeg(s string) (rad float64, err error) {
	number, unit := splitUnit(s)
	switch strings.ToLower(unit) {
	case "", "°", "deg", "degree", "degrees":
	default:
		return 0, fmt.Errorf("%q is not an angle in degrees: type a number such as 45 or -12.5.", clip(s))
	}
	v, err := parseNumber(number)
	if err != nil || strings.Contains(number, "/") {
		return 0, fmt.Errorf("%q is not an angle: type a number of degrees such as 45 or -12.5.", clip(s))
	}
	deg, _ := v.Float64()
	if math.Abs(deg) > 3600 {
		return 0, fmt.Errorf("%q is more than ten turns: check the angle.", clip(s))
	}
	return deg * math.Pi / 180, nil
}

// FormatLength writes a length of mm with its unit to the last digit a shop can
// use: 0.1 um or 0.00001 in. ParseLength reads it back.
func FormatLength(mm float64, inch bool) string {
	v, decimals, unit := mm, 4, "mm"
	if inch {
		v, decimals, unit = mm/MMPerInch, 5, "in"
	}
	if !finite(v) {
		return "unknown"
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if !strings.ContainsAny(s, "123456789") {
		s = strings.TrimPrefix(s, "-") // no negative zero
	}
	return s + " " + unit
}

// splitUnit cuts s where its number ends.
func splitUnit(s string) (number, unit string) {
	s = strings.TrimSpace(s)
	end := len(s)
	for i, r := range s {
		if unicode.IsDigit(r) || strings.ContainsRune("+-−.,/ \u00a0\u202f", r) || isExponent(s, i) {
			continue
		}
		end = i
		break
	}
	return strings.TrimSpace(s[:end]), strings.TrimSpace(s[end:])
}

// isExponent tells the e of 1e-3 from the first letter of a unit.
func isExponent(s string, i int) bool {
	if i == 0 || s[i] != 'e' && s[i] != 'E' || i+1 >= len(s) {
		return false
	}
	next := strings.TrimLeft(s[i+1:], "+-")
	return s[i-1] >= '0' && s[i-1] <= '9' && next != "" && next[0] >= '0' && next[0] <= '9'
}

var errNumber = errors.New("not a number")

// parseNumber reads a decimal number, a fraction ("1/2") or a mixed one
// ("1 1/2", "1-1/2") without rounding.
func parseNumber(s string) (*big.Rat, error) {
	s = strings.NewReplacer("−", "-", "\u00a0", " ", "\u202f", " ").Replace(strings.TrimSpace(s))
	negative := strings.HasPrefix(s, "-")
	if negative || strings.HasPrefix(s, "+") {
		s = strings.TrimSpace(s[1:])
	}
	// Longer ones are no lengths; they would only cost time.
	if s == "" || len(s) > 40 || s[0] == '+' || s[0] == '-' {
		return nil, errNumber
	}
	v := new(big.Rat)
	if head, tail, mixed := strings.Cut(s, "/"); mixed {
		whole := "0"
		if i := strings.LastIndexAny(head, " -"); i >= 0 {
			whole, head = strings.TrimSpace(head[:i]), head[i+1:]
		}
		if !allDigits(whole) || !allDigits(head) || !allDigits(tail) || strings.Trim(tail, "0") == "" {
			return nil, errNumber
		}
		if _, ok := v.SetString(head + "/" + tail); !ok {
			return nil, errNumber
		}
		w, ok := new(big.Rat).SetString(whole)
		if !ok {
			return nil, errNumber
		}
		v.Add(v, w)
	} else {
		if strings.Count(s, ",") == 1 && !strings.Contains(s, ".") {
			s = strings.Replace(s, ",", ".", 1)
		}
		mantissa, exponent, has := strings.Cut(strings.ToLower(s), "e")
		point, digits := strings.Count(mantissa, "."), strings.Replace(mantissa, ".", "", 1)
		if point > 1 || !allDigits(digits) || has && (!allDigits(strings.TrimLeft(exponent, "+-")) || len(exponent) > 3) {
			return nil, errNumber
		}
		if _, ok := v.SetString(s); !ok {
			return nil, errNumber
		}
	}
	if negative {
		v.Neg(v)
	}
	return v, nil
}

func allDigits(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}

// clip keeps a sentence readable whatever was typed.
func clip(s string) string {
	s = strings.TrimSpace(s)
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}
