package synth

import (
	"fmt"
	"math"
	"testing"

	"evenrim/model"
)

// cleanScene is a plain scene with every rim in view and rims well apart.
func cleanScene() Scene {
	return Scene{KeepMean: true, Width: 400, Height: 360, BoreMM: 10, ChamferMM: 0.9, ThicknessMM: 12, PxPerMM: 25,
		Mismatch: model.Vec{X: 0.08, Y: -0.05}, TiltX: 3.1 * deg, TiltY: -2.2 * deg, PlusX: 0.4,
		DistanceMM: 120, OffX: 7.3, OffY: -4.1, BlurPx: 1, Clean: &Clean{}}
}

// seen is a second, independent way to say what a line of sight meets: it follows the
// ray through the two convex hollows, cone and then cylinder, by bisection.
func seen(s Scene, o *optics, u, v float64) float64 {
	r := o.ray(u, v)
	rad, big, k := s.BoreMM/2, s.BoreMM/2+s.ChamferMM, math.Tan(s.HalfAngle)
	inCone := func(z float64) bool { return r.at(z).Sub(s.Mismatch).Norm() < big+z*k && big+z*k > 0 }
	inBore := func(z float64) bool { return r.at(z).Norm() < rad }
	if !inCone(0) && !inBore(0) {
		return s.Clean.Face
	}
	leave := func(in func(float64) bool, from float64) float64 { // last height inside a convex hollow
		lo, hi := from, -s.ThicknessMM
		for range 50 {
			if m := (lo + hi) / 2; in(m) {
				lo = m
			} else {
				hi = m
			}
		}
		return lo
	}
	z := 0.0
	if inCone(0) {
		if z = leave(inCone, 0); !inBore(z) {
			return s.Clean.Chamfer
		}
	}
	if inBore(-s.ThicknessMM) {
		return s.Clean.Backing
	}
	return s.Clean.Wall
}

// TestSampleAgainstBruteForce compares the exact areas with 60 x 60 point samples in
// pixels that the rims cross: ordinary edges, the exit rim passing under the bore
// edge, a vanished chamfer, lens distortion.
func TestSampleAgainstBruteForce(t *testing.T) {
	for _, tt := range []struct {
		name string
		edit func(*Scene)
	}{
		{"plain", func(s *Scene) {}},
		{"straight down, parallel", func(s *Scene) { s.TiltX, s.TiltY, s.Parallel = 0, 0, true }},
		{"leaning 8 degrees", func(s *Scene) { s.TiltX = 8 * deg }},
		{"vanished", func(s *Scene) { s.ChamferMM, s.Mismatch = 0.2, model.Vec{X: 0.25, Y: 0.1} }},
		{"narrower than a pixel", func(s *Scene) { s.ChamferMM, s.Mismatch = 0.03, model.Vec{X: 0.012} }},
		{"30 degrees", func(s *Scene) { s.HalfAngle = 30 * deg }},
		{"distorted", func(s *Scene) { s.K1 = 0.05 }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := cleanScene()
			tt.edit(&s)
			s = s.WithDefaults()
			if err := s.Validate(); err != nil {
				t.Fatal(err)
			}
			r := newRenderer(s)
			const n = 60
			var worst, sum float64
			var count int
			for y := 0; y < s.Height; y++ {
				for x := 0; x < s.Width; x++ {
					u, v := float64(x), float64(y)
					p := r.g.at(u, v)
					if !r.cross(&p) {
						if (x+2*y)%3 != 0 {
							continue
						}
						// No rim: the nine points of the pixel must agree.
						want := r.plain(&p, u, v)
						for _, e := range [][2]float64{{-.49, -.49}, {.49, -.49}, {-.49, .49}, {.49, .49}} {
							if got := seen(s, &r.g.op, u+e[0], v+e[1]); got != want.metal+want.back {
								t.Fatalf("pixel (%d, %d) is taken for plain %g but its corner %v sees %g", x, y, want.metal+want.back, e, got)
							}
						}
						continue
					}
					if (x*7+y*13)%41 != 0 {
						continue
					}
					slope := r.slopesAt(u, v)
					var got float64
					for j := range r.k {
						for i := range r.k {
							l := r.sample(u+(float64(i)+.5)/float64(r.k)-.5, v+(float64(j)+.5)/float64(r.k)-.5, &slope)
							got += (l.metal + l.back) / float64(r.k*r.k)
						}
					}
					var want float64
					for j := range n {
						for i := range n {
							want += seen(s, &r.g.op, u+(float64(i)+.5)/n-.5, v+(float64(j)+.5)/n-.5) / (n * n)
						}
					}
					d := got - want
					worst = max(worst, math.Abs(d))
					sum += d
					count++
				}
			}
			// 60 x 60 points place a level edge to 1/120 px: contrasts are below 0.5.
			if count < 40 || worst > 0.0055 || math.Abs(sum/float64(count)) > 2e-4 {
				t.Errorf("%d pixels: worst difference %.5f (limit 0.0055), mean %.6f (limit 0.0002)", count, worst, sum/float64(count))
			}
		})
	}
}

// TestEdgesLieWhereTheTruthSays fits a blurred step to the finished picture across every rim and
// compares its place with the truth. The model of the step is the image model's:
// variance blur² + 1/12, and the curvature term of a blurred disc, whose half-level
// lies s²/(2R) inside (Verbeek & van Vliet; check values from memory).
func TestEdgesLieWhereTheTruthSays(t *testing.T) {
	for _, blur := range []float64{0.5, 0.7, 1, 1.6, 2.5} {
		t.Run(fmt.Sprintf("blur %g", blur), func(t *testing.T) {
			s := cleanScene()
			s.Width, s.Height, s.PxPerMM, s.BlurPx = 800, 720, 50, blur
			whole, truth, err := Draw(s)
			if err != nil {
				t.Fatal(err)
			}
			s.Clean = &Clean{Face: 0.6, Chamfer: 0.42, Wall: 0.3, Backing: 0.3} // no exit rim near the bore edge
			noExit, _, err := Draw(s)
			if err != nil {
				t.Fatal(err)
			}
			im := truth.Image
			for _, rim := range []struct {
				name string
				at   []Point
			}{{"outer", im.Outer}, {"bore", im.Bore}, {"exit", im.Exit}} {
				p := noExit
				if rim.name == "exit" {
					p = whole
				}
				var worst, sum float64
				var n int
				for i, q := range rim.at {
					a, b := rim.at[(i+71)%72], rim.at[(i+1)%72]
					tx, ty := b[0]-a[0], b[1]-a[1]
					l := math.Hypot(tx, ty)
					nx, ny := ty/l, -tx/l
					// radius of curvature from the chord's sagitta
					sag := math.Abs((q[0]-(a[0]+b[0])/2)*nx + (q[1]-(a[1]+b[1])/2)*ny)
					radius := l * l / (8 * sag)
					if (q[0]-im.BoreAxis[0])*nx+(q[1]-im.BoreAxis[1])*ny < 0 {
						nx, ny = -nx, -ny
					}
					if rim.name == "exit" && !exitClear(im, i, 5*blur+2) {
						continue
					}
					d := fitStep(p, q[0], q[1], nx, ny, math.Sqrt(blur*blur+1./12), radius)
					worst = max(worst, math.Abs(d))
					sum += d
					n++
				}
				if n < 20 || worst > 0.005 || math.Abs(sum/float64(n)) > 0.001 {
					t.Errorf("%s edge: worst error %.4f px (limit 0.005), mean %.5f (limit 0.001), %d places", rim.name, worst, sum/float64(n), n)
				}
			}
		})
	}
}

// exitClear says whether the exit rim at direction i is in view, clear of the bore edge.
func exitClear(im ImageTruth, i int, clear float64) bool {
	e := im.Exit[i]
	in := math.Hypot(e[0]-im.BoreAxis[0], e[1]-im.BoreAxis[1])
	for _, b := range im.Bore {
		if math.Hypot(e[0]-b[0], e[1]-b[1]) < clear+8 {
			return false
		}
	}
	b := im.Bore[i]
	return in < math.Hypot(b[0]-im.BoreAxis[0], b[1]-im.BoreAxis[1])
}

// fitStep fits base + height x Phi(...) to the pixels in a strip across the edge at
// (x, y) and returns how far outside the edge lies.
func fitStep(p *Picture, x, y, nx, ny, sd, radius float64) float64 {
	type obs struct{ d, v float64 }
	var all []obs
	const along = 6.0
	reach := 4*sd + 1
	for j := int(y - 15); j <= int(y+15); j++ {
		for i := int(x - 15); i <= int(x+15); i++ {
			dx, dy := float64(i)-x, float64(j)-y
			d, a := dx*nx+dy*ny, -dx*ny+dy*nx
			if math.Abs(a) > along {
				continue
			}
			d += a * a / (2 * radius) // the edge bends away from its tangent
			if math.Abs(d) < reach {
				all = append(all, obs{d, float64(p.Mean[3*(j*p.Width+i)])})
			}
		}
	}
	place := 0.0
	for range 8 { // Gauss-Newton in place, base and height
		var m [3][4]float64
		lo, hi := levels(all, func(o obs) float64 { return step(o.d-place, sd, radius) }, func(o obs) float64 { return o.v })
		for _, o := range all {
			g := -(hi - lo) * (step(o.d-place+1e-4, sd, radius) - step(o.d-place-1e-4, sd, radius)) / 2e-4
			f := step(o.d-place, sd, radius)
			row := [3]float64{g, 1, f}
			res := o.v - lo - (hi-lo)*f
			for r := range 3 {
				for c := range 3 {
					m[r][c] += row[r] * row[c]
				}
				m[r][3] += row[r] * res
			}
		}
		for c := range 3 {
			for r := range 3 {
				if r != c {
					k := m[r][c] / m[c][c]
					for e := range 4 {
						m[r][e] -= k * m[c][e]
					}
				}
			}
		}
		place += m[0][3] / m[0][0]
	}
	return place
}

// step is the share of the outer level at distance d outside a blurred edge of the
// given radius of curvature.
func step(d, sd, radius float64) float64 {
	x := d / sd
	return 0.5*math.Erfc(-x/math.Sqrt2) + sd/(2*radius)*math.Exp(-x*x/2)/math.Sqrt(2*math.Pi)
}

func levels[T any](all []T, f, v func(T) float64) (lo, hi float64) {
	var sf, sff, sv, sfv, n float64
	for _, o := range all {
		a, b := f(o), v(o)
		sf, sff, sv, sfv, n = sf+a, sff+a*a, sv+b, sfv+a*b, n+1
	}
	k := (n*sfv - sf*sv) / (n*sff - sf*sf)
	lo = (sv - k*sf) / n
	return lo, lo + k
}
