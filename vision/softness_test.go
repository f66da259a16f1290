package vision

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"evenrim/model"
)

// turnedPhoto is a picture of rings about one centre: light by distance from it, px,
// blurred by a Gaussian of sd blurPx, with noise.
func turnedPhoto(light func(r float64) float64, blurPx float64) *Photo {
	const w, h, fine = 900, 900, 20 // steps a px
	rng := rand.New(rand.NewPCG(1, 2))
	profile := make([]float64, 640*fine)
	for i := range profile {
		sum, n := 0.0, 0.0
		for k := -4 * blurPx; k <= 4*blurPx; k += 1.0 / fine {
			g := math.Exp(-k * k / (2 * blurPx * blurPx))
			sum, n = sum+g*light(math.Abs(float64(i)/fine+k)), n+g
		}
		profile[i] = sum / n
	}
	p := &Photo{W: w, H: h, Gray8: make([]uint8, w*h)}
	for i := range p.Gray8 {
		r := math.Hypot(float64(i%w)-450.3, float64(i/w)-449.6)
		v := profile[int(r*fine)] + 0.003*rng.NormFloat64()
		p.Gray8[i] = uint8(255*encodedOf(min(max(v, 0), 1)) + rng.Float64())
	}
	return p
}

// A wall whose light falls off from the chamfer's own, as in light through the lens,
// has its bore edge where the light begins to fall. Fitted as soft as it looks the edge
// lies in the wall, as sharp as the lens makes the outer edge nearer to the truth, and
// what is left is beyondSharp times the difference of the two. A step both place alike
// and right.
func TestABoreEdgeLiesBeyondItsSharpFit(t *testing.T) {
	const bore, outer, exit, lens = 300.0, 318.0, 255.0, 1.2
	job := model.JobCard{BoreMM: 10, ChamferMM: 0.6, ThicknessMM: 15}.WithDefaults()
	photo := func(wall func(inside float64) float64) *Photo {
		return turnedPhoto(func(r float64) float64 {
			switch {
			case r > outer:
				return 0.6
			case r > bore:
				return 0.25
			case r > exit:
				return wall(bore - r)
			}
			return 0.01
		}, lens)
	}
	fits := func(p *Photo) (sharpIn, softer float64, r *rims) {
		h, err := findRims(p, job)
		if err != nil {
			t.Fatal(err)
		}
		r, _ = settle(p, h, 240)
		_, blurred := r.arcs(p, 240, fewArcs, laterLimit, askBlur)
		g, sharp := r.arcs(p, 240, fewArcs, laterLimit, askNothing)
		outwards, _ := g.between(sharp, blurred, 1)
		n := 0.0
		for _, e := range g.points(r, sharp, 1) {
			sharpIn, n = sharpIn+bore-math.Hypot(e.X-450.3, e.Y-449.6), n+1
		}
		return sharpIn / n, -outwards, r
	}
	var ratios []float64
	for _, fall := range []float64{4, 6, 8, 12} { // px over which the light falls to 1/e
		in, softer, r := fits(photo(func(d float64) float64 { return 0.25 * math.Exp(-d/fall) }))
		if in < 0.1 || softer < 0.1 {
			t.Errorf("light that falls over %g px: the sharp fit %.2f px in the wall, the soft one %.2f px deeper; want both", fall, in, softer)
		}
		if r.blur[1] > 1.1*r.blur[0] {
			t.Errorf("light that falls over %g px: bore edge fitted with a blur of %.2f px, the lens has %.2f", fall, r.blur[1], r.blur[0])
		}
		ratios = append(ratios, in/softer)
	}
	slices.Sort(ratios)
	if m := (ratios[1] + ratios[2]) / 2; math.Abs(m-beyondSharp) > 0.25 {
		t.Errorf("the truth lies %.2f differences beyond the sharp fit in the middle (%.2f), want %.1f", m, ratios, beyondSharp)
	}
	if in, softer, _ := fits(photo(func(float64) float64 { return 0.08 })); math.Abs(in) > 0.15 || math.Abs(softer) > 0.1 {
		t.Errorf("a step: the sharp fit %.2f px in the wall, the soft one %.2f px deeper; want neither", in, softer)
	}
}

// Where the wall's light falls off over more px on one side, as at a slant, soft and
// sharp fit differ once round, and the place of the bore edge is in doubt by it.
func TestSoftnessThatDiffersRoundTheRimIsInDoubt(t *testing.T) {
	g := &blocks{n: 120}
	sharp, blurred := make([]arcFit, 120), make([]arcFit, 120)
	for i := range sharp {
		sharp[i].found[1], blurred[i].found[1] = true, true
		sharp[i].edge[1].sd = 0.1
		sin, cos := math.Sincos(g.angle(i))
		blurred[i].edge[1].shift = -0.4 + 0.3*cos - 0.1*sin
	}
	outwards, move := g.between(sharp, blurred, 1)
	if math.Abs(outwards+0.4) > 1e-9 || move.Sub(model.Vec{X: 0.3, Y: -0.1}).Norm() > 1e-9 {
		t.Errorf("rims %.3f px apart all round and moved by %v, want -0.4 and (0.3, -0.1)", outwards, move)
	}
}
