package photo

import (
	"math"
	"sync"

	"git.sr.ht/~sbinet/gg"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
)

// Faces are kept by size because making one costs more than drawing a word. A
// face serves one drawing at a time, hence the lock.
var lettering = struct {
	sync.Mutex
	medium, bold *sfnt.Font
	faces        map[faceKey]font.Face
}{medium: mustParse(gomedium.TTF), bold: mustParse(gobold.TTF), faces: map[faceKey]font.Face{}}

type faceKey struct {
	quarterPx int
	bold      bool
}

func mustParse(ttf []byte) *sfnt.Font {
	f, err := opentype.Parse(ttf)
	if err != nil {
		panic(err) // the font is part of the program
	}
	return f
}

// face returns a face of about px pixels per em; the lock must be held.
func face(px float64, bold bool) font.Face {
	key := faceKey{int(math.Round(px * 4)), bold}
	if f, ok := lettering.faces[key]; ok {
		return f
	}
	src := lettering.medium
	if bold {
		src = lettering.bold
	}
	f, err := opentype.NewFace(src, &opentype.FaceOptions{Size: max(float64(key.quarterPx)/4, 1), DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic(err) // only a size or DPI of zero
	}
	lettering.faces[key] = f
	return f
}

func measure(words string, px float64) (w, h float64) {
	lettering.Lock()
	defer lettering.Unlock()
	f := face(px, false)
	return float64(font.MeasureString(f, words)) / 64, px * 0.95
}

// label writes words in dc's colour centred on (x, y).
func label(dc *gg.Context, words string, x, y, px float64, bold bool) {
	lettering.Lock()
	defer lettering.Unlock()
	f := face(px, bold)
	dc.SetFontFace(f)
	w := float64(font.MeasureString(f, words)) / 64
	m := f.Metrics()
	capHeight := float64(m.CapHeight) / 64
	dc.DrawString(words, x-w/2, y+capHeight/2)
}
