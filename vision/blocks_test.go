package vision

import (
	"math"
	"math/rand/v2"
	"testing"

	"evenrim/model"
	"evenrim/vision/columns"
)

// The pixels that an arc's rows of runs give are those that a look at every pixel of the
// photo gives, each in the arc of its angle: also where the rims are oval by many
// pixels, cut off by the border, or smaller than the reach.
func TestPixelsNearTheRimsAreAllCollected(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	const w, h, n = 260, 220, 96
	p := &Photo{W: w, H: h, Gray8: make([]uint8, w*h)}
	for i := range p.Gray8 {
		p.Gray8[i] = uint8(i)
	}
	px := &columns.Columns{}
	for round := range 40 {
		r := &rims{hasExit: round%2 == 0}
		x, y := rng.Float64()*w, rng.Float64()*h
		radius := 6 + 70*rng.Float64()
		if round == 0 {
			x, y, radius = 100, 100, 6 // the centre is a pixel and within reach
		}
		for k, size := range [nRims]float64{1.2, 1, 0.8} {
			r.curve[k] = curve{Circle: model.Circle{X: x + 4*rng.Float64() - 2, Y: y, R: size * radius}, cos2: 8*rng.Float64() - 4, sin2: 8*rng.Float64() - 4}
		}
		if round == 0 {
			r.curve[bore].Circle.X = x
		}
		stride, reach := 1+round%3, 7+3*rng.Float64()
		r.blur[exit] = reach / 5
		g := r.blocksAt(p, n, stride, true)
		if g.part != 1 {
			t.Fatalf("a share of %g of each arc is looked at, want all", g.part)
		}
		if round%4 == 3 {
			g.part = 0.4
		}
		want := make([]int, n)
		for v := range h {
			for u := range w {
				near := false
				for k := range r.present() {
					near = near || math.Abs(r.curve[k].distance(float64(u), float64(v))) < reach
				}
				dx, dy := float64(u)-r.curve[bore].X, float64(v)-r.curve[bore].Y
				arcs := (math.Atan2(dy, dx)/(2*math.Pi) + 1) * n
				arc := int(arcs) % n
				inPart := g.part == 1 || math.Abs(arcs-math.Floor(arcs)-0.5) < g.part/2
				if near && inPart && (dx != 0 || dy != 0) && arc%stride == 0 {
					want[arc]++
				}
			}
		}
		for i := 0; i < n; i += stride {
			if got := g.gather(i, px); got != want[i] {
				t.Fatalf("round %d: arc %d has %d pixels, want %d", round, i, got, want[i])
			}
		}
	}
}

// While the curves are only brought near, a large photo is looked at in part: as many
// pixels of each arc as of a smaller photo's.
func TestAGlanceTakesInPartOfAWideArc(t *testing.T) {
	const w, n = 64, 96
	p := &Photo{W: w, H: w, Gray8: make([]uint8, w*w)}
	for _, c := range []struct{ arcPx, part float64 }{{5, 1}, {12, 1}, {48, 0.25}} {
		r := &rims{}
		for k := range nRims {
			r.curve[k].R = c.arcPx * n / (2 * math.Pi)
		}
		if g := r.blocksAt(p, n, 1, false); math.Abs(g.part-c.part) > 1e-9 {
			t.Errorf("of arcs %g px wide %g is looked at, want %g", c.arcPx, g.part, c.part)
		}
	}
}

// A distance is the one along the direction from the curve's own centre.
func TestDistanceFromAnOvalCurve(t *testing.T) {
	c := curve{Circle: model.Circle{X: 3, Y: -2, R: 50}, cos2: 2, sin2: -1.5}
	for i := range 24 {
		th := float64(i) * math.Pi / 12
		s, co := math.Sincos(th)
		want := 7.25
		rho := c.radius(th) + want
		if got := c.distance(c.X+rho*co, c.Y+rho*s); math.Abs(got-want) > 1e-9 {
			t.Errorf("at %.0f degrees: %.12f px outside, want %g", th*180/math.Pi, got, want)
		}
	}
}
