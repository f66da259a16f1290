package main

import (
	"fmt"
	"math"
	"strings"

	"evenrim/model"
	"evenrim/model/chart"
)

// readingInWords is a reading as a few lines to read in a terminal.
func readingInWords(photo string, r *model.Reading) []byte {
	u := chart.UnitOf(r.Job.ShowInch)
	d := u.Decimals(r.U95MM)
	var b strings.Builder
	line := func(format string, a ...any) { fmt.Fprintf(&b, "  "+format+"\n", a...) }
	fmt.Fprintf(&b, "%s\n", photo)
	line("X %s   Y %s   +/- %s %s (95 %%)", u.Signed(r.Mismatch.X, d), u.Signed(r.Mismatch.Y, d), u.FormatU(r.U95MM, d), u)
	line("%s", verdictInWords(r, u))
	for _, l := range moveInWords(r, u, d) {
		line("%s", l)
	}
	line("%s", widthInWords(r, u))
	line("%s", viewInWords(r.View.How))
	for _, c := range cautions(r) {
		line("Caution: %s", c)
	}
	return []byte(plainASCII(b.String()))
}

func refusalInWords(photo string, r *model.Refusal) []byte {
	return fmt.Appendf(nil, "%s\n  No reading: %s\n", photo, r.Sentence)
}

// plainASCII: a terminal may not know the true minus and plus-minus signs.
func plainASCII(s string) string { return strings.NewReplacer("−", "-", "±", "+/-").Replace(s) }

func verdictInWords(r *model.Reading, u chart.Unit) string {
	if r.Verdict == "" {
		return "No verdict was computed."
	}
	zone := "circle of radius " + u.Plain(r.Job.ToleranceMM)
	if r.Job.Zone == model.SquareZone {
		zone = "square of +/- " + u.Plain(r.Job.ToleranceMM)
	}
	verdict := strings.ToUpper(string(r.Verdict[:1])) + string(r.Verdict[1:])
	return fmt.Sprintf("%s: within the %s with probability %s.", verdict, zone, model.Percent(r.PWithin))
}

// moveInWords says which work offset to move which way.
func moveInWords(r *model.Reading, u chart.Unit, decimals int) []string {
	switch {
	case r.Correction == model.Correction{} && r.Mismatch != model.Vec{}:
		return []string{"No correction was computed."}
	case r.IsEven():
		return []string{"No move: the mismatch cannot be told from none."}
	}
	x, y := r.WorthMoving()
	by := func(v model.Vec) string {
		switch {
		case x && y:
			return fmt.Sprintf("X by %s, Y by %s %s", u.Signed(v.X, decimals), u.Signed(v.Y, decimals), u)
		case x:
			return fmt.Sprintf("X by %s %s, leave Y", u.Signed(v.X, decimals), u)
		}
		return fmt.Sprintf("Y by %s %s, leave X", u.Signed(v.Y, decimals), u)
	}
	if !x && !y {
		return []string{"No move: neither X nor Y is larger than its own uncertainty."}
	}
	flip := "Y"
	if r.Job.Flip == model.FlipAboutX {
		flip = "X"
	}
	how := "To correct"
	if r.Verdict == model.Conforms {
		how = "The tolerance asks for no correction; to centre it all the same"
	}
	moves := []string{
		how + ", move setup 2's work offset in " + by(r.Correction.Setup2) + ",",
		"or setup 1's in " + by(r.Correction.Setup1) + " (part turned over about " + flip + ").",
	}
	if r.Job.PlusX == 0 { // as it is before anybody has said
		moves = append(moves, "+X is taken to point right in the photo (--plus-x): X, Y and the move follow it.")
	}
	return moves
}

func widthInWords(r *model.Reading, u chart.Unit) string {
	if !(r.WidthMM > 0) { // a reading taken over from a table may not have it
		return "Chamfer width not known."
	}
	d := u.Decimals(model.Factor95 * r.WidthUMM)
	s := fmt.Sprintf("Chamfer %s +/- %s %s wide", u.Format(r.WidthMM, d), u.FormatU(model.Factor95*r.WidthUMM, d), u)
	if r.IsEven() {
		return s + ", even all round."
	}
	wide, narrow := r.Widest(), r.Narrowest()
	s += fmt.Sprintf("; widest at %s (%s)", wide.Clock, u.Format(wide.WidthMM, d))
	if narrow.WidthMM <= 0 {
		return s + fmt.Sprintf(", gone at %s.", narrow.Clock)
	}
	return s + fmt.Sprintf(", narrowest at %s (%s).", narrow.Clock, u.Format(narrow.WidthMM, d))
}

func viewInWords(how model.ViewSource) string {
	switch how {
	case model.FromExitRim:
		return "View direction: from the exit rim of the bore."
	case model.FromFlattening:
		return "View direction: from how far the rims are flattened."
	case model.FromTurnSet:
		return "View direction: from the turn set."
	case model.Assumed:
		return "View direction: taken to be straight down the bore, within what a careful hand manages."
	}
	return "View direction: not known."
}

func cautions(r *model.Reading) []string {
	var out []string
	for _, d := range r.Damage {
		rim := map[string]string{"outer": "outer edge", "bore": "bore edge"}[d.Rim]
		if rim == "" {
			rim = "rim"
		}
		out = append(out, fmt.Sprintf("The %s departs %s at %s over %.0f degrees; that stretch was left out.", rim, d.Kind, r.ClockAt(d.AtRad), d.WidthRad*180/math.Pi))
	}
	return append(out, r.Warnings...)
}
