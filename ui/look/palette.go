// Package look is the window's own dress: the paper and ink of a shop notebook,
// its two pencils, its lettering and its icons. Setup 1 is always the blue pencil
// and setup 2 always the orange one, in the photo, the strip, the map and the words.
package look

import (
	"image/color"

	"evenrim/model/chart"
)

// Palette is what the window's own widgets draw with: the style of the plots and
// reports, and a few grounds that only a window needs.
type Palette struct {
	chart.Style
	Dark bool

	Margin  color.NRGBA // behind the page: rail and bars
	Grid    color.NRGBA // the faint squares of the result sheet
	Wash1   color.NRGBA // setup 1's colour as a thin wash under words
	Wash2   color.NRGBA
	OnStamp color.NRGBA // words on Good, Bad, Doubt, Setup1, Setup2 as a ground
}

// Day is ink on warm paper.
var Day = palette(chart.Light(), false)

// Night is the same page by a low lamp: as warm as by day, which is the one
// thing that it doesn't take from the plots' dark style.
var Night = func() Palette {
	s := chart.Dark()
	s.Paper, s.Raised, s.Sunk = hex(0x211d19), hex(0x2b2621), hex(0x191613)
	s.Rule = hex(0x4c443a)
	return palette(s, true)
}()

func palette(s chart.Style, dark bool) Palette {
	p := Palette{Style: s, Dark: dark, Margin: s.Sunk, OnStamp: hex(0xfffaf0)}
	if dark {
		p.OnStamp = hex(0x1a1613)
	}
	p.Grid = blend(s.Raised, s.Rule, 0.30)
	p.Wash1 = blend(s.Raised, s.Setup1, 0.13)
	p.Wash2 = blend(s.Raised, s.Setup2, 0.13)
	return p
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

// blend is a with the share t of b mixed in, both opaque.
func blend(a, b color.NRGBA, t float64) color.NRGBA {
	mix := func(x, y uint8) uint8 { return uint8(float64(x)*(1-t) + float64(y)*t + 0.5) }
	return color.NRGBA{mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B), 0xff}
}
