package vision

import (
	"errors"
	"image"
	"image/draw"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/vision/synth"
)

// greyPhoto makes a photo of w x h pixels whose encoded grey value is f, 0 to 1,
// with a little noise, as any camera has.
func greyPhoto(w, h int, f func(x, y float64) float64) *Photo {
	dice := rand.New(rand.NewPCG(1, 2))
	p := &Photo{W: w, H: h, Gray8: make([]uint8, w*h)}
	for i := range p.Gray8 {
		v := f(float64(i%w), float64(i/w)) + 0.01*dice.NormFloat64()
		p.Gray8[i] = uint8(math.Round(255 * min(max(v, 0), 1)))
	}
	return p
}

// drawnPhoto is a sound photo, 800 x 600: a 10 mm bore with a 0.4 mm chamfer.
func drawnPhoto(t testing.TB, change func(*synth.Scene)) *Photo {
	t.Helper()
	s := synth.Scene{Seed: 3, Width: 800, Height: 600, ChamferMM: 0.4, Mismatch: model.Vec{X: 0.05, Y: 0.02},
		FullWellE: 15000, ReadE: 5, TiltX: 0.02, BlurPx: 1, Face: synth.Finish{MarkSlope: 0.03, FineSlope: 0.02, Grain: 0.02}}
	if change != nil {
		change(&s)
	}
	pic, _, err := synth.Draw(s)
	if err != nil {
		t.Fatal(err)
	}
	im := pic.Image()
	g := image.NewGray(im.Bounds())
	draw.Draw(g, g.Rect, im, image.Point{}, draw.Src)
	return &Photo{W: g.Rect.Dx(), H: g.Rect.Dy(), Gray8: g.Pix}
}

// remade returns p with each pixel replaced.
func remade(p *Photo, w, h int, at func(x, y int) uint8) *Photo {
	out := &Photo{W: w, H: h, Gray8: make([]uint8, w*h)}
	for i := range out.Gray8 {
		out.Gray8[i] = at(i%w, i/w)
	}
	return out
}

func blurred(p *Photo, sd float64) *Photo {
	pl := p.reduce(1).smooth(sd)
	return remade(p, p.W, p.H, func(x, y int) uint8 { return uint8(255*pl.pix[y*p.W+x] + 0.5) })
}

func exposed(p *Photo, times float64) *Photo {
	return remade(p, p.W, p.H, func(x, y int) uint8 {
		v := min(times*linearOf(float64(p.Gray8[y*p.W+x])/255), 1)
		return uint8(255*encodedOf(v) + 0.5)
	})
}

func cropped(p *Photo, x0, y0, w, h int) *Photo {
	return remade(p, w, h, func(x, y int) uint8 { return p.Gray8[(y+y0)*p.W+x+x0] })
}

// washer is a bright ring without a chamfer.
func washer(inner, outer float64) *Photo {
	return greyPhoto(800, 600, func(x, y float64) float64 {
		switch r := math.Hypot(x-400, y-300); {
		case r < inner:
			return 0.1
		case r < outer:
			return 0.65
		}
		return 0.3
	})
}

func TestBadPhotosAreRefusedForTheRightReason(t *testing.T) {
	good := drawnPhoto(t, nil)
	round := func(x, y, cx, cy, r float64) bool { return math.Hypot(x-cx, y-cy) < r }
	job := model.JobCard{BoreMM: 10, ChamferMM: 0.4, ThicknessMM: 12}.WithDefaults()
	dice := rand.New(rand.NewPCG(5, 6))
	for _, tt := range []struct {
		name   string
		photo  *Photo
		reason model.Reason
	}{
		{"even grey", greyPhoto(800, 600, func(x, y float64) float64 { return 0.6 }), model.NoHole},
		{"noise", greyPhoto(800, 600, func(x, y float64) float64 { return 0.5 + 0.15*dice.NormFloat64() }), model.NoHole},
		{"stripes", greyPhoto(800, 600, func(x, y float64) float64 { return 0.5 + 0.3*math.Sin(x/5+y/9) }), model.NoHole},
		{"milled rings without a hole", greyPhoto(800, 600, func(x, y float64) float64 {
			return 0.5 + 0.2*math.Sin(math.Hypot(x-500, y-200)/4)
		}), model.NoChamfer},
		{"text", greyPhoto(800, 600, func(x, y float64) float64 {
			if int(y)%40 < 22 && (int(x)/6*7919+int(y)/40*104729+int(y)/6*31)%5 < 2 {
				return 0.1
			}
			return 0.8
		}), model.NoHole},
		{"hills under a sky", greyPhoto(800, 600, func(x, y float64) float64 {
			if y < 280+60*math.Sin(x/130)+20*math.Sin(x/37) {
				return 0.8 - 0.0004*y
			}
			return 0.3 + 0.08*math.Sin(x/11)*math.Sin(y/7)
		}), model.NoHole},
		{"square", greyPhoto(800, 600, func(x, y float64) float64 {
			if math.Abs(x-400) < 150 && math.Abs(y-300) < 150 {
				return 0.1
			}
			return 0.6
		}), model.NoHole},
		{"disc", greyPhoto(800, 600, func(x, y float64) float64 {
			if round(x, y, 400, 300, 180) {
				return 0.1
			}
			return 0.6
		}), model.NoChamfer},
		{"washer without a chamfer", washer(130, 260), model.NoChamfer},
		{"small washer", washer(60, 110), model.NoChamfer},
		{"large washer", washer(200, 290), model.NoChamfer},
		{"cut off at the right", cropped(good, 0, 0, 480, 600), model.CutOff},
		{"cut off below", cropped(good, 0, 0, 800, 460), model.CutOff},
		{"cut off in a corner", cropped(good, 240, 140, 560, 460), model.CutOff},
		{"out of focus", blurred(good, 7), model.Blurred},
		{"far out of focus", blurred(good, 15), model.Blurred},
		{"dark", exposed(good, 0.01), model.Underexposed},
		{"burnt out", exposed(good, 12), model.Overexposed},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := findRims(tt.photo, job)
			var r *model.Refusal
			if !errors.As(err, &r) {
				t.Fatalf("got %v, want a refusal with %q", err, tt.reason)
			}
			if r.Reason != tt.reason {
				t.Errorf("reason %q (%s), want %q", r.Reason, r.Sentence, tt.reason)
			}
			// "What is wrong: what to do."
			if s := r.Sentence; !strings.HasSuffix(s, ".") || !strings.Contains(s, ": ") || strings.Contains(s, "%!") {
				t.Errorf("not a sentence that says what to do: %q", s)
			}
		})
	}
}

func TestTwoHolesAlikeAreBothOffered(t *testing.T) {
	one := drawnPhoto(t, func(s *synth.Scene) { s.Width = 600 })
	two := remade(one, 1200, 600, func(x, y int) uint8 { return one.Gray8[y*600+x%600] })
	job := model.JobCard{BoreMM: 10, ChamferMM: 0.4, ThicknessMM: 12}.WithDefaults()
	_, err := findRims(two, job)
	var r *model.Refusal
	if !errors.As(err, &r) || r.Reason != model.Ambiguous {
		t.Fatalf("got %v, want a refusal with %q", err, model.Ambiguous)
	}
	if len(r.Candidates) != 2 {
		t.Fatalf("%d candidates, want 2", len(r.Candidates))
	}
	h, err := findRims(one, job)
	if err != nil {
		t.Fatal(err)
	}
	left, right := r.Candidates[0], r.Candidates[1]
	if left.X > right.X {
		left, right = right, left
	}
	for _, c := range []struct {
		name      string
		got, want model.Circle
	}{
		{"left", left, h.outer},
		{"right", right, model.Circle{X: h.outer.X + 600, Y: h.outer.Y, R: h.outer.R}},
	} {
		if d := math.Max(math.Hypot(c.got.X-c.want.X, c.got.Y-c.want.Y), math.Abs(c.got.R-c.want.R)); d > 3 {
			t.Errorf("the %s candidate is %.1f px from the hole, want <= 3", c.name, d)
		}
		// What is offered can be taken: it is where tracing starts.
		if near, ok := locate(two, c.got, job); !ok || math.Abs(near.bore.X-c.want.X) > 15 {
			t.Errorf("the %s candidate doesn't lead to its hole", c.name)
		}
	}
}

// Sound photos in every light over every backing aren't refused, and the rims are
// found within the few pixels that tracing starts from.
func TestSoundPhotosAreNotRefused(t *testing.T) {
	job := model.JobCard{BoreMM: 10, ChamferMM: 0.4, ThicknessMM: 12}.WithDefaults()
	for _, light := range synth.Lights {
		for _, backing := range synth.Backings {
			s := synth.Scene{Light: light, Backing: backing, LightAzimuth: 0.7, OffX: 60, OffY: -30}
			p := drawnPhoto(t, func(d *synth.Scene) {
				d.Light, d.Backing, d.LightAzimuth, d.OffX, d.OffY = s.Light, s.Backing, s.LightAzimuth, s.OffX, s.OffY
			})
			h, err := findRims(p, job)
			if err != nil {
				t.Errorf("%s over %s: %v", light, backing, err)
				continue
			}
			// The scene's own geometry: the hole fills 62 % of the height.
			scale := 0.62 * 600 / 10.8
			for _, c := range []struct {
				name string
				got  float64
				want float64
			}{{"bore", h.bore.R, 5 * scale}, {"outer", h.outer.R, 5.4 * scale}} {
				if math.Abs(c.got-c.want) > 4 {
					t.Errorf("%s over %s: %s radius %.1f px, want %.1f within 4", light, backing, c.name, c.got, c.want)
				}
			}
		}
	}
}

// The same picture gives the same rims, whatever the processors do.
func TestFindingIsRepeatable(t *testing.T) {
	p := drawnPhoto(t, nil)
	job := model.JobCard{BoreMM: 10, ChamferMM: 0.4}.WithDefaults()
	first, err := findRims(p, job)
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		again, err := findRims(p, job)
		if err != nil || again.outer != first.outer || again.bore != first.bore || again.score != first.score {
			t.Errorf("got %v %v, first %v", again, err, first)
		}
	}
}

// Small pictures of anything: no panic, an end in time, a refusal or rims that lie
// in or near the picture.
func FuzzFindRims(f *testing.F) {
	f.Add(uint16(64), uint16(64), []byte{0, 255}, 8.0, 0.3, 10.0)
	f.Add(uint16(120), uint16(90), []byte("an odd pattern of greys"), 5.5, 0.0, 0.0)
	hole := drawnPhoto(f, func(s *synth.Scene) { s.Width, s.Height = 96, 72 })
	f.Add(uint16(96), uint16(72), hole.Gray8, 10.0, 0.4, 12.0)
	f.Fuzz(func(t *testing.T, w, h uint16, pattern []byte, bore, chamfer, thickness float64) {
		inTime(t)
		if len(pattern) == 0 {
			t.Skip()
		}
		// The search looks at 400 px of any photo and the tracer at 256 rays: larger
		// pictures cost more here and take no other way.
		p := &Photo{W: MinSidePx + int(w)%64, H: MinSidePx + int(h)%64}
		p.Gray8 = make([]uint8, p.W*p.H)
		for i := range p.Gray8 {
			p.Gray8[i] = pattern[i%len(pattern)]
		}
		job := model.JobCard{BoreMM: bore, ChamferMM: chamfer, ThicknessMM: thickness}.WithDefaults()
		if job.Validate() != nil {
			t.Skip()
		}
		found, err := findRims(p, job)
		if err != nil {
			var r *model.Refusal
			if !errors.As(err, &r) || r.Sentence == "" {
				t.Fatalf("not a refusal: %v", err)
			}
			return
		}
		for _, c := range []model.Circle{found.outer, found.bore} {
			if !(c.R > 0) || !(c.X > -float64(p.W) && c.X < 2*float64(p.W)) || !(c.Y > -float64(p.H) && c.Y < 2*float64(p.H)) {
				t.Fatalf("a rim at %+v in a picture of %d x %d", c, p.W, p.H)
			}
		}
		// The tracer must come to an end with whatever it is given.
		if _, err := refine(p, found, job); err != nil {
			var r *model.Refusal
			if !errors.As(err, &r) {
				t.Fatalf("not a refusal: %v", err)
			}
		}
	})
}
