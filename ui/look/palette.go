// Package look is the window's own dress: the paper and ink of a shop notebook,
// its two pencils, its lettering and its icons. Setup 1 is always the blue pencil
// and setup 2 always the orange one, in the photo, the strip, the map and the words.
package look

import "image/color"

// Palette is one set of colours. Each has a single meaning everywhere.
type Palette struct {
	Dark bool

	Paper   color.NRGBA // the page
	Margin  color.NRGBA // behind the page: rail, bars
	Slip    color.NRGBA // a slip of paper lying on the page: cards, fields
	Rule    color.NRGBA // ruled lines and borders
	Grid    color.NRGBA // the faint squares of the result sheet
	Ink     color.NRGBA // words and numbers
	Pencil  color.NRGBA // second words: labels, units, help
	Setup1  color.NRGBA // bore edge and all that belongs to setup 1
	Setup2  color.NRGBA // outer edge and all that belongs to setup 2
	Wash1   color.NRGBA // setup 1's colour as a thin wash behind words
	Wash2   color.NRGBA
	Good    color.NRGBA // conforms
	Bad     color.NRGBA // does not conform, refused
	Unsure  color.NRGBA // undecided, cautions
	OnStamp color.NRGBA // words on Good, Bad, Unsure, Setup1, Setup2 as a ground
}

// OnPhoto are the colours of lines over a photo, the same by day and night: a
// photo's own grey doesn't change with the window's.
var OnPhoto = struct{ Bore, Exit, Outer, Word, Shade, Help color.NRGBA }{
	Bore:  hex(0x4db1ff),
	Exit:  color.NRGBA{0xa9, 0xd8, 0xff, 0xb0},
	Outer: hex(0xff9a3d),
	Word:  hex(0xfffaf0),
	Shade: color.NRGBA{0x14, 0x11, 0x0e, 0xc8},
	Help:  hex(0xe85dff),
}

// Day is ink on warm paper.
var Day = Palette{
	Paper: hex(0xf5f0e6), Margin: hex(0xe6dece), Slip: hex(0xfdfaf3),
	Rule: hex(0xcfc4b0), Grid: hex(0xece5d6),
	Ink: hex(0x26221d), Pencil: hex(0x665d50),
	Setup1: hex(0x1d5d9f), Setup2: hex(0xb4500f),
	Wash1: hex(0xdfe8ee), Wash2: hex(0xf3e2d0),
	Good: hex(0x2a7148), Bad: hex(0xab1a3a), Unsure: hex(0x6a5a1c),
	OnStamp: hex(0xfffaf0),
}

// Night is the same page by a low lamp.
var Night = Palette{
	Dark:  true,
	Paper: hex(0x211d19), Margin: hex(0x171412), Slip: hex(0x2b2621),
	Rule: hex(0x4a4239), Grid: hex(0x29241f),
	Ink: hex(0xf1e9da), Pencil: hex(0xb3a794),
	Setup1: hex(0x7cbcf5), Setup2: hex(0xf5a25a),
	Wash1: hex(0x22303c), Wash2: hex(0x3d2d1f),
	Good: hex(0x79cf9b), Bad: hex(0xff8095), Unsure: hex(0xe0c96a),
	OnStamp: hex(0x1a1613),
}

// ForDark returns Night for true, else Day.
func ForDark(dark bool) Palette {
	if dark {
		return Night
	}
	return Day
}

func hex(rgb uint32) color.NRGBA {
	return color.NRGBA{uint8(rgb >> 16), uint8(rgb >> 8), uint8(rgb), 0xff}
}

// Fade returns c at the given share (0 to 1) of its opacity.
func Fade(c color.NRGBA, share float64) color.NRGBA {
	c.A = uint8(float64(c.A)*share + 0.5)
	return c
}
