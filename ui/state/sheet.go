package state

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenrim/model"
	"evenrim/model/report"
)

// Sheet is what the result sheet says: every word and figure, ready to lay out.
type Sheet struct {
	Verdict model.Verdict // "" when there is no reading
	Chance  string        // how likely the mismatch lies inside the zone
	X, Y    string        // figures without unit
	PM      string        // "± 0.0026 mm", 95 %
	Unit    string
	Summary string // one sentence: where setup 2 lies
	Even    bool   // no mismatch can be told from none
	Moves   []Move
	Notes   []Note // cautions, warnings, damage: most urgent first
	Facts   []Fact
}

// Move is one way to put the machine right: add X and Y to a work offset. An axis
// whose mismatch is smaller than its own uncertainty is left alone: its figure is
// "" then.
type Move struct {
	Setup int // 1 or 2
	Title string
	X, Y  string
	Good  string // what the figures are good to, 95 %
	Why   string // how it follows from the mismatch
}

// NoteKind is what a note is about; it picks the note's icon.
type NoteKind int

const (
	Caution NoteKind = iota // think before moving an offset
	Warning                 // the reading's own doubts
	Hurt                    // damage on a rim
)

// Note is one sentence beside a result.
type Note struct {
	Kind NoteKind
	Text string
}

// Fact is a line of small print: what was measured besides the mismatch.
type Fact struct {
	Name, Value string
	About       Topic // what says where it comes from; "" = nothing
}

// SheetOf words a reading. It never changes r.
func SheetOf(r *model.Reading, u Units) Sheet {
	return Sheet{
		Verdict: r.Verdict,
		Chance:  model.Percent(r.PWithin) + " likely within " + u.Plain(r.Job.ToleranceMM),
		X:       signed(u, r.Mismatch.X, r.U95MM),
		Y:       signed(u, r.Mismatch.Y, r.U95MM),
		PM:      plusMinus(u, r.U95MM) + " " + u.String(),
		Unit:    u.String(),
		Summary: summary(r, u),
		Even:    r.IsEven(),
		Moves:   moves(r, u),
		Notes:   notes(r, u),
		Facts:   facts(r, u),
	}
}

func summary(r *model.Reading, u Units) string {
	if r.IsEven() {
		return "The rim is even: no mismatch can be told from none."
	}
	w := r.Widest()
	return fmt.Sprintf("Setup 2 landed %s off setup 1. Widest at %s.", length(u, r.Mismatch.Norm(), r.U95MM), w.Clock)
}

func moves(r *model.Reading, u Units) []Move {
	x, y := r.WorthMoving()
	if !x && !y {
		return nil
	}
	figure := func(worth bool, mm float64) string {
		if !worth {
			return ""
		}
		return signed(u, mm, r.U95MM)
	}
	good := "Good to " + plusMinus(u, r.U95MM) + " " + u.String() + ", 95 %."
	side := "end for end, about Y"
	why := "The flip mirrors X: old offset + (−dx, dy)."
	if r.Job.Flip == model.FlipAboutX {
		side, why = "over, about X", "The flip mirrors Y: old offset + (dx, −dy)."
	}
	return []Move{
		{Setup: 2, Title: "Add to setup 2's work offset",
			X: figure(x, r.Correction.Setup2.X), Y: figure(y, r.Correction.Setup2.Y), Good: good,
			Why: "Setup 2 lies at +d of setup 1: old offset − d."},
		{Setup: 1, Title: "or to setup 1's, part turned " + side,
			X: figure(x, r.Correction.Setup1.X), Y: figure(y, r.Correction.Setup1.Y), Good: good,
			Why: why},
	}
}

func notes(r *model.Reading, u Units) []Note {
	var n []Note
	switch {
	case r.IsEven():
		n = append(n, Note{Caution, "Leave the offsets alone: the mismatch is smaller than what this reading can tell."})
	default:
		x, y := r.WorthMoving()
		if x || y {
			n = append(n, Note{Caution, report.Caution})
		}
		axis := map[[2]bool]string{{true, false}: "Y", {false, true}: "X"}[[2]bool{x, y}]
		switch {
		case !x && !y:
			n = append(n, Note{Caution, "Leave the offsets alone: neither X nor Y is larger than its own uncertainty."})
		case axis != "":
			n = append(n, Note{Caution, axis + " is smaller than its own uncertainty: no correction there."})
		}
		if x || y {
			if r.Verdict == model.Conforms {
				n = append(n, Note{Caution, "The tolerance asks for no correction: this one would only centre what conforms."})
			}
			if r.Job.PlusX == 0 { // as it is before anybody has turned it
				n = append(n, Note{Caution, "+X is taken to point right in the photo. If it doesn't, drag its arrow first: X, Y and the correction follow it."})
			}
			n = append(n, Note{Caution, "Move one setup only. One hole cannot tell a shift from a turned part: read a second hole first."})
		}
	}
	if r.View.How == model.FromFlattening || r.View.How == model.Assumed {
		n = append(n, Note{Caution, "The camera's tilt is only guessed here. Light the far end of the bore, or turn the part half a turn and take a second photo."})
	}
	if r.Trace.HelpedBy != "" && !slices.ContainsFunc(r.Warnings, func(w string) bool { return strings.HasPrefix(w, "A person helped") }) {
		n = append(n, Note{Warning, "A person helped: " + r.Trace.HelpedBy + "."})
	}
	if r.VanishedRad > 0 {
		n = append(n, Note{Warning, fmt.Sprintf("The chamfer is missing over %s of the rim, about %s.",
			Degrees(r.VanishedRad, 0), r.Narrowest().Clock)})
	}
	for _, w := range r.Warnings {
		n = append(n, Note{Warning, w})
	}
	for _, d := range r.Damage {
		n = append(n, Note{Hurt, damage(r, d, u)})
	}
	return n
}

func damage(r *model.Reading, d model.Damage, u Units) string {
	rim := "rim"
	switch d.Rim {
	case "outer":
		rim = "outer edge"
	case "bore":
		rim = "bore edge"
	}
	s := fmt.Sprintf("Damage on the %s at %s, %s wide, %s", rim, r.ClockAt(d.AtRad), Degrees(d.WidthRad, 0), d.Kind)
	if d.PeakMM != 0 {
		s += " by " + length(u, math.Abs(d.PeakMM), r.U95MM)
	}
	return s + ". It is left out of the reading."
}

func facts(r *model.Reading, u Units) []Fact {
	f := []Fact{{"Chamfer width", length(u, r.WidthMM, model.Factor95*r.WidthUMM) + " " + plusMinus(u, model.Factor95*r.WidthUMM), AboutWidth}}
	if !r.IsEven() {
		f = append(f, Fact{"Widest, narrowest", extremeWords(r.Widest(), u) + ", " + extremeWords(r.Narrowest(), u), AboutWidth})
	}
	f = append(f,
		Fact{"Camera's tilt", tiltWords(r.View), AboutView},
		Fact{"Scale", scaleWords(r, u), AboutScale},
		Fact{"Traced", tracedWords(r), AboutRims},
		Fact{"Photo", fmt.Sprintf("%s, %d × %d", r.Photo.Name, r.Photo.WidthPx, r.Photo.HeightPx), ""},
	)
	if r.Seconds > 0 {
		f = append(f, Fact{"Read in", plain(r.Seconds, 2) + " s", ""})
	}
	if !r.MadeAt.IsZero() {
		f = append(f, Fact{"Made", r.MadeAt.Local().Format("2 Jan 2006, 15:04") + ", version " + r.Version, ""})
	}
	return f
}

// extremeWords says a width with its 95 % uncertainty.
func extremeWords(e model.Extreme, u Units) string {
	if e.WidthMM <= 0 {
		return "no chamfer at " + e.Clock
	}
	return u.Format(e.WidthMM, u.Decimals(model.Factor95*e.UMM)) + " " + plusMinus(u, model.Factor95*e.UMM) + " " + u.String()
}

func tiltWords(v model.View) string {
	// Of the two slopes' uncertainties, the one along the tilt.
	t := math.Hypot(v.SlopeX, v.SlopeY)
	su := math.Hypot(v.SlopeUX, v.SlopeUY) / math.Sqrt2
	if t > 0 {
		su = math.Hypot(v.SlopeX*v.SlopeUX, v.SlopeY*v.SlopeUY) / t
	}
	return fmt.Sprintf("%s ± %s, %s", Degrees(math.Atan(t), 2), Degrees(model.Factor95*su, 2), viewWords(v.How))
}

// scaleWords says the scale; it is as good as the bore diameter.
func scaleWords(r *model.Reading, u Units) string {
	scale, decimals := r.Camera.PxPerMM, 1
	pixel := plain(1000/scale, 1) + " µm"
	if u == Inch {
		pixel = plain(1000/25.4/scale, 3) + " thou"
		scale, decimals = 25.4*scale, 0
	}
	for _, l := range r.Budget {
		if l.Source == model.SourceBore && l.U > 0 && l.Unit == "mm" && r.Job.BoreMM > 0 {
			good := math.Max(model.Factor95*l.U/r.Job.BoreMM*scale, math.Pow10(-decimals))
			return fmt.Sprintf("%s ± %s px/%s, a pixel is %s", plain(scale, decimals), plain(good, decimals), u, pixel)
		}
	}
	return fmt.Sprintf("%s px/%s by the bore's diameter, a pixel is %s", plain(scale, decimals), u, pixel)
}

func viewWords(v model.ViewSource) string {
	switch v {
	case model.FromExitRim:
		return "from the exit rim"
	case model.FromFlattening:
		return "from the rims' flattening"
	case model.FromTurnSet:
		return "from the turn set"
	}
	return "assumed square"
}

func tracedWords(r *model.Reading) string {
	parts := []string{"outer edge " + Degrees(r.Outer.ArcRad, 0), "bore edge " + Degrees(r.Bore.ArcRad, 0)}
	if r.Exit != nil {
		parts = append(parts, "exit rim "+Degrees(r.Exit.ArcRad, 0))
	} else {
		parts = append(parts, "no exit rim")
	}
	return strings.Join(parts, ", ")
}

// CardLines is a job card in one line, for the chip above the photo: in full, then in
// fewer and fewer words.
func CardLines(j model.JobCard, u Units) []string {
	if j.BoreMM <= 0 {
		return []string{"Job card: type the bore diameter", "Job card: bore?", "Job card", "Card"}
	}
	zone := "within "
	if j.Zone == model.SquareZone {
		zone = "within square ± "
	}
	bore := "Bore " + u.Plain(j.BoreMM)
	return []string{CardLine(j, u), bore + " · " + zone + u.Plain(j.WithDefaults().ToleranceMM), bore, u.Plain(j.BoreMM), "Card"}
}

// CardLine is a job card with a bore in one line.
func CardLine(j model.JobCard, u Units) string {
	j = j.WithDefaults()
	s := "Bore " + u.Plain(j.BoreMM)
	if j.ChamferMM > 0 {
		s += " · chamfer " + strings.TrimSuffix(u.Plain(j.ChamferMM), " "+u.String()) + " × " + Degrees(j.HalfAngle, 0)
	}
	if j.ThicknessMM > 0 {
		s += " · " + u.Plain(j.ThicknessMM) + " thick"
	}
	zone := "within "
	if j.Zone == model.SquareZone {
		zone = "within square ± "
	}
	return s + " · " + zone + u.Plain(j.ToleranceMM)
}
