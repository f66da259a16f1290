package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

// The window opens as it was left, never larger than the screen and never smaller than its
// pages need.
func TestTheWindowFitsTheScreen(t *testing.T) {
	for _, tt := range []struct{ left, screen, want fyne.Size }{
		{fyne.Size{}, fyne.Size{}, fyne.NewSize(1440, 900)},
		{fyne.Size{}, fyne.NewSize(1024, 700), fyne.NewSize(1024, 700)},
		{fyne.Size{}, fyne.NewSize(1366, 768), fyne.NewSize(1366, 768)},
		{fyne.Size{}, fyne.NewSize(800, 600), fyne.NewSize(minWidth, minHeight)},
		{fyne.NewSize(2400, 1300), fyne.NewSize(1440, 900), fyne.NewSize(1440, 900)},
		{fyne.NewSize(1200, 800), fyne.NewSize(2560, 1440), fyne.NewSize(1200, 800)},
	} {
		p := test.NewTempApp(t).Preferences()
		if tt.left.Width > 0 {
			p.SetFloat(widthPref, float64(tt.left.Width))
			p.SetFloat(heightPref, float64(tt.left.Height))
		}
		if got := firstSize(p, tt.screen); got != tt.want {
			t.Errorf("left at %v, on a screen of %v: opens at %v, want %v", tt.left, tt.screen, got, tt.want)
		}
	}
}
