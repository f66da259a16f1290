package synth

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"image"
	"image/jpeg"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"pgregory.net/rapid"

	"evenrim/model"
)

// small is a cheap textured scene with everything on.
func small(kind Light, seed uint64) Scene {
	s := Random(seed, kind)
	s.PxPerMM *= 0.25
	s.OffX, s.OffY = s.OffX/4, s.OffY/4
	s.Width, s.Height = 400, 300
	return s
}

func mustDraw(t testing.TB, s Scene) (*Picture, Truth) {
	t.Helper()
	s.KeepMean = true
	p, truth, err := Draw(s)
	if err != nil {
		t.Fatal(err)
	}
	return p, truth
}

// TestTheSameSceneGivesTheSameBytes: the same scene gives the same bytes, whatever the number of
// cores, and another seed gives others.
func TestTheSameSceneGivesTheSameBytes(t *testing.T) {
	for _, kind := range Lights {
		sum := func(s Scene) [32]byte {
			p, _ := mustDraw(t, s)
			b, err := p.Encode()
			if err != nil {
				t.Fatal(err)
			}
			return sha256.Sum256(b)
		}
		s := small(kind, 5)
		first := sum(s)
		before := runtime.GOMAXPROCS(1)
		second := sum(s)
		runtime.GOMAXPROCS(5)
		third := sum(s)
		runtime.GOMAXPROCS(before)
		if first != second || first != third {
			t.Errorf("%s: pictures differ between runs or numbers of cores", kind)
		}
		s.Seed++
		if sum(s) == first {
			t.Errorf("%s: another seed gave the same picture", kind)
		}
		s.Seed--
		s.Frame = 1
		if sum(s) == first {
			t.Errorf("%s: another frame gave the same noise", kind)
		}
	}
}

// TestTruthIsTheProjection checks each place in the truth against the solid and
// the camera of package model, and the distortion against its definition.
func TestTruthIsTheProjection(t *testing.T) {
	for _, k1 := range []float64{0, 0.03, -0.05} {
		s := cleanScene()
		s.ChamferMM, s.Mismatch, s.K1 = 0.2, model.Vec{X: 0.21, Y: -0.12}, k1 // vanished over an arc
		s = s.WithDefaults()
		_, truth := mustDraw(t, s)
		proj, sol, im := s.Camera().Projector(), s.Solid(), truth.Image
		cx, cy := float64(s.Width-1)/2, float64(s.Height-1)/2
		same := func(what string, got [2]float64, p model.Vec, z float64) {
			t.Helper()
			x, y := got[0]-cx, got[1]-cy
			k := 1 + k1*(x*x+y*y)/(cx*cx+cy*cy)
			u, v := proj.ToPhoto(p.X, p.Y, z)
			if d := math.Hypot(cx+k*x-u, cy+k*y-v); d > 2e-4 {
				t.Errorf("k1 %g, %s: %v is %.5f px from its projection", k1, what, got, d)
			}
		}
		same("bore axis", im.BoreAxis, model.Vec{}, 0)
		same("chamfer axis", im.ChamferAxis, s.Mismatch, 0)
		same("exit", im.BoreExit, model.Vec{}, -s.ThicknessMM)
		gone := 0
		for i, deg := range im.ThetaDeg {
			a := deg * math.Pi / 180
			depth, _ := sol.ChamferDepth(a)
			same("bore edge", *im.Bore[i], model.Polar(sol.RadiusMM, a), -depth)
			same("exit rim", *im.Exit[i], model.Polar(sol.RadiusMM, a), -s.ThicknessMM)
			p, present := sol.OuterEdge(a)
			if present != (im.Outer[i] != nil) {
				t.Errorf("at %g degrees the outer edge is there: %v, the truth says %v", deg, present, im.Outer[i] != nil)
			}
			if present {
				same("outer edge", *im.Outer[i], p, 0)
			} else {
				gone++
			}
		}
		if want := truth.Vanished / 5; math.Abs(float64(gone)-want) > 1 {
			t.Errorf("%d of 72 directions lack the chamfer, but the vanished arc is %.1f degrees", gone, truth.Vanished)
		}
	}
}

// TestNoiseIsThatOfShotsAndReading: mean and variance of the noise are those of shot and read noise, and
// neighbours and channels are independent.
func TestNoiseIsThatOfShotsAndReading(t *testing.T) {
	for _, tt := range []struct {
		name string
		edit func(*Scene)
		want func(level float64) float64
		grey bool
	}{
		{"shot and read", func(s *Scene) { s.FullWellE, s.ReadE = 9000, 30 },
			func(l float64) float64 { return l/9000 + 900./9000/9000 }, false},
		{"white", func(s *Scene) { s.Clean = &Clean{NoiseSD: 0.03} }, func(float64) float64 { return 0.0009 }, true},
	} {
		s := Scene{Width: 500, Height: 400, Seed: 3}
		tt.edit(&s)
		p, _ := mustDraw(t, s)
		var n, z, z2, z3, z4, next, cross float64
		var last float64
		for i := range p.Width * p.Height {
			m, v := float64(p.Mean[3*i]), float64(p.Linear[3*i])
			if m < 0.15 || m > 0.85 { // too near to clipping for plain statistics
				continue
			}
			x := (v - m) / math.Sqrt(tt.want(m))
			y := (float64(p.Linear[3*i+1]) - float64(p.Mean[3*i+1])) / math.Sqrt(tt.want(float64(p.Mean[3*i+1])))
			n, z, z2, z3, z4 = n+1, z+x, z2+x*x, z3+x*x*x, z4+x*x*x*x
			next, cross, last = next+x*last, cross+x*y, x
		}
		s1 := 1 / math.Sqrt(n) // each limit is about five of its own standard deviations
		check := func(what string, got, want, tol float64) {
			if math.Abs(got-want) > tol {
				t.Errorf("%s: %s = %.4f, want %.4f within %.4f (%g pixels)", tt.name, what, got, want, tol, n)
			}
		}
		check("mean", z/n, 0, 5*s1)
		check("variance", z2/n, 1, 5*math.Sqrt2*s1)
		check("third moment", z3/n, 0, 5*math.Sqrt(15)*s1)
		check("fourth moment", z4/n, 3, 5*math.Sqrt(96)*s1)
		check("neighbours", next/n, 0, 5*s1)
		if tt.grey {
			check("channels", cross/n, 1, 5*math.Sqrt2*s1)
		} else {
			check("channels", cross/n, 0, 5*s1)
		}
	}
}

// TestTheCurveIsSRGBs checks the sRGB codes against the standard's formula.
func TestTheCurveIsSRGBs(t *testing.T) {
	for i := range 20001 {
		x := float32(i) / 20000
		want := 65535 * srgb(float64(x))
		if got := encode16(x); math.Abs(float64(got)-want) > 1.01 {
			t.Fatalf("encode16(%g) = %d, want %.2f", x, got, want)
		}
		if got := encode8(x); math.Abs(float64(got)-255*srgb(float64(x))) > 0.505 {
			t.Fatalf("encode8(%g) = %d, want %.3f", x, got, 255*srgb(float64(x)))
		}
	}
	// IEC 61966-2-1: linear 0.2140 is 50 % of the code range (from memory).
	if got := srgb(0.2140); math.Abs(got-0.5) > 5e-4 {
		t.Errorf("srgb(0.2140) = %.5f, want 0.5", got)
	}
}

// TestAReaderThatObeysTheTagSeesThePictureUpright: a reader that obeys the tag sees the same upright picture.
func TestAReaderThatObeysTheTagSeesThePictureUpright(t *testing.T) {
	s := small(Side, 9)
	s.Damage, s.Format, s.Orientation, s.Quality = nil, JPEG, 1, 95
	upright, _ := mustDraw(t, s)
	want := upright.Image().(*image.RGBA)
	for o := 1; o <= 8; o++ {
		s.Orientation = o
		p, truth := mustDraw(t, s)
		b, err := p.Encode()
		if err != nil {
			t.Fatal(err)
		}
		img, err := jpeg.Decode(bytes.NewReader(b))
		if err != nil {
			t.Fatalf("orientation %d: %v", o, err)
		}
		if o > 1 && !bytes.Contains(b[:64], []byte{0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, byte(o)}) {
			t.Errorf("orientation %d: the tag is not in the file's head", o)
		}
		w, h := img.Bounds().Dx(), img.Bounds().Dy()
		if (o >= 5) != (w == s.Height && h == s.Width) {
			t.Fatalf("orientation %d is stored as %d x %d", o, w, h)
		}
		if truth.Width != 400 || truth.Height != 300 {
			t.Errorf("orientation %d: truth says %d x %d, but it speaks of the upright picture", o, truth.Width, truth.Height)
		}
		// The meaning of the tag: where row 0 and column 0 of the stored picture lie
		// (CIPA DC-008, tag 0x0112: 1 top-left, 2 top-right, 3 bottom-right, 4 bottom-left,
		// 5 left-top, 6 right-top, 7 right-bottom, 8 left-bottom).
		shown := func(x, y int) (int, int) { // stored pixel to upright
			switch o {
			case 2:
				return w - 1 - x, y
			case 3:
				return w - 1 - x, h - 1 - y
			case 4:
				return x, h - 1 - y
			case 5:
				return y, x
			case 6:
				return h - 1 - y, x
			case 7:
				return h - 1 - y, w - 1 - x
			case 8:
				return y, w - 1 - x
			}
			return x, y
		}
		var diff float64
		for y := 0; y < h; y += 3 {
			for x := 0; x < w; x += 3 {
				ux, uy := shown(x, y)
				_, g, _, _ := img.At(x, y).RGBA()
				diff += math.Abs(float64(g>>8) - float64(want.RGBAAt(ux, uy).G))
			}
		}
		if mean := diff / float64(w*h/9); mean > 2.5 {
			t.Errorf("orientation %d: mean difference %.2f grey levels from the upright picture", o, mean)
		}
	}
}

func TestWhatIsWrittenIsWhatWasDrawn(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"a.png", "b.jpg", "c.JPEG"} {
		s := small(Ring, 4)
		s.Orientation = 1
		path := filepath.Join(dir, name)
		truth, err := Write(path, s)
		if err != nil {
			t.Fatal(err)
		}
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		img, kind, err := image.Decode(f)
		f.Close()
		if err != nil || img.Bounds().Dx() != 400 || (kind == "png") != (name == "a.png") {
			t.Errorf("%s: decoded as %s %v, error %v", name, kind, img.Bounds(), err)
		}
		b, err := os.ReadFile(TruthPath(path))
		if err != nil {
			t.Fatal(err)
		}
		var back map[string]any
		if err := json.Unmarshal(b, &back); err != nil {
			t.Fatal(err)
		}
		for key, want := range map[string]any{"file": name, "dx_mm": truth.DX, "bore_diameter_mm": truth.Bore, "lighting": "ring", "hole": true} {
			if back[key] != want {
				t.Errorf("%s: truth has %s = %v, want %v", name, key, back[key], want)
			}
		}
	}
	left, _ := filepath.Glob(filepath.Join(dir, ".*"))
	if len(left) > 0 {
		t.Errorf("half-written files were left: %v", left)
	}
	s := small(Ring, 4)
	if _, err := Write(filepath.Join(dir, "x.tif"), s); !isSceneError(err) {
		t.Errorf("an unknown ending gave %v, want a sentence", err)
	}
	s.Orientation, s.Format = 1, PNG16
	path := filepath.Join(dir, "deep.png")
	if _, err := Write(path, s); err != nil {
		t.Fatal(err)
	}
	b, _ := os.ReadFile(path)
	img, err := png.Decode(bytes.NewReader(b))
	if _, deep := img.(*image.RGBA64); err != nil || !deep {
		t.Errorf("16 bit came back as %T, error %v", img, err)
	}
}

func isSceneError(err error) bool { var e *SceneError; return errors.As(err, &e) }

// TestRandomIsSound: every random scene is valid, and its hole is in the picture.
func TestRandomIsSound(t *testing.T) {
	for seed := range uint64(400) {
		s := Random(seed, Lights[seed%6]).WithDefaults()
		if err := s.Validate(); err != nil {
			t.Fatalf("seed %d: %v\n%+v", seed, err, s)
		}
		im := newImageTruth(s, s.Solid())
		for _, rim := range [][]Point{im.Outer, im.Bore} {
			for _, p := range rim {
				if p != nil && (p[0] < 5 || p[1] < 5 || p[0] > float64(s.Width)-6 || p[1] > float64(s.Height)-6) {
					t.Fatalf("seed %d: the rim reaches %v in a picture of %d x %d", seed, *p, s.Width, s.Height)
				}
			}
		}
	}
}

// TestAnySceneIsDrawnOrRefused throws wild scenes at Validate and Draw: each is either refused in a
// sentence or drawn finite, and never panics.
func TestAnySceneIsDrawnOrRefused(t *testing.T) {
	number := rapid.OneOf(rapid.Float64Range(-2, 2), rapid.Float64Range(0, 30), rapid.Float64(), rapid.Just(math.NaN()), rapid.Just(0.0))
	drawn := 0
	rapid.Check(t, func(rt *rapid.T) {
		n := func(name string) float64 { return number.Draw(rt, name) }
		share := func(name string, hi float64) float64 { return rapid.Float64Range(0, hi).Draw(rt, name) }
		s := Scene{KeepMean: true, Seed: rapid.Uint64().Draw(rt, "seed"), Width: rapid.IntRange(64, 150).Draw(rt, "w"), Height: rapid.IntRange(64, 150).Draw(rt, "h")}
		s.Light = rapid.SampledFrom(Lights).Draw(rt, "light")
		s.Backing = rapid.SampledFrom(Backings).Draw(rt, "backing")
		s.FaceLevel, s.RoundMM, s.RoughMM, s.BlurPx = 0.001+share("level", 2), share("round", 0.1), share("rough", 0.01), MinBlurPx+share("blur", 4)
		s.TiltX, s.TiltY, s.HalfAngle = share("tx", 0.15), -share("ty", 0.15), 0.4+share("half", 0.8)
		s.ChamferMM, s.Mismatch = 0.1+share("width", 1), model.Vec{X: share("dx", 0.5), Y: -share("dy", 0.5)}
		s.Chatter.Slope, s.Face.MarkSlope, s.DefocusPx, s.K1 = share("chatter", 1), share("marks", 0.5), share("defocus", 3), share("k1", 0.2)
		s.Parallel = rapid.Bool().Draw(rt, "parallel")
		if rapid.IntRange(0, 3).Draw(rt, "wild") == 0 { // one field at a time gone wild
			f := []*float64{&s.BoreMM, &s.ChamferMM, &s.ThicknessMM, &s.HalfAngle, &s.Mismatch.X, &s.OffX, &s.PxPerMM, &s.DistanceMM, &s.TiltY,
				&s.PlusX, &s.K1, &s.LightAzimuth, &s.LightElevation, &s.LightSize, &s.Ambient, &s.BackingLevel, &s.FaceLevel, &s.Face.FeedMM,
				&s.Face.RadiusMM, &s.Face.Gloss, &s.Face.Grain, &s.Chatter.Grain, &s.RoundMM, &s.BlurPx, &s.Vignette, &s.FullWellE, &s.ReadE, &s.Cast[1]}
			*f[rapid.IntRange(0, len(f)-1).Draw(rt, "field")] = n("value")
		}
		for range rapid.IntRange(0, 3).Draw(rt, "damage") {
			s.Damage = append(s.Damage, Damage{Kind: rapid.SampledFrom([]DamageKind{Gouge, Burr, ChipBore, Dust, Scratch, Smear}).Draw(rt, "kind"),
				AtRad: n("at"), WidthRad: 0.002 + share("arc", 1), SizeMM: 0.001 + share("size", 0.5), Pos: model.Vec{X: share("px", 9), Y: n("py")}, LengthMM: share("length", 9), RXMM: 0.001 + share("rx", 3), RYMM: 0.001 + share("ry", 3), Count: rapid.IntRange(-1, 30).Draw(rt, "count")})
		}
		p, truth, err := Draw(s)
		if err != nil {
			if !isSceneError(err) || err.Error() == "" {
				rt.Fatalf("Draw's error is no sentence: %v", err)
			}
			return
		}
		drawn++
		for i, v := range p.Mean {
			if !(v >= 0 && v < 1e9) || !(p.Linear[i] >= 0 && p.Linear[i] <= 1) {
				rt.Fatalf("value %d is %g, with noise %g", i, v, p.Linear[i])
			}
		}
		if _, err := truth.JSON(); err != nil {
			rt.Fatalf("truth: %v", err)
		}
	})
	if drawn < 20 {
		t.Errorf("only %d scenes were drawn: the test tries too little", drawn)
	}
}

func BenchmarkDraw(b *testing.B) {
	b.ReportAllocs()
	for i := range b.N {
		if _, _, err := Draw(Random(uint64(i), Lights[i%6])); err != nil {
			b.Fatal(err)
		}
	}
}
