package photo

import (
	"image"
	"image/color"
	"math"
	"testing"

	"pgregory.net/rapid"

	"evenrim/model"
)

func TestZoomKeepsThePointUnderThePointer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := View{
			Scale: rapid.Float64Range(1.0/60, 60).Draw(t, "scale"),
			OX:    rapid.Float64Range(-5000, 5000).Draw(t, "ox"),
			OY:    rapid.Float64Range(-5000, 5000).Draw(t, "oy"),
		}
		x, y := rapid.Float64Range(0, 4000).Draw(t, "x"), rapid.Float64Range(0, 3000).Draw(t, "y")
		k := rapid.Float64Range(0.01, 100).Draw(t, "k")
		bx, by := v.ToPhoto(x, y)
		z := v.ZoomAt(x, y, k)
		ax, ay := z.ToPhoto(x, y)
		if d := math.Hypot(ax-bx, ay-by); d > 1e-6 {
			t.Fatalf("point under the pointer moved by %g px (from %g,%g to %g,%g)", d, bx, by, ax, ay)
		}
		if z.Scale < minScale || z.Scale > maxScale {
			t.Fatalf("scale %g outside %g..%g", z.Scale, minScale, maxScale)
		}
		dx, dy := z.ToDevice(ax, ay)
		if math.Hypot(dx-x, dy-y) > 1e-6*(1+math.Hypot(x, y)) {
			t.Fatalf("there and back: got %g,%g want %g,%g", dx, dy, x, y)
		}
	})
}

func TestFitShowsTheWholePhoto(t *testing.T) {
	for _, tt := range []struct{ w, h, pw, ph int }{
		{800, 600, 1600, 1200}, {801, 333, 6000, 4000}, {640, 640, 10, 4000}, {2560, 1440, 64, 48},
	} {
		v := FitPhoto(tt.w, tt.h, tt.pw, tt.ph)
		x0, y0 := v.ToDevice(-0.5, -0.5)
		x1, y1 := v.ToDevice(float64(tt.pw)-0.5, float64(tt.ph)-0.5)
		if x0 < -0.5-1e-9 || y0 < -0.5-1e-9 || x1 > float64(tt.w)-0.5+1e-9 || y1 > float64(tt.h)-0.5+1e-9 {
			t.Errorf("%+v: photo covers (%g,%g)-(%g,%g) of the area", tt, x0, y0, x1, y1)
		}
		if l, r := x0+0.5, float64(tt.w)-0.5-x1; math.Abs(l-r) > 1e-6 {
			t.Errorf("%+v: not centred: %g left, %g right", tt, l, r)
		}
		if k := v.KeepIn(tt.w, tt.h, tt.pw, tt.ph); !k.Same(v) {
			t.Errorf("%+v: KeepIn moved a fitted view from %+v to %+v", tt, v, k)
		}
	}
}

func TestKeepInNeverLosesThePhoto(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(10, 3000).Draw(t, "w"), rapid.IntRange(10, 2000).Draw(t, "h")
		pw, ph := rapid.IntRange(1, 6000).Draw(t, "pw"), rapid.IntRange(1, 4000).Draw(t, "ph")
		v := View{rapid.Float64Range(1.0/60, 60).Draw(t, "s"), rapid.Float64Range(-1e5, 1e5).Draw(t, "ox"), rapid.Float64Range(-1e5, 1e5).Draw(t, "oy")}
		k := v.KeepIn(w, h, pw, ph)
		if k.Scale != v.Scale {
			t.Fatalf("scale changed")
		}
		x0, y0 := k.ToDevice(-0.5, -0.5)
		x1, y1 := k.ToDevice(float64(pw)-0.5, float64(ph)-0.5)
		if x1 < -0.5 || y1 < -0.5 || x0 > float64(w)+0.5 || y0 > float64(h)+0.5 {
			t.Fatalf("photo at (%g,%g)-(%g,%g) left the %dx%d area", x0, y0, x1, y1, w, h)
		}
		if again := k.KeepIn(w, h, pw, ph); !again.Same(k) {
			t.Fatalf("KeepIn is not settled: %+v then %+v", k, again)
		}
	})
}

// ramp is asymmetric in x and y, so that a flip or a turn shows.
func ramp(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, color.RGBA{uint8(x * 255 / w), uint8(y * 255 / h), uint8(x ^ y), 255})
		}
	}
	return img
}

func TestRenderAtOneToOneIsThePhoto(t *testing.T) {
	src := ramp(300, 200)
	p, err := NewPyramid(src)
	if err != nil {
		t.Fatal(err)
	}
	dst := image.NewRGBA(image.Rect(0, 0, 120, 90))
	Render(dst, p, View{Scale: 1, OX: 40, OY: 25}, color.NRGBA{1, 2, 3, 255})
	for _, q := range []image.Point{{0, 0}, {119, 89}, {17, 60}} {
		if got, want := dst.RGBAAt(q.X, q.Y), src.RGBAAt(q.X+40, q.Y+25); got != want {
			t.Errorf("at %v: got %v, want photo's %v", q, got, want)
		}
	}
}

func TestRenderShowsSinglePixelsAsSquares(t *testing.T) {
	src := ramp(64, 64)
	p, _ := NewPyramid(src)
	dst := image.NewRGBA(image.Rect(0, 0, 160, 160))
	v := View{Scale: 16, OX: 10, OY: 20} // device 0 is the centre of photo pixel 10
	Render(dst, p, v, color.NRGBA{A: 255})
	for _, q := range []image.Point{{0, 0}, {7, 7}, {8, 0}, {23, 5}, {150, 150}} {
		px, py := v.ToPhoto(float64(q.X), float64(q.Y))
		want := src.RGBAAt(int(math.Floor(px+0.5)), int(math.Floor(py+0.5)))
		if got := dst.RGBAAt(q.X, q.Y); got != want {
			t.Errorf("at %v (photo %g,%g): got %v, want %v", q, px, py, got, want)
		}
	}
}

func TestRenderReducedKeepsPlacesAndMeans(t *testing.T) {
	// One bright half: the border must stay where it is at every reduction.
	src := image.NewRGBA(image.Rect(0, 0, 1024, 768))
	for y := range 768 {
		for x := range 1024 {
			c := color.RGBA{20, 20, 20, 255}
			if x >= 512 {
				c = color.RGBA{220, 220, 220, 255}
			}
			src.SetRGBA(x, y, c)
		}
	}
	p, _ := NewPyramid(src)
	for _, s := range []float64{1, 0.75, 0.5, 0.3125, 0.25, 0.125} {
		w := int(1024 * s)
		dst := image.NewRGBA(image.Rect(0, 0, w, int(768*s)))
		v := FitPhoto(w, int(768*s), 1024, 768)
		Render(dst, p, v, color.NRGBA{A: 255})
		edge, _ := v.ToDevice(511.5, 0)
		// The half-way level is crossed at the edge: sum of (level - dark)/(step) along a
		// row counts the bright pixels.
		var sum float64
		for x := range w {
			sum += (float64(dst.RGBAAt(x, 10).R) - 20) / 200
		}
		got := float64(w) - 0.5 - sum
		if math.Abs(got-edge) > 0.1 {
			t.Errorf("scale %g: edge drawn at %.3f, want %.3f ± 0.1 device px", s, got, edge)
		}
	}
}

func TestPyramidRefusesWhatTheToolkitDrawsWrong(t *testing.T) {
	whole := ramp(40, 40)
	for name, img := range map[string]*image.RGBA{
		"nil": nil, "empty": image.NewRGBA(image.Rect(0, 0, 0, 5)),
		"sub-image": whole.SubImage(image.Rect(0, 0, 20, 20)).(*image.RGBA),
		"off zero":  image.NewRGBA(image.Rect(3, 3, 20, 20)),
	} {
		if _, err := NewPyramid(img); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func BenchmarkRender4K(b *testing.B) {
	p, _ := NewPyramid(ramp(6000, 4000))
	dst := image.NewRGBA(image.Rect(0, 0, 2560, 1440))
	for b.Loop() {
		Render(dst, p, View{Scale: 0.3, OX: 0, OY: 0}, color.NRGBA{A: 255})
	}
}

// On a small picture the words of widest and narrowest lie rather on a rim than on each
// other, and no leader goes through the other's words.
func TestSlipsDontCoverEachOther(t *testing.T) {
	const w, h, r = 230.0, 24.0, 85.0
	for _, at := range []model.Vec{{X: 175, Y: 130}, {X: 130, Y: 110}, {X: 240, Y: 170}} {
		for deg := 0; deg < 360; deg += 15 {
			room := tagRoom{area: box{0, 0, 350, 260}, edge: 4}
			for i := range 72 {
				a, b := model.Polar(r, float64(i)*math.Pi/36), model.Polar(r, float64(i+1)*math.Pi/36)
				room.lines = append(room.lines, [4]float64{at.X + a.X, at.Y + a.Y, at.X + b.X, at.Y + b.Y})
			}
			p := model.Polar(r, float64(deg)*math.Pi/180)
			first := room.place(at.X+p.X, at.Y+p.Y, at.X, at.Y, w, h, 14)
			room.taken = append(room.taken, first)
			second := room.place(at.X-p.X, at.Y-p.Y, at.X, at.Y, w, h, 14)
			if first.x0 < second.x1 && second.x0 < first.x1 && first.y0 < second.y1 && second.y0 < first.y1 {
				t.Errorf("hole at %v, %d degrees: slips %v and %v lie on each other", at, deg, first, second)
			}
			lx, ly := second.nearest(at.X-p.X, at.Y-p.Y)
			if _, _, _, _, through := first.clip(at.X-p.X, at.Y-p.Y, lx, ly); through {
				t.Errorf("hole at %v, %d degrees: a leader goes through %v", at, deg, first)
			}
		}
	}
}
