package practice

import (
	"fmt"
	"math"
	"strings"

	"evenrim/model"
	"evenrim/model/chart"
)

// Answer is what a person said about a photo.
type Answer struct {
	Even    bool    // the same width all round; WideRad and SizeMM don't count then
	WideRad float64 // where it is wide in the photo, rad on the screen as in Key.ScreenRad
	SizeMM  float64 // the mismatch
	Verdict model.Verdict
	Cause   Cause
}

// Part is one of the four questions.
type Part string

const (
	Where  Part = "where"
	Size   Part = "size"
	Judged Part = "verdict"
	Why    Part = "cause"
)

// weights of the questions in a mark.
var weights = map[Part]float64{Where: 0.3, Size: 0.3, Judged: 0.2, Why: 0.2}

// PartMark is the mark of one question.
type PartMark struct {
	Part  Part
	Score float64 // 0..1
	Words string  // what was said, what is so, and what tells it
}

// Mark is how good an answer was.
type Mark struct {
	Score float64 // 0..1
	Parts []PartMark
}

// What a good eye does: within half an hour of the clock and a quarter of the
// size it gets everything, at two and a half hours or three times the size nothing.
// Judgements, no source.
const (
	hourRad             = math.Pi / 6
	whereFull, whereNil = 0.5 * hourRad, 2.5 * hourRad
	sizeFull, sizeNil   = 1.25, 3.0
)

// MarkOf compares an answer with the key; lengths in the words are in u.
func MarkOf(k Key, a Answer, u chart.Unit) Mark {
	var m Mark
	add := func(p Part, score float64, words string) {
		m.Parts = append(m.Parts, PartMark{p, score, words})
	}
	add(Where, scoreWhere(k, a), whereWords(k, a))
	add(Size, scoreSize(k, a), sizeWords(k, a, u))
	add(Judged, scoreVerdict(k, a), verdictWords(k, a))
	if k.Cause != "" {
		add(Why, scoreCause(k, a), causeMarkWords(k, a))
	}
	var sum, all float64
	for _, p := range m.Parts {
		sum += weights[p.Part] * p.Score
		all += weights[p.Part]
	}
	m.Score = sum / all
	return m
}

// apartRad is the angle between two directions, 0..pi.
func apartRad(a, b float64) float64 { return math.Abs(math.Remainder(a-b, 2*math.Pi)) }

// fade is 1 up to full, 0 from none, straight between.
func fade(x, full, none float64) float64 { return min(max((none-x)/(none-full), 0), 1) }

func scoreWhere(k Key, a Answer) float64 {
	if k.Even || a.Even {
		if k.Even && a.Even {
			return 1
		}
		return 0
	}
	return fade(apartRad(k.ScreenRad, a.WideRad), whereFull, whereNil)
}

func whereWords(k Key, a Answer) string {
	switch {
	case k.Even && a.Even:
		return "Right: it is even all round."
	case k.Even:
		return fmt.Sprintf("You saw it wide at %s; it is even all round.", model.Clock(a.WideRad))
	case a.Even:
		return fmt.Sprintf("You saw it even; it is wide at %s and narrow right opposite.", model.Clock(k.ScreenRad))
	}
	off := apartRad(k.ScreenRad, a.WideRad) / hourRad
	if off <= 0.5 {
		return fmt.Sprintf("Right: wide at %s.", model.Clock(k.ScreenRad))
	}
	return fmt.Sprintf("You said %s; it is wide at %s, %s off.", model.Clock(a.WideRad), model.Clock(k.ScreenRad), hours(off))
}

func hours(h float64) string {
	h = math.Round(2*h) / 2
	switch h {
	case 0.5:
		return "half an hour"
	case 1:
		return "an hour"
	}
	return fmt.Sprintf("%g hours", h)
}

// said is the mismatch that the answer means, mm.
func (a Answer) said() float64 {
	if a.Even {
		return 0
	}
	return a.SizeMM
}

func scoreSize(k Key, a Answer) float64 {
	is, said := k.Mismatch.Norm(), a.said()
	// Nobody can be asked for less than the key is sure of, or than 3 % of the width.
	if slack := math.Max(k.U95MM, 0.03*math.Abs(k.WidthMM)); math.Abs(is-said) <= slack {
		return 1
	}
	if is <= 0 || said <= 0 {
		return 0
	}
	return fade(math.Abs(math.Log(said/is)), math.Log(sizeFull), math.Log(sizeNil))
}

// Small writes a small length as a shop says it, in thou or µm, with the decimals
// that a step it is set or known to deserves.
func Small(mm, stepMM float64, u chart.Unit) string {
	v, unit, d := small(mm, stepMM, u)
	return chart.MM.Format(v, d) + " " + unit
}

func small(mm, stepMM float64, u chart.Unit) (v float64, unit string, decimals int) {
	k, unit := 1000.0, "µm"
	if u == chart.Inch {
		k, unit = 1000/model.MMPerInch, "thou"
	}
	for step := stepMM * k; step < 1 && decimals < 2; decimals++ {
		step *= 10
	}
	return mm * k, unit, decimals
}

// Length writes the key's mismatch with its uncertainty.
func (k Key) Length(u chart.Unit) string {
	mm := k.Mismatch.Norm()
	if k.U95MM <= 0 {
		return Small(mm, math.Abs(k.WidthMM)/50, u) + " (exact, because drawn)"
	}
	v, unit, d := small(mm, k.U95MM/3, u)
	u95, _, _ := small(k.U95MM, 1, u)
	return chart.MM.Format(v, d) + " ± " + chart.MM.FormatU(u95, d) + " " + unit
}

func sizeWords(k Key, a Answer, u chart.Unit) string {
	said := "You saw none"
	if !a.Even {
		said = "You said " + Small(a.SizeMM, math.Abs(k.WidthMM)/50, u)
	}
	share := ""
	if k.WidthMM > 0 && !k.Even {
		share = fmt.Sprintf(", %.0f %% of the chamfer", 100*k.Mismatch.Norm()/k.WidthMM)
	}
	return fmt.Sprintf("%s; the mismatch is %s%s.", said, k.Length(u), share)
}

// scoreVerdict gives half for "cannot tell": true of most photos by eye, but no help.
func scoreVerdict(k Key, a Answer) float64 {
	switch {
	case a.Verdict == k.Verdict:
		return 1
	case a.Verdict == model.Undecided || k.Verdict == model.Undecided:
		return 0.5
	}
	return 0
}

func verdictWords(k Key, a Answer) string {
	switch {
	case a.Verdict == k.Verdict:
		return "Right: " + verdictText(k.Verdict) + "."
	case a.Verdict == model.Undecided:
		return "You couldn't tell; it " + verdictText(k.Verdict) + "."
	case k.Verdict == model.Undecided:
		return "The reading itself cannot decide: the limit lies inside its uncertainty."
	}
	return "You said it " + verdictText(a.Verdict) + "; it " + verdictText(k.Verdict) + "."
}

func verdictText(v model.Verdict) string {
	if v == model.Undecided {
		return "undecided"
	}
	return string(v)
}

func scoreCause(k Key, a Answer) float64 {
	if a.Cause == k.Cause {
		return 1
	}
	return 0
}

func causeMarkWords(k Key, a Answer) string {
	if a.Cause == k.Cause {
		return "Right: " + lower(k.Cause.Words()) + ". " + k.Cause.Sign()
	}
	return fmt.Sprintf("You said: %s. It is: %s. %s", lower(a.Cause.Words()), lower(k.Cause.Words()), k.Cause.Sign())
}

// lower takes the capital off a sentence's start.
func lower(s string) string {
	if s == "" {
		return "nothing"
	}
	return string(s[0]|0x20) + s[1:]
}

// OnDrawing writes a length with the decimals a drawing has.
func OnDrawing(mm float64, u chart.Unit) string {
	// Four in mm as well: 0.001 in is 0.0254 mm, and 0.025 would be another tolerance.
	return strings.TrimSuffix(strings.TrimRight(u.Format(mm, 4), "0"), ".") + " " + u.String()
}
