package kit

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestWrapLosesNothingAndKeepsTheWidth(t *testing.T) {
	runes := func(s string) float32 { return float32(len([]rune(s))) }
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[a-zµ−]{0,30}([ \x{a0}]([a-zµ−]{1,12}|±|[0-9]{1,3}|mm)){0,12}`).Draw(t, "text")
		width := float32(rapid.IntRange(-3, 40).Draw(t, "width"))
		lines := Wrap(text, width, runes)
		for _, l := range lines {
			if runes(l) > max(width, 1) {
				t.Fatalf("line %q is wider than %g", l, width)
			}
		}
		strip := func(s string) string { return strings.Join(strings.Fields(s), "") }
		if got := strip(strings.Join(lines, "")); got != strip(text) {
			t.Fatalf("wrapped text reads %q, want %q", got, strip(text))
		}
	})
}

func TestWrapKeepsNumbersWithTheirUnits(t *testing.T) {
	runes := func(s string) float32 { return float32(len([]rune(s))) }
	for _, tt := range []struct {
		text  string
		width float32
		want  []string
	}{
		{"95 % below 0.019 mm.", 17, []string{"95 % below", "0.019 mm."}},
		{"Wanted: ± 0.0064 mm.", 11, []string{"Wanted:", "± 0.0064", "mm."}}, // the three don't fit together
		{"Wanted: ± 0.0064 mm.", 12, []string{"Wanted:", "± 0.0064 mm."}},
		{"0.0607\u00a0mm towards\u00a0+X", 14, []string{"0.0607\u00a0mm", "towards\u00a0+X"}},
		{"towards\u00a0+X", 8, []string{"towards", "+X"}},
		{"Widest at 6 o'clock.", 12, []string{"Widest at", "6 o'clock."}},
		{"put it in the vise", 7, []string{"put it", "in the", "vise"}},
	} {
		if got := Wrap(tt.text, tt.width, runes); !slices.Equal(got, tt.want) {
			t.Errorf("Wrap(%q, %g) = %q, want %q", tt.text, tt.width, got, tt.want)
		}
	}
}
