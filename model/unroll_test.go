package model

import (
	"image"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// unrollReading is a hole off the picture's centre under a tilted camera, close
// enough for perspective to show.
func unrollReading(pxPerMM float64, d Vec) *Reading {
	w, h := int(8*pxPerMM), int(7*pxPerMM)
	return &Reading{
		Photo:    Photo{WidthPx: w, HeightPx: h},
		Job:      JobCard{BoreMM: 5, ChamferMM: 0.4, ThicknessMM: 6, PlusX: 0.3}.WithDefaults(),
		Mismatch: d, WidthMM: 0.4, Cov: Sym2{1e-6, 0, 1e-6},
		Camera: Camera{
			CX: float64(w-1) / 2, CY: float64(h-1) / 2, U0: 0.52 * float64(w), V0: 0.47 * float64(h),
			PxPerMM: pxPerMM, InvDistPerMM: 1.0 / 90, SlopeX: 0.05, SlopeY: -0.03, PlusX: 0.3,
		},
	}
}

// paint draws r's hole: face 200, chamfer 120, everything inside the bore 20.
// Independent of Strip: each sub-pixel's line of sight is followed down to the
// surface it hits.
func paint(r *Reading) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, r.Photo.WidthPx, r.Photo.HeightPx))
	s, p := r.Solid(), r.Camera.Projector()
	const sub = 3
	for y := range r.Photo.HeightPx {
		for x := range r.Photo.WidthPx {
			sum := 0.0
			for k := range sub * sub {
				u := float64(x) + (float64(k%sub)+0.5)/sub - 0.5
				v := float64(y) + (float64(k/sub)+0.5)/sub - 0.5
				sum += shade(s, p, u, v)
			}
			c := uint8(sum/(sub*sub) + 0.5)
			i := img.PixOffset(x, y)
			img.Pix[i], img.Pix[i+1], img.Pix[i+2], img.Pix[i+3] = c, c, c, 255
		}
	}
	return img
}

func shade(s Solid, p Projector, u, v float64) float64 {
	q := p.ToPlane(u, v, 0)
	big := s.RadiusMM + s.WidthMM
	if q.Sub(s.Mismatch).Norm() >= big {
		if q.Norm() >= s.RadiusMM {
			return 200
		}
		return 20
	}
	// Fixed point of "the cone's depth at the place seen at that depth".
	for range 4 {
		q = p.ToPlane(u, v, -math.Max(0, big-q.Sub(s.Mismatch).Norm())/math.Tan(s.HalfAngle))
	}
	if q.Norm() >= s.RadiusMM {
		return 120
	}
	return 20
}

// crossing is where column x first falls below level from row y0 downwards.
func crossing(img *image.RGBA, x, y0 int, level float64) float64 {
	last := float64(img.Pix[img.PixOffset(x, y0)])
	for y := y0 + 1; y < img.Rect.Dy(); y++ {
		c := float64(img.Pix[img.PixOffset(x, y)])
		if last >= level && c < level {
			return float64(y-1) + (last-level)/(last-c)
		}
		last = c
	}
	return math.NaN()
}

func TestUnrollStraightensBoreEdgeAndShowsMismatchAsOneWave(t *testing.T) {
	for _, tt := range []struct {
		name    string
		pxPerMM float64
		d       Vec
		o       UnrollOptions
		reduce  bool
	}{
		{"even", 70, Vec{}, UnrollOptions{}, false},
		{"mismatch", 70, Vec{0.12, -0.06}, UnrollOptions{}, false},
		{"large photo, small strip", 110, Vec{-0.1, 0.1}, UnrollOptions{WidthPx: 360, HeightPx: 60}, false},
		{"reduced copy of the photo", 110, Vec{0.05, 0.13}, UnrollOptions{WidthPx: 720}, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := unrollReading(tt.pxPerMM, tt.d)
			src := paint(r)
			if tt.reduce {
				src = halve(src)
			}
			s, _ := NewStrip(r, tt.o)
			strip := s.Sample(src)
			if got, want := strip.Rect, image.Rect(0, 0, s.WidthPx, s.HeightPx); got != want {
				t.Fatalf("strip is %v, want %v", got, want)
			}
			// One source pixel in strip rows; edges of flat areas resampled twice
			// keep to a third of it.
			scale := tt.pxPerMM
			if tt.reduce {
				scale /= 2
			}
			tol := 0.35 * float64(s.HeightPx) / (s.InMM + s.OutMM) / scale
			worstBore, worstOuter := 0.0, 0.0
			for x := 0; x < s.WidthPx; x += 7 {
				a, _ := s.FromStrip(Vec{X: float64(x)})
				outer := crossing(strip, x, 0, 160)
				bore := crossing(strip, x, int(outer)+1, 70)
				worstOuter = math.Max(worstOuter, math.Abs(outer-s.ToStrip(a, r.Solid().WidthAt(a)).Y))
				worstBore = math.Max(worstBore, math.Abs(bore-s.ToStrip(a, 0).Y))
			}
			if !(worstBore < tol) {
				t.Errorf("bore edge departs by %.2f strip px from its straight line, want < %.2f", worstBore, tol)
			}
			if !(worstOuter < tol) {
				t.Errorf("outer edge departs by %.2f strip px from the fitted wave, want < %.2f", worstOuter, tol)
			}
		})
	}
}

// halve averages 2 x 2 pixels: a reduced copy whose pixel areas tile the same
// picture.
func halve(src *image.RGBA) *image.RGBA {
	dst := image.NewRGBA(image.Rect(0, 0, src.Rect.Dx()/2, src.Rect.Dy()/2))
	for y := range dst.Rect.Dy() {
		for x := range dst.Rect.Dx() {
			for k := range 4 {
				i := src.PixOffset(2*x, 2*y) + k
				dst.Pix[dst.PixOffset(x, y)+k] = uint8((int(src.Pix[i]) + int(src.Pix[i+4]) +
					int(src.Pix[i+src.Stride]) + int(src.Pix[i+src.Stride+4]) + 2) / 4)
			}
		}
	}
	return dst
}

func TestUnrollLeavesOutsideOfThePictureTransparent(t *testing.T) {
	r := unrollReading(40, Vec{})
	r.Camera.U0 = 10 // most of the hole's left half is off the picture
	src := image.NewRGBA(image.Rect(0, 0, r.Photo.WidthPx, r.Photo.HeightPx))
	for i := range src.Pix {
		src.Pix[i] = 255
	}
	s, _ := NewStrip(r, UnrollOptions{WidthPx: 400, HeightPx: 20})
	strip := s.Sample(src)
	for _, c := range []struct {
		name string
		x    int
		want uint8
	}{{"3 o'clock", 100, 255}, {"9 o'clock", 300, 0}} {
		if got := strip.RGBAAt(c.x, 10).A; got != c.want {
			t.Errorf("alpha at %s = %d, want %d", c.name, got, c.want)
		}
	}
}

func TestUnrollRefusesWhatCannotBeUnrolled(t *testing.T) {
	r := unrollReading(40, Vec{})
	_, none := NewStrip(nil, UnrollOptions{})
	_, noHole := NewStrip(&Reading{}, UnrollOptions{})
	strip, ok := NewStrip(r, UnrollOptions{})
	if none || noHole || !ok || strip.Sample(nil) != nil || strip.Sample(&image.RGBA{}) != nil {
		t.Error("a strip came back where there is no reading, no photo or no hole, want none")
	}
}

func TestStripCoordinatesRoundTrip(t *testing.T) {
	s, _ := NewStrip(unrollReading(50, Vec{0.1, 0}), UnrollOptions{})
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(-3.1, 3.1).Draw(t, "angle")
		o := rapid.Float64Range(-0.3, 0.8).Draw(t, "out")
		ga, gotO := s.FromStrip(s.ToStrip(a, o))
		if math.Abs(wrapPi(ga-a)) > 1e-9 || math.Abs(gotO-o) > 1e-9 {
			t.Fatalf("FromStrip(ToStrip(%g, %g)) = %g, %g", a, o, ga, gotO)
		}
	})
}

func TestStripPathsLieOnTracedPoints(t *testing.T) {
	r := unrollReading(100, Vec{0.11, 0.02})
	s, p := r.Solid(), r.Camera.Projector()
	for i := range 90 {
		a := 2 * math.Pi * float64(i) / 90
		o, _ := s.OuterEdge(a)
		u, v := p.ToPhoto(o.X, o.Y, 0)
		r.Trace.Outer = append(r.Trace.Outer, EdgePoint{X: u, Y: v})
		d, _ := s.ChamferDepth(a)
		q := Polar(s.RadiusMM, a)
		u, v = p.ToPhoto(q.X, q.Y, -d)
		r.Trace.Bore = append(r.Trace.Bore, EdgePoint{X: u, Y: v})
	}
	strip, _ := NewStrip(r, UnrollOptions{})
	paths := strip.Paths()
	for i, q := range paths.BorePoints {
		if want := paths.Bore[0][0].Y; math.Abs(q.Y-want) > 0.02 {
			t.Errorf("bore point %d at row %.3f, want %.3f within 0.02", i, q.Y, want)
		}
	}
	for i, q := range paths.OuterPoints {
		a, _ := strip.FromStrip(q)
		if want := strip.ToStrip(a, s.WidthAt(a)).Y; math.Abs(q.Y-want) > 0.02 {
			t.Errorf("outer point %d at row %.3f, want %.3f within 0.02", i, q.Y, want)
		}
	}
	if n := len(paths.OuterPoints); n != 90 {
		t.Errorf("%d outer points, want 90", n)
	}
}

func TestPathsOfVanishedChamferHaveAGap(t *testing.T) {
	r := unrollReading(100, Vec{0.6, 0}) // further than the chamfer is wide
	photo := PhotoPaths(r)
	if n := len(photo.Outer); n != 1 {
		t.Fatalf("outer edge comes in %d lines, want 1 open one", n)
	}
	l := photo.Outer[0]
	if l[0].Sub(l[len(l)-1]).Norm() < 20 {
		t.Error("the outer edge is closed though the chamfer has vanished over an arc")
	}
	b := photo.Bore[0]
	if d := b[0].Sub(b[len(b)-1]).Norm(); d > 1e-6 {
		t.Errorf("the bore edge's ends are %.3g px apart, want a closed line", d)
	}
	if math.Abs(r.Widest().WidthMM-1.0) > 1e-12 || math.Abs(r.Narrowest().WidthMM+0.2) > 1e-12 {
		t.Errorf("widest %.4f, narrowest %.4f mm, want 1.0 and -0.2 (w +/- |d|)", r.Widest().WidthMM, r.Narrowest().WidthMM)
	}
}

func TestAnglesAreSaidByTheClock(t *testing.T) {
	deg := math.Pi / 180
	got := map[float64]string{}
	want := map[float64]string{
		90: "12 o'clock", 0: "3 o'clock", -90: "6 o'clock", 180: "9 o'clock", 30: "2 o'clock",
		75: "half past 12", 105: "half past 11", 97.4: "12 o'clock", 97.6: "half past 11",
		-352: "half past 2", 450: "12 o'clock", 360 - 1e-9: "3 o'clock",
	}
	for a := range want {
		got[a] = Clock(a * deg)
	}
	if d := cmp.Diff(want, got, cmpopts.SortMaps(func(a, b float64) bool { return a < b })); d != "" {
		t.Errorf("Clock (-want +got):\n%s", d)
	}
}

// The rule of the trade (common practice, no source): the mismatch is half of
// widest minus narrowest, towards the wide side.
func TestHalfOfWidestMinusNarrowestIsTheMismatch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Vec{rapid.Float64Range(-0.3, 0.3).Draw(t, "dx"), rapid.Float64Range(-0.3, 0.3).Draw(t, "dy")}
		r := unrollReading(50, d)
		if got, want := (r.Widest().WidthMM-r.Narrowest().WidthMM)/2, d.Norm(); math.Abs(got-want) > 1e-12 {
			t.Fatalf("half the difference = %g, want %g", got, want)
		}
		// And no direction is wider or narrower than the two named.
		for i := range 36 {
			w := r.Solid().WidthAt(float64(i) * math.Pi / 18)
			if w > r.Widest().WidthMM+1e-12 || w < r.Narrowest().WidthMM-1e-12 {
				t.Fatalf("width %g at %d degrees is beyond the extremes", w, 10*i)
			}
		}
	})
}

func TestEvenMeansZeroInsideTheRegion(t *testing.T) {
	r := unrollReading(50, Vec{0.0024, 0})
	if !r.IsEven() {
		t.Error("2.4 sigma from zero in the plane counts as mismatch, want even: the 95 % radius is 2.448 sigma")
	}
	r.Mismatch.X = 0.0025
	if r.IsEven() {
		t.Error("2.5 sigma from zero counts as even, want mismatch")
	}
}

func BenchmarkUnroll(b *testing.B) {
	r := unrollReading(90, Vec{0.1, 0})
	src := image.NewRGBA(image.Rect(0, 0, r.Photo.WidthPx, r.Photo.HeightPx))
	for b.Loop() {
		strip, _ := NewStrip(r, UnrollOptions{})
		strip.Sample(src)
	}
}

func BenchmarkUnroll24MP(b *testing.B) {
	r := unrollReading(650, Vec{0.1, 0})
	src := image.NewRGBA(image.Rect(0, 0, r.Photo.WidthPx, r.Photo.HeightPx))
	for b.Loop() {
		strip, _ := NewStrip(r, UnrollOptions{})
		strip.Sample(src)
	}
}
