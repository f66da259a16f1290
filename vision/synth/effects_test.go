package synth

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"evenrim/model"
)

// TestAreasAgreeWithCountedPoints compares the closed form with point counts, and its sums with unity.
func TestAreasAgreeWithCountedPoints(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		a := rng.Float64() * 2 * math.Pi
		l := line{math.Cos(a), math.Sin(a), rng.Float64()*1.8 - 0.9}
		b := rng.Float64() * 2 * math.Pi
		m := line{math.Cos(b), math.Sin(b), rng.Float64()*1.2 - 0.6}
		var one, both float64
		const n = 400
		for j := range n {
			for i := range n {
				x, y := (float64(i)+.5)/n-.5, (float64(j)+.5)/n-.5
				if l.nx*x+l.ny*y+l.dist < 0 {
					one += 1. / (n * n)
					if m.nx*x+m.ny*y+m.dist < 0 {
						both += 1. / (n * n)
					}
				}
			}
		}
		if got := l.area(); math.Abs(got-one) > 0.003 {
			t.Errorf("area of %+v = %.4f, want %.4f", l, got, one)
		}
		if got := bothArea(l, m); math.Abs(got-both) > 0.005 {
			t.Errorf("area common to %+v and %+v = %.4f, want %.4f", l, m, got, both)
		}
		if sum := l.area() + (line{-l.nx, -l.ny, -l.dist}).area(); math.Abs(sum-1) > 1e-12 {
			t.Errorf("area of %+v and of its complement sum to %g", l, sum)
		}
	}
}

// edgeAt returns where the half-level of the outer edge lies along direction a from
// the bore axis, px outside the truth, by interpolating a radial profile.
func edgeAt(p *Picture, truth Truth, rim []Point, i int) float64 {
	q, c := rim[i], truth.Image.BoreAxis
	l := math.Hypot(q[0]-c[0], q[1]-c[1])
	ux, uy := (q[0]-c[0])/l, (q[1]-c[1])/l
	at := func(d float64) float64 { // bilinear, mean of a short arc
		var sum float64
		for k := -3; k <= 3; k++ {
			x, y := q[0]+d*ux-float64(k)*uy, q[1]+d*uy+float64(k)*ux
			bend := float64(k*k) / (2 * l)
			x, y = x-bend*ux, y-bend*uy
			fx, fy := math.Floor(x), math.Floor(y)
			o := 3 * (int(fy)*p.Width + int(fx))
			x, y = x-fx, y-fy
			m := p.Mean
			sum += float64(m[o])*(1-x)*(1-y) + float64(m[o+3])*x*(1-y) + float64(m[o+3*p.Width])*(1-x)*y + float64(m[o+3*p.Width+3])*x*y
		}
		return sum / 7
	}
	in, out := at(-6), at(6)
	half := (in + out) / 2
	for d := -6.0; d < 6; d += 0.02 {
		if (at(d) < half) != (in < half) {
			return d
		}
	}
	return math.NaN()
}

// TestRoundingFollowsTheLight: a rounded edge lit from one side appears shifted, with
// a first harmonic along the light; even light shifts it all round alike; a sharp
// edge not at all. This is what turning the part is for.
func TestRoundingFollowsTheLight(t *testing.T) {
	first := func(kind Light, az, round float64) (along, across, mean float64) {
		s := Scene{Seed: 3, Width: 800, Height: 600, PxPerMM: 90, BoreMM: 5, ChamferMM: 0.3, Light: kind,
			LightAzimuth: az, LightElevation: 40 * deg, RoundMM: round, FaceLevel: 0.2, Ambient: 0.3, Chatter: Chatter{Gloss: 0.4, Broad: 1}}
		p, truth := mustDraw(t, s)
		n := 0.0
		for i, deg := range truth.Image.ThetaDeg {
			d := edgeAt(p, truth, truth.Image.Outer, i)
			if math.IsNaN(d) || math.Abs(d) > 4 { // no contrast there
				continue
			}
			a := deg*math.Pi/180 - az
			along, across, mean, n = along+d*math.Cos(a), across+d*math.Sin(a), mean+d, n+1
		}
		if n < 40 {
			t.Fatalf("%s: only %g places have contrast", kind, n)
		}
		return 2 * along / n, 2 * across / n, mean / n
	}
	if a, b, m := first(Ring, 0, 0); math.Hypot(a, b) > 0.01 || math.Abs(m) > 0.03 {
		t.Errorf("ring light, sharp edge: first harmonic (%.3f, %.3f) px, mean %.3f px; want none", a, b, m)
	}
	if a, b, m := first(Ring, 0, 0.02); math.Hypot(a, b) > 0.03 || math.Abs(m) < 0.1 {
		t.Errorf("ring light, 20 um rounding: first harmonic (%.3f, %.3f) px should be small, mean %.3f px should not", a, b, m)
	}
	a0, _, _ := first(Side, 0.7, 0)
	a1, b1, _ := first(Side, 0.7, 0.02)
	if math.Abs(a1-a0) < 0.05 || math.Abs(b1) > math.Abs(a1-a0)/2 {
		t.Errorf("side light, 20 um rounding: first harmonic along the light moved by %.3f px (want 0.05 or more), across %.3f px (want less than half)", a1-a0, b1)
	}
}

// TestDamageIsWhereTheTruthSays: each piece of edge damage moves its own edge, at its
// own place, in its own direction, and nothing else.
func TestDamageIsWhereTheTruthSays(t *testing.T) {
	base := Scene{Seed: 2, Width: 800, Height: 700, PxPerMM: 80, BoreMM: 6, ChamferMM: 0.5, PlusX: 0.8, TiltX: 1 * deg, Backing: Dark, Clean: &Clean{Face: 0.6, Chamfer: 0.4, Wall: 0.1, Backing: 0.1}}
	clean, _ := mustDraw(t, base)
	for _, tt := range []struct {
		d       Damage
		edge    string
		outward bool
	}{
		{Damage{Kind: Gouge, AtRad: 35 * deg, WidthRad: 14 * deg, SizeMM: 0.05}, "outer", true},
		{Damage{Kind: Burr, AtRad: -100 * deg, WidthRad: 20 * deg, SizeMM: 0.05}, "outer", false},
		{Damage{Kind: Burr, AtRad: 170 * deg, WidthRad: 20 * deg, SizeMM: 0.05, OnBore: true}, "bore", false},
		{Damage{Kind: ChipBore, AtRad: 80 * deg, WidthRad: 10 * deg, SizeMM: 0.06}, "bore", true},
	} {
		s := base
		s.Damage = []Damage{tt.d}
		p, truth := mustDraw(t, s)
		def := truth.Defects[0]
		if def.Edge != tt.edge || math.Abs(*def.Centre-degrees(tt.d.AtRad)) > 0.01 || math.Abs(*def.Width-degrees(tt.d.WidthRad)) > 0.01 {
			t.Errorf("%s: truth says edge %s, centre %g, width %g", tt.d.Kind, def.Edge, *def.Centre, *def.Width)
		}
		for name, rim := range map[string][]Point{"outer": truth.Image.Outer, "bore": truth.Image.Bore} {
			for i, deg := range truth.Image.ThetaDeg {
				moved := edgeAt(p, truth, rim, i) - edgeAt(clean, truth, rim, i)
				off := math.Abs(math.Remainder(deg-*def.Centre, 360))
				switch {
				case name == tt.edge && off <= *def.Width/8:
					if want := tt.d.SizeMM * s.PxPerMM; (moved > 0) != tt.outward || math.Abs(moved) < 0.4*want || math.Abs(moved) > 1.5*want {
						t.Errorf("%s: %s edge at %g degrees moved %.2f px, want about %.2f, outward %v", tt.d.Kind, name, deg, moved, want, tt.outward)
					}
				case name != tt.edge || off > *def.Width/2+3:
					if math.Abs(moved) > 0.03 {
						t.Errorf("%s: %s edge at %g degrees moved %.3f px, away from the damage", tt.d.Kind, name, deg, moved)
					}
				}
			}
		}
	}
}

// TestDefocusBlursTheExitRimAlone: the exit rim alone is blurred, and stays where it is.
func TestDefocusBlursTheExitRimAlone(t *testing.T) {
	s := cleanScene()
	sharp, truth := mustDraw(t, s)
	s.DefocusPx = 3
	soft, _ := mustDraw(t, s)
	im := truth.Image
	spread := func(p *Picture, q Point) float64 { // steepest step across the rim
		c := im.BoreExit
		l := math.Hypot(q[0]-c[0], q[1]-c[1])
		var most float64
		for d := -4; d <= 4; d++ {
			v := func(d float64) float64 {
				return float64(p.Mean[3*(int(q[1]+d*(q[1]-c[1])/l)*p.Width+int(q[0]+d*(q[0]-c[0])/l))])
			}
			most = max(most, math.Abs(v(float64(d)+1)-v(float64(d))))
		}
		return most
	}
	var n int
	for i, q := range im.Exit {
		if !exitClear(im, i, 12) {
			continue
		}
		n++
		if a, b := spread(sharp, q), spread(soft, q); b > 0.7*a {
			t.Errorf("exit rim at %g degrees: steepest step %.3f defocused, %.3f sharp", im.ThetaDeg[i], b, a)
		}
		if d := fitStep(soft, q[0], q[1], (q[0]-im.BoreExit[0])/math.Hypot(q[0]-im.BoreExit[0], q[1]-im.BoreExit[1]), (q[1]-im.BoreExit[1])/math.Hypot(q[0]-im.BoreExit[0], q[1]-im.BoreExit[1]), math.Sqrt(1+1./12+9), 120); math.Abs(d) > 0.06 {
			t.Errorf("exit rim at %g degrees lies %.3f px off when defocused", im.ThetaDeg[i], d)
		}
	}
	if n < 10 {
		t.Fatalf("only %d places of the exit rim are clear", n)
	}
	for i, q := range im.Outer {
		a, b := edgeAt(sharp, truth, im.Outer, i), edgeAt(soft, truth, im.Outer, i)
		if math.Abs(a-b) > 1e-3 {
			t.Errorf("outer edge at %v moved by %.4f px with the defocus", *q, a-b)
		}
	}
}

func TestASetIsWrittenWithItsTruth(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new")
	calls := 0
	scene := func(i int) Scene { return small(Lights[i%6], uint64(i)) }
	if err := WriteScenes(t.Context(), dir, 6, scene, func(int) { calls++ }); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(filepath.Join(dir, "index.json"))
	if err != nil {
		t.Fatal(err)
	}
	var index struct {
		Count  int
		Photos []struct {
			File    string
			DX      *float64 `json:"dx_mm"`
			Light   string   `json:"lighting"`
			Defects []any    `json:"defects"`
			Image   struct {
				Outer []*[2]float64 `json:"outer_edge"`
			}
		}
	}
	if err := json.Unmarshal(b, &index); err != nil {
		t.Fatal(err)
	}
	if calls != 6 || index.Count != 6 || len(index.Photos) != 6 {
		t.Fatalf("%d calls, count %d, %d photos; want 6 of each", calls, index.Count, len(index.Photos))
	}
	for i, p := range index.Photos {
		if _, err := os.Stat(filepath.Join(dir, p.File)); err != nil {
			t.Error(err)
		}
		if p.Light != string(Lights[i]) || p.DX == nil || len(p.Image.Outer) != 72 || p.Defects == nil {
			t.Errorf("photo %d has a thin truth: %+v", i, p)
		}
	}
	f, err := os.Open(filepath.Join(dir, "readings.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) != 7 || rows[0][0] != "photo" {
		t.Errorf("readings.csv: %d rows, error %v", len(rows), err)
	}
	if err := WriteSet(t.Context(), dir, 0, 1, 1, nil); !isSceneError(err) {
		t.Errorf("a set of none gave %v", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := WriteSet(ctx, dir, 3, 1, 1, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled set gave %v", err)
	}
}

// TestAFilmMovesSmoothlyAndAsMuchAsAsked: the camera moves smoothly and by as much as asked, the part stays itself.
func TestAFilmMovesSmoothlyAndAsMuchAsAsked(t *testing.T) {
	s := small(Ring, 8)
	s.Damage = nil
	m := Handheld()
	m.FPS, m.SwingS = 12, 1.5 // three seconds in few pictures
	var at []model.Vec
	var blur []float64
	err := Film(t.Context(), s, 36, m, func(i int, p *Picture, tr Truth) error {
		at = append(at, model.Vec{X: tr.Image.BoreAxis[0], Y: tr.Image.BoreAxis[1]})
		blur = append(blur, tr.PSF)
		if tr.DX != round(s.Mismatch.X, 6) || tr.Chamfer != round(s.ChamferMM, 6) {
			t.Errorf("picture %d: the part itself changed: %+v", i, tr)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	var mean, spread, most, least float64
	least = math.Inf(1)
	for _, p := range at {
		mean += p.X / float64(len(at))
	}
	for i, p := range at {
		spread += (p.X - mean) * (p.X - mean) / float64(len(at))
		if i > 0 {
			d := p.Sub(at[i-1]).Norm()
			most, least = max(most, d), min(least, d)
		}
	}
	if sd := math.Sqrt(spread); sd < 0.2*m.WanderPx || sd > 3*m.WanderPx || most > 12 || least > 0.8 {
		t.Errorf("the hole wanders by %.1f px (rms), steps %.2f to %.2f px; want about %g, smooth, with pauses", sd, least, most, m.WanderPx)
	}
	stop := errors.New("enough")
	if err := Film(t.Context(), s, 5, m, func(int, *Picture, Truth) error { return stop }); !errors.Is(err, stop) {
		t.Errorf("the callback's error came back as %v", err)
	}
	still, moved := newHand(1, 10, Motion{}).at(s.WithDefaults(), 7), s.WithDefaults()
	still.Frame = moved.Frame
	if still.OffX != moved.OffX || still.BlurPx != moved.BlurPx || still.PxPerMM != moved.PxPerMM {
		t.Error("a camera that stands still moves")
	}
}

// TestATurnedPartShowsItsHoleTurned: a part turned under the camera shows the same hole turned: the camera's
// own lean stays, in the picture, what it was.
func TestATurnedPartShowsItsHoleTurned(t *testing.T) {
	s := cleanScene().WithDefaults()
	first := newTruth(s)
	for _, turn := range []float64{90, 181.5, -77} {
		n := newTruth(s.Turned(turn * deg))
		if want := math.Mod(turn+360, 360); math.Abs(n.Turn-want) > 1e-4 {
			t.Errorf("turned by %g: truth says %g degrees", turn, n.Turn)
		}
		if n.DX != first.DX || n.DY != first.DY {
			t.Errorf("turned by %g: the mismatch changed in the part's own axes", turn)
		}
		a, b := first.Image, n.Image
		if d := math.Hypot(a.BoreAxis[0]-b.BoreAxis[0], a.BoreAxis[1]-b.BoreAxis[1]); d > 1e-3 {
			t.Errorf("turned by %g: the bore axis moved by %.4f px", turn, d)
		}
		// The exit shows the view direction, which is the camera's.
		if d := math.Hypot(a.BoreExit[0]-b.BoreExit[0], a.BoreExit[1]-b.BoreExit[1]); d > 0.01 {
			t.Errorf("turned by %g: the exit's centre moved by %.4f px", turn, d)
		}
		va := model.Vec{X: a.ChamferAxis[0] - a.BoreAxis[0], Y: -(a.ChamferAxis[1] - a.BoreAxis[1])}
		vb := model.Vec{X: b.ChamferAxis[0] - b.BoreAxis[0], Y: -(b.ChamferAxis[1] - b.BoreAxis[1])}
		if d := vb.Sub(va.Rotate(turn * deg)).Norm(); d > 0.02*va.Norm() {
			t.Errorf("turned by %g: the mismatch shows as %v px, want %v turned", turn, vb, va)
		}
	}
}
