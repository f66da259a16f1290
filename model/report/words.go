package report

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"evenrim/model"
	"evenrim/model/chart"
)

// Headline is the verdict as a heading.
func Headline(v model.Verdict) string {
	switch v {
	case model.Conforms:
		return "Conforms"
	case model.DoesNotConform:
		return "Does not conform"
	case model.Undecided:
		return "Undecided"
	}
	return "No verdict"
}

// VerdictWords say in one or two sentences what the verdict rests on.
func VerdictWords(r *model.Reading, u chart.Unit) string {
	zone := fmt.Sprintf("the tolerance zone (radius %s)", u.Plain(r.Job.ToleranceMM))
	if r.Job.Zone == model.SquareZone {
		zone = fmt.Sprintf("the tolerance zone (± %s each way)", u.Plain(r.Job.ToleranceMM))
	}
	in := "With all of its uncertainty the mismatch lies inside " + zone + " with a probability of " + Probability(r.PWithin) + "."
	switch r.Verdict {
	case model.Conforms:
		return in
	case model.DoesNotConform:
		return "With all of its uncertainty the mismatch lies outside " + zone + "; the probability that it is inside is " + Probability(r.PWithin) + "."
	case model.Undecided:
		return in + " That is too little to accept and too much to reject. A closer photo, light through the bore or a turn set narrows it down."
	}
	return ""
}

// Probability is model.Percent for a running text: number and sign stay on one line.
func Probability(p float64) string { return strings.ReplaceAll(model.Percent(p), " %", "\u00a0%") }

// MismatchWords say where setup 2 landed.
func MismatchWords(r *model.Reading, u chart.Unit) string {
	if r.IsEven() {
		return fmt.Sprintf("The chamfer sits on the bore as well as this photo can tell: no mismatch beyond ± %s %s.",
			u.FormatU(r.U95MM, u.Decimals(r.U95MM)), u)
	}
	w := r.Widest()
	s := fmt.Sprintf("Setup 2 landed %s of setup 1.", Displacement(r.Mismatch, r.U95MM, u))
	if r.VanishedRad > 0 {
		return s + fmt.Sprintf(" The chamfer is widest at %s in the photo and missing over %.0f° on the other side.", w.Clock, r.VanishedRad*180/math.Pi)
	}
	return s + fmt.Sprintf(" In the photo the chamfer is widest at %s and narrowest at %s.", w.Clock, r.Narrowest().Clock)
}

// Displacement writes a vector as "0.031 mm towards +X and 0.004 mm towards −Y".
// A component smaller than uMM is left out unless both are.
func Displacement(d model.Vec, uMM float64, u chart.Unit) string {
	dec := u.Decimals(uMM)
	one := func(v float64, axis string) string {
		sign := "+"
		if v < 0 {
			sign = "−"
		}
		return fmt.Sprintf("%s\u00a0%s towards\u00a0%s%s", u.Format(math.Abs(v), dec), u, sign, axis)
	}
	x, y := math.Abs(d.X) >= uMM, math.Abs(d.Y) >= uMM
	switch {
	case x && !y:
		return one(d.X, "X")
	case y && !x:
		return one(d.Y, "Y")
	}
	return one(d.X, "X") + " and " + one(d.Y, "Y")
}

// CorrectionWords say what to change on the machine, one way a line.
func CorrectionWords(r *model.Reading, u chart.Unit) []string {
	if r.IsEven() {
		return []string{"None: the mismatch cannot be told from zero, and a correction now would chase chance."}
	}
	if (r.Correction == model.Correction{}) && r.Mismatch != (model.Vec{}) {
		return []string{"No correction was computed."}
	}
	x, y := r.WorthMoving()
	if !x && !y {
		return []string{"None: neither X nor Y is larger than its own uncertainty."}
	}
	dec := u.Decimals(r.U95MM)
	leave := map[[2]bool]string{{true, false}: ", leave\u00a0Y", {false, true}: ", leave\u00a0X"}[[2]bool{x, y}]
	move := func(v model.Vec) string {
		switch {
		case !y:
			return fmt.Sprintf("X\u00a0%s\u00a0%s", u.Signed(v.X, dec), u)
		case !x:
			return fmt.Sprintf("Y\u00a0%s\u00a0%s", u.Signed(v.Y, dec), u)
		}
		return fmt.Sprintf("X\u00a0%s, Y\u00a0%s\u00a0%s", u.Signed(v.X, dec), u.Signed(v.Y, dec), u)
	}
	flip := "end for end, about Y"
	if r.Job.Flip == model.FlipAboutX {
		flip = "about X"
	}
	lines := []string{
		"Setup 2: add " + move(r.Correction.Setup2) + " to its work offset" + leave + ".",
		"Or setup 1 (part turned " + flip + "): add " + move(r.Correction.Setup1) + " to its own" + leave + ".",
		fmt.Sprintf("One of the two, not both. Good to ± %s %s (95 %%). Work offset means the machine position of part zero.", u.FormatU(r.U95MM, dec), u),
	}
	if r.Verdict == model.Conforms {
		lines = append([]string{"Not asked for by this tolerance. To centre it all the same:"}, lines...)
	}
	return lines
}

// Cautions stand on each page that advises a correction.
var Cautions = []string{
	"Photograph and measure with the spindle stopped and the part at rest; fresh edges cut.",
	"After changing an offset run the program above the part first, in single block, hand on the feed hold.",
	"The shop's own rules and a qualified person decide; never accept a safety-critical part on a photo alone.",
}

// Caution is Cautions in short, for where a sheet or a terminal has no room for them.
const Caution = "Spindle stopped, hands off fresh edges. Dry-run above the part first, in single block. " +
	"The shop's rules and a qualified person decide; no safety-critical part on a photo alone."

// row is a name and a value of a small table.
type row struct{ name, value string }

// inputs are what the reading was told.
func inputs(j model.JobCard, u chart.Unit) []row {
	rows := []row{
		{"Bore", u.Plain(j.BoreMM)},
		{"Chamfer", orUnknown(j.ChamferMM, u) + fmt.Sprintf(" at %.4g° from the axis", j.HalfAngle*180/math.Pi)},
		{"Thickness", orUnknown(j.ThicknessMM, u)},
		// As it is typed on the job card, and as the budget has it: within half a turn.
		{"+X in the photo", strings.Replace(fmt.Sprintf("%.1f°", math.Remainder(j.PlusX, 2*math.Pi)*180/math.Pi), "-", "−", 1) + " counter-clockwise from right"},
	}
	tol := "round, radius " + u.Plain(j.ToleranceMM)
	if j.Zone == model.SquareZone {
		tol = "square, ± " + u.Plain(j.ToleranceMM)
	}
	return append(rows, row{"Tolerance", tol})
}

func orUnknown(mm float64, u chart.Unit) string {
	if mm == 0 {
		return "not given"
	}
	return u.Plain(mm)
}

func degrees(rad float64) float64 {
	d := math.Mod(rad*180/math.Pi, 360)
	if d < 0 {
		d += 360
	}
	return d
}

// evidence is what the photo gave.
func evidence(r *model.Reading, u chart.Unit) []row {
	wdec := u.Decimals(model.Factor95 * r.WidthUMM)
	width := "not known"
	if r.WidthMM > 0 && r.WidthUMM > 0 {
		width = fmt.Sprintf("%s ± %s %s (95 %%)", u.Format(r.WidthMM, wdec), u.FormatU(model.Factor95*r.WidthUMM, wdec), u)
	}
	exit := rimWords(r.Exit)
	if r.View.How == "" {
		exit = "not known" // whether it was seen doesn't stand in a table
	}
	rows := []row{
		{"Chamfer width", width},
		{"View", viewWords(r.View)},
		{"Scale", scaleWords(r.Camera.PxPerMM, u)},
		{"Outer edge", rimWords(&r.Outer)},
		{"Bore edge", rimWords(&r.Bore)},
		{"Exit rim", exit},
	}
	for i, d := range r.Damage {
		if i == 3 {
			rows = append(rows, row{"", fmt.Sprintf("and %d more arcs", len(r.Damage)-i)})
			break
		}
		rows = append(rows, row{"Damage, " + d.Rim, fmt.Sprintf("%s, %.0f° wide about %s, not used", d.Kind, d.WidthRad*180/math.Pi, r.ClockAt(d.AtRad))})
	}
	if r.Trace.HelpedBy != "" {
		rows = append(rows, row{"Set by hand", r.Trace.HelpedBy})
	}
	return rows
}

func viewWords(v model.View) string {
	if v.How == "" {
		return "not known"
	}
	how := map[model.ViewSource]string{
		model.FromExitRim: "from the exit rim", model.FromFlattening: "from the rims' flattening",
		model.FromTurnSet: "from the turn set", model.Assumed: "assumed square",
	}[v.How]
	tilt := math.Atan(math.Hypot(v.SlopeX, v.SlopeY)) * 180 / math.Pi
	u := model.Factor95 * math.Hypot(v.SlopeUX, v.SlopeUY) / math.Sqrt2 * 180 / math.Pi
	return fmt.Sprintf("%.2f° ± %.2f° off square, %s", tilt, u, how)
}

func scaleWords(pxPerMM float64, u chart.Unit) string {
	if !(pxPerMM > 0) {
		return "unknown"
	}
	if u == chart.Inch {
		return fmt.Sprintf("%.3f thou a pixel", 1000/model.MMPerInch/pxPerMM)
	}
	return fmt.Sprintf("%.1f µm a pixel", 1000/pxPerMM)
}

func rimWords(r *model.RimShape) string {
	if r == nil {
		return "not seen"
	}
	if *r == (model.RimShape{}) { // a reading from a table has no rims
		return "not known"
	}
	return fmt.Sprintf("%.0f° of it used, scatter %.2f px", r.ArcRad*180/math.Pi, r.RMSPx)
}

// origin says which file the page speaks of.
func origin(p model.Photo) string {
	s := filepath.Base(p.Name)
	if p.WidthPx > 0 {
		s += fmt.Sprintf(", %d × %d px", p.WidthPx, p.HeightPx)
	}
	return s
}

// sentence gives s a capital and a stop, for words that come from elsewhere.
func sentence(s string) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return ""
	}
	if !strings.ContainsAny(s[len(s)-1:], ".!?") {
		s += "."
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
