package chart

import (
	"fmt"

	stdfont "golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
)

// The Go typeface (golang.org/x/image, BSD licence) tells 1, l and I, 0 and O
// apart, has figures of one width and the signs of the trade (± ° ² µ −).
const (
	sans font.Variant = "Sans"
	mono font.Variant = "Mono"
)

// faceData are the font files by the font's name, for the page writer.
var faceData = map[string][]byte{}

// letters lays out text in the Go typeface.
var letters = text.Plain{Fonts: goFonts()}

func goFonts() *font.Cache {
	var faces font.Collection
	for _, f := range []struct {
		font.Font
		ttf []byte
	}{
		{font.Font{Typeface: "Go", Variant: sans}, goregular.TTF},
		{font.Font{Typeface: "Go", Variant: sans, Weight: stdfont.WeightBold}, gobold.TTF},
		{font.Font{Typeface: "Go", Variant: sans, Style: stdfont.StyleItalic}, goitalic.TTF},
		{font.Font{Typeface: "Go", Variant: mono}, gomono.TTF},
	} {
		parsed, err := opentype.Parse(f.ttf)
		if err != nil { // compiled in: cannot happen outside of a broken build
			panic(fmt.Errorf("chart: font %s: %w", f.Name(), err))
		}
		faces = append(faces, font.Face{Font: f.Font, Face: parsed})
		faceData[f.Name()] = f.ttf
	}
	return font.NewCache(faces)
}

// Letter is a way to set text; its zero value is the regular sans.
type Letter int

const (
	Regular Letter = iota
	Bold
	Italic
	Mono
)

func (l Letter) font(size vg.Length) font.Font {
	f := font.Font{Typeface: "Go", Variant: sans, Size: size}
	switch l {
	case Bold:
		f.Weight = stdfont.WeightBold
	case Italic:
		f.Style = stdfont.StyleItalic
	case Mono:
		f.Variant = mono
	}
	return f
}
