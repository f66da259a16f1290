package chart

import (
	"image/color"

	"evenrim/model"
)

// Style is the paper and ink that window, plots and reports share. Setup 1
// (bore edge) and setup 2 (outer edge) each own one accent and use it in every
// picture; nothing else does. Ink, Soft, Setup1, Setup2, Exit, Good, Bad and
// Doubt reach WCAG 2.1's 4.5:1 for text on Paper, Raised and Sunk (held by a
// test); Rule is for lines that must not be read.
type Style struct {
	Name string // "light", "dark" or "print"

	Paper  color.NRGBA // the ground
	Raised color.NRGBA // cards and plot areas on it
	Sunk   color.NRGBA // entry fields, empty trays
	Ink    color.NRGBA // text and axes
	Soft   color.NRGBA // captions, tick labels
	Rule   color.NRGBA // grid lines, borders

	Setup1 color.NRGBA // bore, bore edge, everything of setup 1
	Setup2 color.NRGBA // chamfer, outer edge, everything of setup 2
	Exit   color.NRGBA // exit rim

	// The verdict's colours always come with its word.
	Good  color.NRGBA // conforms
	Bad   color.NRGBA // does not conform
	Doubt color.NRGBA // undecided, warnings

	// TextScale multiplies every text size and mark; 0 counts as 1.
	TextScale float64
}

// The light palette: a page of a shop notebook by day.
var (
	LightPaper  = color.NRGBA{0xf6, 0xf2, 0xe8, 0xff}
	LightRaised = color.NRGBA{0xfd, 0xfb, 0xf5, 0xff}
	LightSunk   = color.NRGBA{0xeb, 0xe5, 0xd7, 0xff}
	LightInk    = color.NRGBA{0x23, 0x26, 0x2b, 0xff}
	LightSoft   = color.NRGBA{0x58, 0x59, 0x59, 0xff}
	LightRule   = color.NRGBA{0xd6, 0xce, 0xbd, 0xff}
	LightSetup1 = color.NRGBA{0x16, 0x4f, 0x8c, 0xff} // blue ink
	LightSetup2 = color.NRGBA{0xa6, 0x49, 0x06, 0xff} // rust pencil
	LightExit   = color.NRGBA{0x3c, 0x66, 0x5d, 0xff} // verdigris
	LightGood   = color.NRGBA{0x24, 0x68, 0x36, 0xff}
	LightBad    = color.NRGBA{0xa1, 0x1a, 0x36, 0xff}
	LightDoubt  = color.NRGBA{0x78, 0x57, 0x00, 0xff}
)

// The dark palette: the same page under a lamp.
var (
	DarkPaper  = color.NRGBA{0x1c, 0x1f, 0x23, 0xff}
	DarkRaised = color.NRGBA{0x26, 0x2a, 0x2f, 0xff}
	DarkSunk   = color.NRGBA{0x14, 0x16, 0x19, 0xff}
	DarkInk    = color.NRGBA{0xec, 0xe6, 0xd9, 0xff}
	DarkSoft   = color.NRGBA{0xab, 0xa8, 0x9f, 0xff}
	DarkRule   = color.NRGBA{0x42, 0x47, 0x4d, 0xff}
	DarkSetup1 = color.NRGBA{0x7c, 0xba, 0xf4, 0xff}
	DarkSetup2 = color.NRGBA{0xf4, 0xa2, 0x55, 0xff}
	DarkExit   = color.NRGBA{0x93, 0xc9, 0xb4, 0xff}
	DarkGood   = color.NRGBA{0x86, 0xcf, 0x90, 0xff}
	DarkBad    = color.NRGBA{0xff, 0x92, 0x98, 0xff}
	DarkDoubt  = color.NRGBA{0xe6, 0xc5, 0x60, 0xff}
)

// Lines over a photo need their own strength: metal is anything from black to
// white, so each is drawn on a thin dark halo.
var (
	PhotoSetup1 = color.NRGBA{0x5c, 0xb8, 0xff, 0xff}
	PhotoSetup2 = color.NRGBA{0xff, 0xa3, 0x3a, 0xff}
	PhotoExit   = color.NRGBA{0x9b, 0xe8, 0xc6, 0xff}
	PhotoHalo   = color.NRGBA{0x0b, 0x0d, 0x10, 0x8c}
)

// Light returns the light style.
func Light() Style {
	return Style{
		Name: "light", Paper: LightPaper, Raised: LightRaised, Sunk: LightSunk,
		Ink: LightInk, Soft: LightSoft, Rule: LightRule,
		Setup1: LightSetup1, Setup2: LightSetup2, Exit: LightExit,
		Good: LightGood, Bad: LightBad, Doubt: LightDoubt, TextScale: 1,
	}
}

// Dark returns the dark style.
func Dark() Style {
	return Style{
		Name: "dark", Paper: DarkPaper, Raised: DarkRaised, Sunk: DarkSunk,
		Ink: DarkInk, Soft: DarkSoft, Rule: DarkRule,
		Setup1: DarkSetup1, Setup2: DarkSetup2, Exit: DarkExit,
		Good: DarkGood, Bad: DarkBad, Doubt: DarkDoubt, TextScale: 1,
	}
}

// Print returns the light style on white paper: what is tinted there would
// only cost toner.
func Print() Style {
	s := Light()
	white := color.NRGBA{0xff, 0xff, 0xff, 0xff}
	s.Name, s.Paper, s.Raised = "print", white, white
	s.Sunk = color.NRGBA{0xf3, 0xf1, 0xec, 0xff}
	s.Ink = color.NRGBA{0x14, 0x16, 0x1a, 0xff}
	s.Soft = color.NRGBA{0x4e, 0x50, 0x53, 0xff}
	s.Rule = color.NRGBA{0xcf, 0xcc, 0xc5, 0xff}
	return s
}

// Scaled returns s with its text and marks k times as large.
func (s Style) Scaled(k float64) Style {
	s.TextScale = s.scale() * k
	return s
}

func (s Style) scale() float64 {
	if s.TextScale <= 0 {
		return 1
	}
	return s.TextScale
}

// Of is a verdict's colour; its word always stands beside it.
func (s Style) Of(v model.Verdict) color.NRGBA {
	switch v {
	case model.Conforms:
		return s.Good
	case model.DoesNotConform:
		return s.Bad
	}
	return s.Doubt
}

// alpha returns c with its opacity replaced, 0..1.
func alpha(c color.NRGBA, a float64) color.NRGBA {
	c.A = uint8(a*255 + 0.5)
	return c
}
