package model

import (
	"errors"
	"math"
	"testing"
)

var (
	ggsC6  = []Vec{{1, 7}, {2, 6}, {5, 8}, {7, 7}, {9, 5}, {3, 7}}
	ggsE8a = []Vec{{1, 7}, {2, 6}, {5, 8}, {7, 7}, {9, 5}, {6, 7}, {3, 2}, {8, 4}}
	ggsE8b = []Vec{{1, 7}, {2, 6}, {5, 8}, {7, 7}, {9, 5}, {3, 7}, {6, 2}, {8, 4}}
	odr20  = zip(
		[]float64{.5, 1.2, 1.6, 1.86, 2.12, 2.36, 2.44, 2.36, 2.06, 1.74, 1.34, .9, -.28, -.78, -1.36, -1.9, -2.5, -2.88, -3.18, -3.44},
		[]float64{-.12, -.6, -1, -1.4, -2.54, -3.36, -4, -4.75, -5.25, -5.64, -5.97, -6.32, -6.44, -6.44, -6.41, -6.25, -5.88, -5.5, -5.24, -4.86})
)

func zip(x, y []float64) []Vec {
	out := make([]Vec, len(x))
	for i := range x {
		out[i] = Vec{x[i], y[i]}
	}
	return out
}

func TestFitCircleAgreesWithPublishedFits(t *testing.T) {
	for _, tt := range []struct {
		name, source string
		in           []Vec
		want         Circle
		tol          float64
	}{
		{"six points, geometric", "Gander, Golub & Strebel 1994, recomputed with SciPy 1.10 least_squares", ggsC6,
			Circle{4.7397824, 2.9835327, 4.7142260}, 5e-7},
		{"far from the origin", "translation of the above", shift(ggsC6, Vec{1e6, -1e6}),
			Circle{1e6 + 4.7397824, -1e6 + 2.9835327, 4.7142260}, 2e-6},
		{"exact, around (500, 500)", "scikit-image test_fit.py, r = 1", []Vec{{501, 500}, {500, 501}, {499, 500}, {500, 499}},
			Circle{500, 500, 1}, 1e-9},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := FitCircle(tt.in)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(got.X-tt.want.X) > tt.tol || math.Abs(got.Y-tt.want.Y) > tt.tol || math.Abs(got.R-tt.want.R) > tt.tol {
				t.Errorf("%s: got %+v, want %+v within %g", tt.source, got, tt.want, tt.tol)
			}
		})
	}
}

func TestAlgebraicCircleIsKasas(t *testing.T) {
	// scikit-image 0.19 CircleModel on the same points: the true minimum of
	// Kåsa's objective.
	got, err := algebraicCircle(ggsC6)
	if err != nil {
		t.Fatal(err)
	}
	want := Circle{4.742331, 3.835123, 4.108762}
	if math.Abs(got.X-want.X) > 5e-7 || math.Abs(got.Y-want.Y) > 5e-7 || math.Abs(got.R-want.R) > 5e-7 {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

func TestFitCircleRefusesDegeneratePoints(t *testing.T) {
	for name, in := range map[string][]Vec{
		"none": nil, "two": {{0, 0}, {1, 1}}, "one place": {{1, 1}, {1, 1}, {1, 1}}, "collinear": {{0, 0}, {1, 1}, {2, 2}, {3, 3}},
	} {
		if _, err := FitCircle(in); !errors.Is(err, ErrDegenerate) {
			t.Errorf("%s: got %v, want ErrDegenerate", name, err)
		}
		if _, _, err := fitEllipse(in); !errors.Is(err, ErrDegenerate) {
			t.Errorf("ellipse, %s: got %v, want ErrDegenerate", name, err)
		}
	}
}

func TestFitEllipseAgreesWithPublishedFits(t *testing.T) {
	for _, tt := range []struct {
		name, source string
		in           []Vec
		want         Ellipse
		rss          float64
		tol          float64
	}{
		{"eight points, set b", "Gander, Golub & Strebel 1994 eq. 3.7; conicfit demo of Chernov 2014", ggsE8b, Ellipse{2.69961, 3.81596, 6.51872, 3.03189, .359624}, 1.37330554, 2e-5},
		{"eight points, set a", "Gander, Golub & Strebel 1994 eq. 3.6, recomputed with SciPy", ggsE8a, Ellipse{3.53260, 4.62307, 5.58854, 2.49072, .207395}, 1.45188419, 2e-5},
		{"twenty points", "ODRPACK User's Guide, implicit example; scipy odr test_implicit, relative 1e-6", odr20, Ellipse{-0.99938092, -2.93104847, 3.864225, 3.156638, -0.903591}, .0882471, 5e-6},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, rss, err := fitEllipse(tt.in)
			if err != nil {
				t.Fatal(err)
			}
			g := [5]float64{got.X, got.Y, got.A, got.B, got.Angle}
			for i, w := range [5]float64{tt.want.X, tt.want.Y, tt.want.A, tt.want.B, tt.want.Angle} {
				if math.Abs(g[i]-w) > tt.tol {
					t.Errorf("%s: got %+v, want %+v within %g", tt.source, got, tt.want, tt.tol)
					break
				}
			}
			if math.Abs(rss-tt.rss) > 5e-7 {
				t.Errorf("%s: sum of squares %.8f, want %.8f", tt.source, rss, tt.rss)
			}
		})
	}
}

func TestFitEllipseDirectAgreesWithOpenCVAndScikitImage(t *testing.T) {
	for _, tt := range []struct {
		name string
		in   []Vec
		want Ellipse
	}{ // cv2.fitEllipseDirect 4.6 and skimage.measure.EllipseModel 0.19 agree to these digits
		{"set b", ggsE8b, Ellipse{5.063878, 5.069753, 3.775664, 2.642334, 2.755473 - math.Pi}},
		{"set a", ggsE8a, Ellipse{4.636097, 4.798485, 3.909985, 2.955998, 2.980912 - math.Pi}},
		{"twenty points", odr20, Ellipse{-.934967, -2.991592, 3.765457, 3.152097, math.NaN()}},
	} {
		got, err := FitEllipseDirect(tt.in)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.X-tt.want.X) > 1e-6 || math.Abs(got.Y-tt.want.Y) > 1e-6 || math.Abs(got.A-tt.want.A) > 1e-6 || math.Abs(got.B-tt.want.B) > 1e-6 ||
			math.Abs(got.Angle-tt.want.Angle) > 1e-6 { // NaN: not published
			t.Errorf("%s: got %+v, want %+v", tt.name, got, tt.want)
		}
	}
}

func shift(p []Vec, by Vec) []Vec {
	out := make([]Vec, len(p))
	for i, v := range p {
		out[i] = v.Add(by)
	}
	return out
}
