package chart

import (
	"bytes"
	"image/png"
	"math"
	"testing"

	"gonum.org/v1/plot/vg"
)

// A sweep shows each of its points and hairs, and leaves a place without a reading out.
func TestSweepsAreDrawn(t *testing.T) {
	w := Sweep{Title: "Blur", XLabel: "px", Log: true, X: []float64{0.5, 1, 2},
		Lines: []SweepLine{{Name: "mismatch", Mean: []float64{0.01, math.NaN(), -0.3}, SE: []float64{0.01, math.NaN(), 0.05}}}}
	if m := w.most(); math.Abs(m-0.4) > 1e-12 {
		t.Errorf("range %g px, want 0.4: the largest error with its hair", m)
	}
	if m := (Sweep{}).most(); m != leastSweep {
		t.Errorf("range of nothing %g px, want %g", m, leastSweep)
	}
	draw := func(f SweepsFigure) []byte {
		var b bytes.Buffer
		if err := Write(&b, &f, 6*vg.Inch, 4*vg.Inch, PNG); err != nil {
			t.Fatal(err)
		}
		if _, err := png.Decode(bytes.NewReader(b.Bytes())); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	full := draw(SweepsFigure{Sweeps: []Sweep{w}, YLabel: "px", Style: Light()})
	w.Lines = nil
	if empty := draw(SweepsFigure{Sweeps: []Sweep{w}, YLabel: "px", Style: Light()}); bytes.Equal(full, empty) {
		t.Error("a sweep with points looks like one without")
	}
}
