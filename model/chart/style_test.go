package chart

import (
	"image/color"
	"math"
	"testing"
)

// contrast is the ratio of W3C WCAG 2.1 ("contrast ratio", "relative
// luminance"): (L1 + 0.05) / (L2 + 0.05).
func contrast(a, b color.NRGBA) float64 {
	la, lb := luminance(a), luminance(b)
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

func luminance(c color.NRGBA) float64 {
	lin := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.03928 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*lin(c.R) + 0.7152*lin(c.G) + 0.0722*lin(c.B)
}

func TestContrastOfKnownPairs(t *testing.T) {
	white := color.NRGBA{255, 255, 255, 255}
	// WCAG 2.1: black on white is 21:1 by definition. #767676 on white = 4.54 is
	// the lightest passing grey (from memory, agrees with the formula).
	for _, c := range []struct {
		c    color.NRGBA
		want float64
	}{{color.NRGBA{0, 0, 0, 255}, 21}, {color.NRGBA{0x76, 0x76, 0x76, 255}, 4.54}} {
		if got := contrast(c.c, white); math.Abs(got-c.want) > 0.005 {
			t.Errorf("contrast(%v, white) = %.3f, want %.2f within 0.005", c.c, got, c.want)
		}
	}
}

func TestTextReachesContrast(t *testing.T) {
	for _, s := range []Style{Light(), Dark(), Print()} {
		text := map[string]color.NRGBA{
			"ink": s.Ink, "soft": s.Soft, "setup1": s.Setup1, "setup2": s.Setup2,
			"exit": s.Exit, "good": s.Good, "bad": s.Bad, "doubt": s.Doubt,
		}
		ground := map[string]color.NRGBA{"paper": s.Paper, "raised": s.Raised, "sunk": s.Sunk}
		for tn, tc := range text {
			for gn, gc := range ground {
				if got := contrast(tc, gc); got < 4.5 {
					t.Errorf("%s: %s on %s has contrast %.2f, want >= 4.5 (WCAG 2.1 AA, text)", s.Name, tn, gn, got)
				}
			}
		}
	}
}

// The two setups must differ in grey print too, at least from the ink; dashes
// and markers do the rest.
func TestAccentsOnPhotoStandOutOfHalo(t *testing.T) {
	halo := PhotoHalo
	halo.A = 255
	for n, c := range map[string]color.NRGBA{"setup1": PhotoSetup1, "setup2": PhotoSetup2, "exit": PhotoExit} {
		if got := contrast(c, halo); got < 7 {
			t.Errorf("%s on the halo has contrast %.2f, want >= 7", n, got)
		}
	}
}
