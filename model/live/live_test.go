package live

import (
	"strings"
	"testing"
	"time"

	"evenrim/model"
)

// good is a picture with nothing to complain about.
func good() Facts {
	return Facts{Width: 1920, Height: 1080, Level: [3]float64{0.5, 0.5, 0.5}, Hole: &model.Circle{X: 960, Y: 540, R: 400},
		UmPerPx: 15, WidthMM: 0.25, BlurPx: 1.1, ShakePx: 0.3, Exit: true}
}

func TestTheHintMostNeededComesFirst(t *testing.T) {
	for _, tt := range []struct {
		name string
		edit func(*Facts)
		kind HintKind
		want string // part of the first hint; "" = none
	}{
		{"nothing wrong", func(*Facts) {}, "", ""},
		{"dark left", func(f *Facts) { f.Level[left] = 0.05 }, HintLight, "Too dark on the left third"},
		{"dark left of the middle", func(f *Facts) { f.Level[left], f.Level[mid] = 0.05, 0.1 }, HintLight, "left two thirds"},
		{"bright right", func(f *Facts) { f.Clipped[right] = 0.2 }, HintLight, "Too bright on the right third"},
		{"dark everywhere", func(f *Facts) { f.Level = [3]float64{} }, HintLight, "Too dark everywhere"},
		{"soft", func(f *Facts) { f.BlurPx = 4 }, HintFocus, "the edges are 3 times too soft"},
		{"far", func(f *Facts) { f.UmPerPx, f.Hole.R = 38, 158 }, HintPlace, "Move closer, until the hole looks 2.3 times as wide"},
		{"near", func(f *Facts) { f.Hole.R = 500 }, HintPlace, "Move back"},
		{"aside", func(f *Facts) { f.Hole.X -= 300 }, HintPlace, "it lies to the left"},
		{"moving", func(f *Facts) { f.ShakePx = 9 }, HintMotion, "Hold still"},
		{"leaning", func(f *Facts) { f.Slope = model.Vec{Y: -0.12} }, HintView, "7 degrees to the top"},
		{"no paper", func(f *Facts) { f.Exit = false }, HintView, "white paper"},
		{"no bore", func(f *Facts) { f.NoBore = true }, HintCard, "bore diameter"},
	} {
		f := good()
		tt.edit(&f)
		h := Hints(f)
		switch {
		case tt.want == "" && len(h) > 0:
			t.Errorf("%s: %v, want no hint", tt.name, h)
		case tt.want != "" && (len(h) == 0 || h[0].Kind != tt.kind || !strings.Contains(h[0].Words, tt.want)):
			t.Errorf("%s: %v, want %q first", tt.name, h, tt.want)
		}
	}
	bad := Facts{Width: 1920, Height: 1080, Hole: &model.Circle{X: 300, Y: 540, R: 200}, BlurPx: 6, ShakePx: 20, NoBore: true}
	if h := Hints(bad); len(h) != mostHints || h[0].Kind != HintCard {
		t.Errorf("with all wrong at once: %v, want %d, the card first", h, mostHints)
	}
}

// One wild picture doesn't move the number, and many pictures don't make it surer.
func TestOneWildPictureDoesNotMoveTheMiddle(t *testing.T) {
	var m Middle
	for i, x := range []float64{0.010, 0.011, 0.500, 0.009, 0.010} {
		m.Add(time.Duration(i)*33*time.Millisecond, &model.Reading{Mismatch: model.Vec{X: x}, U95MM: 0.003,
			Cov: model.Sym2{XX: 1e-6, YY: 1e-6}, Job: model.JobCard{BoreMM: 8}.WithDefaults()})
	}
	e := m.Value(140 * time.Millisecond)
	if e == nil || e.Mismatch.X != 0.010 || e.U95MM != 0.003 || e.Readings != 5 {
		t.Fatalf("estimate %+v, want 0.010 +/- 0.003 of 5", e)
	}
	if e.Verdict != model.Conforms {
		t.Errorf("verdict %q, want conforms", e.Verdict)
	}
	if e := m.Value(2 * time.Second); e != nil {
		t.Errorf("after two seconds without a picture: %+v, want none", e)
	}
}
