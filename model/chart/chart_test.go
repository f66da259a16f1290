package chart

import (
	"bytes"
	"encoding/xml"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"strings"
	"sync"
	"testing"

	"evenrim/model"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/recorder"
	"pgregory.net/rapid"
)

// sample is a reading with all that the pictures use: a 5 mm bore, a 0.4 mm
// chamfer, seen a little from the side.
func sample(d model.Vec) *model.Reading {
	r := &model.Reading{
		Photo:    model.Photo{Name: "x.png", WidthPx: 700, HeightPx: 600},
		Job:      model.JobCard{BoreMM: 5, ChamferMM: 0.4, ThicknessMM: 6, PlusX: 0.4}.WithDefaults(),
		Mismatch: d, Cov: model.Sym2{XX: 1e-6, XY: 2e-7, YY: 8e-7}, WidthMM: 0.4, WidthUMM: 0.001,
		Camera: model.Camera{CX: 349.5, CY: 299.5, U0: 340, V0: 310, PxPerMM: 80, SlopeX: 0.02, PlusX: 0.4},
		View:   model.View{How: model.FromExitRim},
	}
	major, _, _ := r.Cov.Eigen()
	r.U95MM = factor95 * math.Sqrt(major)
	s := r.Solid()
	for i := range 90 {
		a := 2 * math.Pi * float64(i) / 90
		r.Curve = append(r.Curve, model.CurvePoint{AngleRad: a, WidthMM: s.WidthAt(a) + 0.002*math.Sin(float64(7*i)), SigmaMM: 0.002, FitMM: s.WidthAt(a), Used: i%15 != 0})
	}
	return r
}

func gradient(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, color.RGBA{uint8(60 + 60*x/w), uint8(60 + 60*y/h), 90, 255})
		}
	}
	return img
}

func everyFigure() map[string]Figure {
	r, s := sample(model.Vec{X: 0.05, Y: -0.02}), Light()
	vanished := sample(model.Vec{X: 0.6})
	src := gradient(700, 600)
	zone := Zone{ToleranceMM: 0.0254}
	return map[string]Figure{
		"map":            TargetMap([]MapPoint{ReadingPoint(r)}, zone, MapOptions{Style: s}),
		"map inch":       TargetMap([]MapPoint{ReadingPoint(r)}, zone, MapOptions{Style: s, Unit: Inch, Title: "t"}),
		"map empty":      TargetMap(nil, Zone{}, MapOptions{Style: s}),
		"map of zero":    TargetMap([]MapPoint{{}}, Zone{ToleranceMM: 0.01, Shape: model.SquareZone}, MapOptions{Style: Dark()}),
		"map of two":     TargetMap([]MapPoint{{At: model.Vec{X: 0.01}, Label: "a"}, {At: model.Vec{X: math.NaN()}, Group: 1, Out: true}}, zone, MapOptions{Style: s, Groups: []string{"a", "b"}, Clouds: []MapCloud{{Cov: model.Sym2{XX: 1e-4, YY: 1e-4}, Label: "c", Group: 1}}}),
		"curve":          WidthCurve(r, CurveOptions{Style: s, Title: "t"}),
		"curve vanished": WidthCurve(vanished, CurveOptions{Style: s}),
		"curve of none":  WidthCurve(&model.Reading{}, CurveOptions{Style: s}),
		"rim":            &RimFigure{Src: src, Reading: r, Style: s, Points: true},
		"rim vanished":   &RimFigure{Src: src, Reading: vanished, Style: s, Unit: Inch, Title: "t"},
		"rim no photo":   &RimFigure{Reading: r, Style: s},
		"strip":          &StripFigure{src, r, StripOptions{Style: s, Lines: true, Points: true, Clock: true}},
		"photo":          &PhotoFigure{Src: src, Reading: r, Style: s, Words: true},
		"photo close":    &PhotoFigure{Src: src, Reading: vanished, Style: s, Unit: Inch, Close: true, Words: true},
		"photo refused":  &PhotoFigure{Src: src, Style: s, Places: []model.Circle{{X: 100, Y: 100, R: 30}}},
		"no photo":       &PhotoFigure{Style: s},
		"run":            RunChart(Run{Values: []float64{1, math.NaN(), 3}, U95: []float64{.1, .1, .1}, Centre: []float64{2}, Lower: []float64{0, 0, 0}, Upper: []float64{4}, Out: []bool{true}, Groups: []int{0, 1, 7}, Breaks: []int{2}, Labels: []string{"a"}}, s),
		"run empty":      RunChart(Run{}, s),
		"run flat":       RunChart(Run{Values: []float64{5, 5}}, s),
	}
}

func TestRenderIsTightAndRepeatable(t *testing.T) {
	for name, f := range everyFigure() {
		for _, size := range []image.Point{{400, 300}, {120, 40}, {60, 20}, {20, 60}, {33, 33}, {1, 1}} {
			img := Render(f, size.X, size.Y, 96)
			if want := (image.Rectangle{Max: size}); img.Rect != want || img.Stride != 4*size.X {
				t.Errorf("%s: picture %v, stride %d, want %v tight", name, img.Rect, img.Stride, want)
			}
			if !img.Opaque() {
				t.Errorf("%s at %v: the picture has holes", name, size)
			}
			if !bytes.Equal(img.Pix, Render(f, size.X, size.Y, 96).Pix) {
				t.Errorf("%s at %v: the same figure came out differently", name, size)
			}
		}
	}
}

func TestFiguresAreWrittenTheSameTwice(t *testing.T) {
	for name, f := range everyFigure() {
		for _, format := range []Format{PNG, SVG, PDF} {
			var a, b bytes.Buffer
			for _, out := range []*bytes.Buffer{&a, &b} {
				if err := Write(out, f, 8*vg.Centimeter, 6*vg.Centimeter, format); err != nil {
					t.Fatalf("%s as %s: %v", name, format, err)
				}
			}
			if !bytes.Equal(a.Bytes(), b.Bytes()) {
				t.Errorf("%s as %s: two writes differ", name, format)
			}
			switch format {
			case PNG:
				img, err := png.Decode(&a)
				if err != nil {
					t.Fatalf("%s: %v", name, err)
				}
				// 80 mm and 60 mm at 200 dots an inch.
				if got, want := img.Bounds().Size(), (image.Point{630, 472}); got != want {
					t.Errorf("%s: PNG is %v, want %v", name, got, want)
				}
			case SVG:
				d := xml.NewDecoder(&a)
				for {
					if _, err := d.Token(); err == io.EOF {
						break
					} else if err != nil {
						t.Fatalf("%s: SVG is not well formed: %v", name, err)
					}
				}
			case PDF:
				if !bytes.HasPrefix(a.Bytes(), []byte("%PDF-1.")) || !bytes.Contains(a.Bytes(), []byte("%%EOF")) {
					t.Errorf("%s: not a PDF", name)
				}
			}
		}
	}
	if err := Write(io.Discard, everyFigure()["map"], 1, 1, "gif"); err == nil {
		t.Error("an unknown format was taken")
	}
}

func TestTargetMapHasEqualAxes(t *testing.T) {
	for _, size := range [][2]vg.Length{{300, 300}, {600, 200}, {150, 500}} {
		f := TargetMap([]MapPoint{ReadingPoint(sample(model.Vec{X: 0.03}))}, Zone{ToleranceMM: 0.02}, MapOptions{Style: Light()})
		var rec recorder.Canvas
		c := f.inset(draw.NewCanvas(&rec, size[0], size[1]))
		p := f.fitted(c)
		data := p.DataCanvas(c).Size()
		x, y := (p.X.Max-p.X.Min)/float64(data.X), (p.Y.Max-p.Y.Min)/float64(data.Y)
		if math.Abs(x/y-1) > 0.01 {
			t.Errorf("%v: a point is %.5g mm across and %.5g mm up, want equal within 1 %%", size, x, y)
		}
		if p.X.Max < 0.03 || p.Y.Max < 0.02 {
			t.Errorf("%v: the range shrank to X %.3f, Y %.3f", size, p.X.Max, p.Y.Max)
		}
	}
}

// Each point of the drawn outline is sqrt(5.991) standard deviations off: the
// 95 % point of chi-squared with two degrees of freedom is -2 ln 0.05.
func TestEllipseIsThe95PercentRegion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(1e-4, 1e-2).Draw(t, "a"), rapid.Float64Range(1e-4, 1e-2).Draw(t, "b")
		cov := model.Sym2{XX: a * a, YY: b * b}.Rotate(rapid.Float64Range(-3, 3).Draw(t, "turn"))
		centre := model.Vec{X: 0.01, Y: -0.02}
		to := func(v model.Vec) vg.Point { return vg.Point{X: vg.Length(v.X), Y: vg.Length(v.Y)} }
		for _, p := range ellipsePath(to, centre, cov, factor95) {
			got := cov.Mahalanobis2(model.Vec{X: float64(p.X), Y: float64(p.Y)}.Sub(centre))
			if math.Abs(got-5.991464547) > 1e-5 {
				t.Fatalf("an outline point is at chi-squared %.6f, want 5.991465", got)
			}
		}
	})
}

func TestReadingPointKeepsTheStatedRegion(t *testing.T) {
	r := sample(model.Vec{X: 0.01})
	r.U95MM *= 1.3 // few degrees of freedom: a wider region than the normal one
	p := ReadingPoint(r)
	major, _, _ := p.Cov.Eigen()
	if got := p.K * math.Sqrt(major); math.Abs(got-r.U95MM) > 1e-12 {
		t.Errorf("the ellipse's longer half axis is %g mm, want the stated %g", got, r.U95MM)
	}
}

// Groups must differ by mark and by dash, or grey print makes them one.
func TestGroupsDifferWithoutColour(t *testing.T) {
	s := Print()
	for i := range 4 {
		for j := range i {
			a, b := s.group(i), s.group(j)
			if a.mark == b.mark {
				t.Errorf("groups %d and %d share the mark %d", i, j, a.mark)
			}
			if len(a.dash) == len(b.dash) && (len(a.dash) == 0 || a.dash[0] == b.dash[0]) {
				t.Errorf("groups %d and %d share the dash %v", i, j, a.dash)
			}
			if a.color == s.Setup1 || b.color == s.Setup1 {
				t.Error("a group takes setup 1's accent")
			}
		}
	}
}

// The curve's hour and the words must name the same direction.
func TestHourAgreesWithClockWords(t *testing.T) {
	r := sample(model.Vec{})
	for i := range 48 {
		a := 2*math.Pi*float64(i)/48 + 0.001
		h := hourOf(r, a)
		half := int(math.Round(h*2)) % 24
		want := model.Clock(math.Pi/2 - 2*math.Pi*float64(half)/24)
		if got := r.ClockAt(a); got != want {
			t.Errorf("direction %.2f rad: curve at %.2f h, words say %s", a, h, got)
		}
	}
}

// The rims must come out where the model puts them, in a reduced photo too.
func TestStripLinesLieOnTheFittedRims(t *testing.T) {
	r := sample(model.Vec{X: 0.1})
	const w, h = 720, 160
	plain := Strip(gradient(700, 600), r, w, h, 96, StripOptions{Style: Light()})
	lined := Strip(gradient(350, 300), r, w, h, 96, StripOptions{Style: Light(), Lines: true})
	if plain.Rect != lined.Rect {
		t.Fatal("sizes differ")
	}
	s, _ := model.NewStrip(r, model.UnrollOptions{WidthPx: w, HeightPx: h})
	for x := 5; x < w; x += 40 {
		a, _ := s.FromStrip(model.Vec{X: float64(x)})
		want := s.ToStrip(a, r.Solid().WidthAt(a)).Y
		// The line is the warmest spot of its column.
		best, at := -1000, 0
		for y := range h {
			p := lined.RGBAAt(x, y)
			if v := int(p.R) - int(p.B); v > best {
				best, at = v, y
			}
		}
		if math.Abs(float64(at)-want) > 1 {
			t.Errorf("column %d: outer edge drawn at row %d, want %.1f within 1", x, at, want)
		}
	}
}

func TestLegendAndLabelsAreSaid(t *testing.T) {
	said := textOf(everyFigure()["map"], 300, 300)
	for _, want := range []string{"X, mm", "Y, mm", "setup 1", "setup 2", "tolerance 0.0254 mm"} {
		if !strings.Contains(said, want) {
			t.Errorf("the map doesn't say %q: %q", want, said)
		}
	}
	said = textOf(everyFigure()["curve vanished"], 500, 250)
	for _, want := range []string{"width, mm", "o'clock in the photo", "no chamfer about", "widest 1.000"} {
		if !strings.Contains(said, want) {
			t.Errorf("the curve of a vanished chamfer doesn't say %q: %q", want, said)
		}
	}
}

// textOf is all that a figure writes, in drawing order.
func textOf(f Figure, w, h vg.Length) string {
	var rec recorder.Canvas
	f.Draw(draw.NewCanvas(&rec, w, h))
	var words []string
	for _, a := range rec.Actions {
		if s, ok := a.(*recorder.FillString); ok {
			words = append(words, s.String)
		}
	}
	return strings.Join(words, " | ")
}

// A window draws several figures, and one figure several times, at once.
func TestFiguresMayBeDrawnConcurrently(t *testing.T) {
	for name, f := range everyFigure() {
		want := Render(f, 200, 150, 96).Pix
		var wg sync.WaitGroup
		for range 4 {
			wg.Go(func() {
				if !bytes.Equal(Render(f, 200, 150, 96).Pix, want) {
					t.Errorf("%s: drawn differently beside others", name)
				}
			})
		}
		wg.Wait()
	}
}

func BenchmarkTargetMap400(b *testing.B) {
	r := sample(model.Vec{X: 0.01, Y: 0.004})
	for b.Loop() {
		Render(TargetMap([]MapPoint{ReadingPoint(r)}, Zone{ToleranceMM: 0.0254}, MapOptions{Style: Light()}), 400, 400, 96)
	}
}

func BenchmarkWidthCurve600(b *testing.B) {
	r := sample(model.Vec{X: 0.01, Y: 0.004})
	for b.Loop() {
		Render(WidthCurve(r, CurveOptions{Style: Light()}), 600, 240, 96)
	}
}

func BenchmarkStrip(b *testing.B) {
	r, src := sample(model.Vec{X: 0.01, Y: 0.004}), gradient(700, 600)
	for b.Loop() {
		Strip(src, r, 900, 110, 96, StripOptions{Style: Light(), Lines: true, Clock: true})
	}
}
