package kit

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestWrapLosesNothingAndKeepsTheWidth(t *testing.T) {
	runes := func(s string) float32 { return float32(len([]rune(s))) }
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[a-zµ−]{0,30}( [a-zµ−]{1,12}){0,12}`).Draw(t, "text")
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
