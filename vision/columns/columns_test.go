package columns

import (
	"math"
	"math/rand/v2"
	"testing"
)

// photoOfNoise is large enough for the arcs of a large photo.
func photoOfNoise(w, h int) *Photo {
	p := &Photo{W: w, H: h, Gray8: make([]uint8, w*h), Light: make([]float32, 256), Shadow: make([]float32, 256)}
	rng := rand.New(rand.NewPCG(3, 4))
	for i := range p.Gray8 {
		p.Gray8[i] = uint8(rng.Uint32())
	}
	for i := range p.Light {
		p.Light[i], p.Shadow[i] = float32(i)/255, float32(i)/510
	}
	return p
}

// arcOf is an arc of some 2500 pixels with three rims, of which two are close.
func arcOf() (*Photo, *Arc, *Choice) {
	p := photoOfNoise(1800, 1500)
	s, c := math.Sincos(0.7)
	s2, c2 := math.Sincos(0.73)
	a := &Arc{Curves: []Curve{{X: 300, Y: 300, R: 1512, Cos2: 1}, {X: 301, Y: 300, R: 1500, Sin2: -1}, {X: 300, Y: 301, R: 1440}}, X: 301, Y: 300,
		From: [2]float64{c, s}, To: [2]float64{c2, s2}, Reach: 11.7}
	o := &Choice{Rims: []int{0, 1}, Reach: 11.7}
	for k := range o.Most {
		o.Least[k], o.Most[k] = math.Inf(-1), math.Inf(1)
	}
	o.Least[2] = 1.5
	return p, a, o
}

// fitOf is a model of two edges with all that can be asked.
func fitOf() *Fit {
	return &Fit{Edges: 2, Unknowns: 11, Shift: 3, Glint: 5, Blur: 7, Slope: 9, Incline: 10, Wall: 2, Chamfer: 1,
		Level: [4]float64{0.7, 1.1, 0.2}, Variance: [4]float64{0.05, 0.09, 0.03},
		Place: [3]float64{0.4, -0.3}, Line: [3]float64{0.3, -0.2}, Width: [3]float64{1.7, 2.1}, Ramp: 0.004, Inclined: -0.006}
}

// The equations are those of the model written down pixel by pixel, with the normal
// distribution itself and derivatives by differences.
func TestEquationsAreTheModels(t *testing.T) {
	p, a, o := arcOf()
	c := &Columns{}
	c.Gather(p, a)
	n := c.Choose(o)
	if n < 1000 || n%8 == 0 {
		t.Fatalf("%d pixels: wanted many, and a rest beyond full lanes", n)
	}
	light, d0, d1 := c.column(3+2, n), c.column(3+3, n), c.column(3+4, n)
	beyond := func(t float64) float64 { return math.Erfc(t/math.Sqrt2) / 2 }
	density := func(t float64) float64 { return math.Exp(-t*t/2) / math.Sqrt(2*math.Pi) }
	plain := Options{Full: 0.985, NearlyFull: 0.9, ScatterShare: 0.3, MostScatter: 3}
	all := plain
	all.Robust, all.Scatter, all.Clip = true, true, true
	for _, m := range []struct {
		opt  Options
		fade float64
	}{{plain, 0}, {all, 0}, {plain, 4.5}, {all, 2.2}} {
		opt := m.opt
		f := fitOf()
		f.Fade = m.fade
		// shares are of the three regions in the light, or with blur narrowed in its variance.
		shares := func(x []float64, i int, narrow float64) [3]float64 {
			in0, in1 := beyond((d0[i]-x[3])/x[7]*narrow), beyond((d1[i]-x[4])/x[8]*narrow)
			return [3]float64{max(1-in0, 0), max(in0-in1, 0), in1}
		}
		predict := func(x []float64, i int) float64 {
			sh := shares(x, i, 1)
			v := x[0]*sh[0] + x[1]*sh[1] + x[2]*sh[2]
			for k, d := range [2]float64{d0[i], d1[i]} {
				v += x[5+k] / x[7+k] * density((d-x[3+k])/x[7+k])
			}
			// Light that changes across the chamfer ends with its share of the pixel.
			u := (d0[i] - x[3]) / x[7]
			v += x[10] * x[7] * (u*sh[1] - density(u))
			u = (d1[i] - x[4]) / x[8]
			if l := f.Fade; l > 0 {
				faded := math.Exp(u*x[8]/l+x[8]*x[8]/(2*l*l)) * beyond(u+x[8]/l)
				return v - x[9]*l*(beyond(u)-faded)
			}
			return v + x[9]*x[8]*(u*beyond(u)-density(u))
		}
		x := []float64{f.Level[0], f.Level[1], f.Level[2], f.Place[0], f.Place[1], f.Line[0], f.Line[1], f.Width[0], f.Width[1], f.Ramp, f.Inclined}
		wantA, wantB := make([]float64, 121), make([]float64, 11)
		for i := range n {
			// By blur the slopes are left out.
			var row [11]float64
			for k := range row {
				const h = 1e-4
				up, down := append([]float64(nil), x...), append([]float64(nil), x...)
				up[k], down[k] = up[k]+h, down[k]-h
				if k >= 7 && k < 9 {
					up[9], down[9], up[10], down[10] = 0, 0, 0, 0
				}
				row[k] = (predict(up, i) - predict(down, i)) / (2 * h)
			}
			sq := shares(x, i, math.Sqrt2)
			v := f.Variance[0]*sq[0] + f.Variance[1]*sq[1] + f.Variance[2]*sq[2]
			w, pred := 1/v, predict(x, i)
			if opt.Clip && pred >= opt.Full {
				if pred = 1; light[i] >= opt.NearlyFull {
					w = 0
				}
			}
			res := light[i] - pred
			z2 := res * res * w
			var fall [2]float64
			if opt.Scatter && w > 0 {
				for k, d := range [2]float64{d0[i], d1[i]} {
					fall[k] = (f.Variance[k+1] - f.Variance[k]) * math.Sqrt2 / x[7+k] * density((d-x[3+k])/x[7+k]*math.Sqrt2) / v
				}
			}
			if opt.Robust && z2 > 6.25 {
				w *= 2.5 / math.Sqrt(z2)
			}
			for k := range row {
				wantB[k] += w * row[k] * res
				for j := 0; j <= k; j++ {
					wantA[k*11+j] += w * row[k] * row[j]
				}
			}
			for k := range fall {
				wantB[3+k] += opt.ScatterShare * min(z2-1, opt.MostScatter) * fall[k]
				for j := 0; j <= k; j++ {
					wantA[(3+k)*11+3+j] += opt.ScatterShare * fall[k] * fall[j]
				}
			}
		}
		got := Equations{A: make([]float64, 121), B: make([]float64, 11)}
		c.Look(f)
		c.Equations(f, &opt, &got)
		for k := range 11 {
			if scale := math.Sqrt(wantA[k*11+k]); math.Abs(got.B[k]-wantB[k]) > 1e-5*scale*math.Sqrt(float64(n)) {
				t.Errorf("fade %g, %+v: b[%d] = %g, want %g", f.Fade, opt, k, got.B[k], wantB[k])
			}
			for j := 0; j <= k; j++ {
				if scale := math.Sqrt(wantA[k*11+k] * wantA[j*11+j]); math.Abs(got.A[k*11+j]-wantA[k*11+j]) > 1e-5*scale {
					t.Errorf("fade %g, %+v: a[%d,%d] = %g, want %g", f.Fade, opt, k, j, got.A[k*11+j], wantA[k*11+j])
				}
			}
		}
	}
}

// A wall that fades ends at the exit rim, is as steep at the bore edge as a straight one, and
// over a long way is one.
func TestAFadeEndsWithTheWall(t *testing.T) {
	var distance []float64
	for d := -20.0; d <= 8; d += 0.25 {
		distance = append(distance, d)
	}
	c := &Columns{}
	ramp := func(fade float64) []float64 {
		c.Set(make([]float64, len(distance)), distance)
		to := c.column(3+4, len(distance)) // as in columns.h
		for i, d := range distance {
			to[i] = d + 9 // the exit rim lies 9 px further in
		}
		c.Look(&Fit{Edges: 2, Unknowns: 6, Shift: 3, Glint: -1, Blur: -1, Slope: 5, Incline: -1, Wall: 1, Width: [3]float64{1.2, 1.2}, Fade: fade})
		return append([]float64(nil), c.column(26, len(distance))...)
	}
	straight, faint, long := ramp(0), ramp(3), ramp(1e5)
	for i, d := range distance {
		if math.Abs(long[i]-straight[i]) > 2e-3 {
			t.Errorf("%g px: a fade over 100 m gives %g, a straight ramp %g", d, long[i], straight[i])
		}
		switch want := -3 * (1 - math.Exp((d+1.2*1.2/6)/3)); {
		case d < -14 || d > 5:
			if math.Abs(faint[i]) > 1e-3 {
				t.Errorf("%g px: %g, want nothing outside the wall", d, faint[i])
			}
		case d > -4.5 && d < -4:
			if math.Abs(faint[i]-want) > 1e-3 {
				t.Errorf("%g px: %g, want %g in the midst of the wall", d, faint[i], want)
			}
		}
	}
}

// A region's sums are those of its pixels, and what was gathered before is forgotten.
func TestRegionsBetweenEdges(t *testing.T) {
	c := &Columns{}
	c.Set(make([]float64, 50), make([]float64, 50))
	c.Set([]float64{1, 0.5, 0.25, 0.125}, []float64{3, 0.5, -0.5, -3})
	r := c.Regions(1, &[MostEdges]float64{1, 1, 1}, 0.9)
	want := Regions{Sum: [4]float64{1 + 0.05*0.5, 0.05*0.25 + 0.125}, Weight: [4]float64{1.05, 1.05}, Count: [4]float64{2, 2}, Full: [4]float64{1, 0}}
	if r != want {
		t.Errorf("got %+v, want %+v", r, want)
	}
}

func BenchmarkGather(b *testing.B) {
	p, a, o := arcOf()
	c := &Columns{}
	n := 0
	for b.Loop() {
		n = c.Gather(p, a)
		c.Choose(o)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/px")
}

func BenchmarkLook(b *testing.B) {
	p, a, o := arcOf()
	c, f := &Columns{}, fitOf()
	c.Gather(p, a)
	c.Choose(o)
	for b.Loop() {
		c.Look(f)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(c.Chosen()), "ns/px")
}

func BenchmarkEquations(b *testing.B) {
	p, a, o := arcOf()
	c, f := &Columns{}, fitOf()
	c.Gather(p, a)
	c.Choose(o)
	c.Look(f)
	out := &Equations{A: make([]float64, 100), B: make([]float64, 10)}
	for b.Loop() {
		c.Equations(f, &Options{Robust: true, Scatter: true, Full: 1, NearlyFull: 1, ScatterShare: 0.3, MostScatter: 3}, out)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(c.Chosen()), "ns/px")
}
