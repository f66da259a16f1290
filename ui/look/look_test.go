package look

import (
	"image/color"
	"math"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"
)

// contrast is WCAG 2.1's contrast ratio of two opaque colours.
func contrast(a, b color.NRGBA) float64 {
	lum := func(c color.NRGBA) float64 {
		lin := func(v uint8) float64 {
			s := float64(v) / 255
			if s <= 0.03928 {
				return s / 12.92
			}
			return math.Pow((s+0.055)/1.055, 2.4)
		}
		return 0.2126*lin(c.R) + 0.7152*lin(c.G) + 0.0722*lin(c.B)
	}
	la, lb := lum(a), lum(b)
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

// 4.5:1 is WCAG 2.1's AA level for text.
func TestWordsCanBeReadOnEveryGround(t *testing.T) {
	for name, p := range map[string]Palette{"day": Day, "night": Night} {
		for gn, g := range map[string]color.NRGBA{"paper": p.Paper, "margin": p.Margin, "raised": p.Raised, "wash1": p.Wash1, "wash2": p.Wash2, "grid": p.Grid} {
			for wn, w := range map[string]color.NRGBA{"ink": p.Ink, "soft": p.Soft} {
				if c := contrast(w, g); c < 4.5 {
					t.Errorf("%s: %s on %s has contrast %.2f, want 4.5", name, wn, gn, c)
				}
			}
		}
		for wn, w := range map[string]color.NRGBA{"setup1": p.Setup1, "setup2": p.Setup2, "good": p.Good, "bad": p.Bad, "doubt": p.Doubt} {
			if c := contrast(p.OnStamp, w); c < 4.5 {
				t.Errorf("%s: words on a stamp of %s have contrast %.2f, want 4.5", name, wn, c)
			}
			if c := contrast(w, p.Raised); c < 4.5 {
				t.Errorf("%s: %s on raised has contrast %.2f, want 4.5", name, wn, c)
			}
		}
	}
}

func TestEveryIconDrawsSomethingInBothLights(t *testing.T) {
	test.NewTempApp(t)
	files, err := iconFiles.ReadDir("icons")
	if err != nil || len(files) == 0 {
		t.Fatalf("no icons: %v", err)
	}
	for _, mode := range []Mode{AlwaysDay, AlwaysNight} {
		fyne.CurrentApp().Settings().SetTheme(&Theme{Mode: mode})
		for _, f := range files {
			icon := Icon(strings.TrimSuffix(f.Name(), ".svg"))
			for _, res := range []fyne.Resource{icon, icon.OnStamp()} {
				img := canvas.NewImageFromResource(res)
				w := test.NewTempWindow(t, img)
				w.SetPadded(false)
				w.Resize(fyne.NewSize(24, 24))
				got := w.Canvas().Capture()
				first, drawn := got.At(0, 0), 0
				for y := range 24 {
					for x := range 24 {
						if got.At(x, y) != first {
							drawn++
						}
					}
				}
				if drawn < 20 {
					t.Errorf("%s: only %d of 576 pixels drawn", res.Name(), drawn)
				}
			}
		}
	}
}

func TestTextScaleReachesAllText(t *testing.T) {
	test.NewTempApp(t)
	one, two := &Theme{}, &Theme{Scale: 2}
	for _, n := range []fyne.ThemeSizeName{theme.SizeNameText, theme.SizeNameCaptionText, theme.SizeNameHeadingText, theme.SizeNameSubHeadingText, theme.SizeNameInlineIcon} {
		if got, want := two.Size(n), 2*one.Size(n); got != want {
			t.Errorf("%s at 200 %%: got %g, want %g", n, got, want)
		}
	}
}

// The screen gives a line of text its height in whole pixels and begins it at the pixel
// above its top: what is left below the letters must hold the tails of g, p and y, which
// reach 0.211 of the size down in these fonts (432 of 2048: their own hhea tables).
func TestLettersKeepTheirTails(t *testing.T) {
	app := test.NewTempApp(t)
	app.Settings().SetTheme(&Theme{})
	for size := float32(10); size < 60; size += 0.25 {
		for _, style := range []fyne.TextStyle{{}, {Bold: true}, {Monospace: true}} {
			line, base := fyne.CurrentApp().Driver().RenderedTextSize("gpy", size, style, nil)
			room := math.Round(float64(line.Height)) - math.Ceil(float64(base))
			if lost := 0.211*float64(size) - room; lost > 0.5 {
				t.Errorf("at %g %+v: tails lose %.2f of a pixel", size, style, lost)
			}
		}
	}
}
