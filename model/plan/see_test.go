package plan

import (
	"errors"
	"math"
	"testing"
)

func shopSee() See {
	return See{Eye: Eye{Person: "M.", Share: 0.08, Low: 0.06, High: 0.11}, Camera: Cameras[0], Light: EvenLight, ToleranceMM: 0.0254, BoreMM: 10}
}

// 8 % of a chamfer is 0.001 in on one that is 0.0125 in wide; with the interval's
// ends, 0.0091 to 0.0167 in.
func TestWhatTheEyeCatches(t *testing.T) {
	o, err := shopSee().Look()
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ got, inch float64 }{{o.EyeMostMM, 0.0125}, {o.EyeMostLowMM, 0.001 / 0.11}, {o.EyeMostHighMM, 0.001 / 0.06}} {
		if math.Abs(tt.got-tt.inch*25.4) > 1e-9 {
			t.Errorf("widest chamfer %.4f mm, want %.4f", tt.got, tt.inch*25.4)
		}
	}
	if !o.Fits || o.LeastMM < 0.0254*1.5-1e-9 || o.MostMM != o.EyeMostMM {
		t.Errorf("chamfers from %.4f to %.4f mm, fits %v", o.LeastMM, o.MostMM, o.Fits)
	}
	for i, row := range o.Table {
		for k, c := range row {
			if c.BoreMM != o.Bores[i] || c.WidthMM != o.Widths[k] {
				t.Fatalf("table out of order at %d, %d", i, k)
			}
			if c.Both() && (c.EyeMM > 0.0254 || c.CameraMM > 0.0254/2 || c.WidthMM <= 0.0254) {
				t.Errorf("bore %g, width %g is called good: %+v", c.BoreMM, c.WidthMM, c)
			}
		}
	}
}

// An inch shop's table has its own sizes, not the millimetre shop's in inches, and a bore
// that is one of them stands there once.
func TestTheTableHasTheSizesOfTheShop(t *testing.T) {
	s := shopSee()
	s.Inch, s.BoreMM = true, 0.375*25.4
	o, err := s.Look()
	if err != nil {
		t.Fatal(err)
	}
	for _, mm := range append(append([]float64{}, o.Bores...), o.Widths...) {
		if thou := mm / 0.0254; math.Abs(thou-math.Round(thou)) > 1e-6 {
			t.Errorf("%.4f mm is %.3f thou, a size of no inch shop", mm, thou)
		}
	}
	if len(o.Bores) != 7 || len(o.Table) != 7 {
		t.Errorf("3/8 in is one of the table's seven bores: %v", o.Bores)
	}
	s.BoreMM = 10
	if o, _ = s.Look(); len(o.Bores) != 8 {
		t.Errorf("10 mm is none of the inch table's seven bores: %v", o.Bores)
	}
}

func TestWidthsAreGradedByWhatShows(t *testing.T) {
	s := shopSee()
	for _, tt := range []struct {
		width    float64
		eye      Shows
		vanishes bool
	}{
		{0.02, Well, true},    // narrower than the tolerance: gone on one side
		{0.2, Well, false},    // 11 % of it is 0.022
		{0.3, Barely, false},  // 8 % is 0.024, 11 % is 0.033
		{0.32, No, false},     // 8 % is 0.0256
		{0.0254, Well, true},  // exactly the tolerance
		{0.0255, Well, false}, // and a hair more
	} {
		c := s.At(10, tt.width)
		if c.ByEye != tt.eye || c.Vanishes != tt.vanishes {
			t.Errorf("%g mm: by eye %v, vanishes %v; want %v, %v", tt.width, c.ByEye, c.Vanishes, tt.eye, tt.vanishes)
		}
	}
	// A larger hole takes more of the picture, so each pixel is larger.
	if a, b := s.At(10, 0.3), s.At(80, 0.3); !(b.CameraMM > a.CameraMM) {
		t.Errorf("camera %.4f mm on 10 mm and %.4f on 80 mm", a.CameraMM, b.CameraMM)
	}
	s.Eye.Share = 0
	var in *InputError
	if _, err := s.Look(); !errors.As(err, &in) || in.Field != "eye" {
		t.Errorf("an eye that catches nothing: %v", err)
	}
}
