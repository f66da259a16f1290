package model

import (
	"math"
	"math/rand/v2"
	"testing"
)

// patchy moves a rim's points outwards over stretches of up to 30 degrees by a random
// amount each, as texture, light and a tracer that went astray do.
func patchy(rim []EdgePoint, c Camera, px float64, rng *rand.Rand) {
	for range 12 {
		at, half := 2*math.Pi*rng.Float64(), 0.05+0.2*rng.Float64()
		by := px * rng.NormFloat64()
		for i := range rim {
			e := &rim[i]
			a := math.Atan2(e.Y-c.CY, e.X-c.CX)
			if d := math.Abs(wrapPi(a - at)); d < half {
				e.X, e.Y = e.X+by*math.Cos(a), e.Y+by*math.Sin(a)
			}
		}
	}
}

// Of rims that only scatter the variance that the pieces bear out is that of the
// mismatches themselves. Of rims that err in patches it is half of that or more, where points
// taken as independent have a fifth, and enlarged for its few degrees of freedom it makes
// regions that hold the truth.
func TestPiecesBearOutThePatchesOfARim(t *testing.T) {
	const n, scatter = 150, 0.05
	for _, patches := range []float64{0, 0.2} {
		rng := rand.New(rand.NewPCG(8, 5))
		var actual, pieces, points float64 // summed variances, mm²
		held := 0
		for range n {
			v := leaning(0.05*rng.Float64(), rng)
			tr := v.trace(scatter, true, rng)
			patchy(tr.Outer, v.cam, patches, rng)
			patchy(tr.Bore, v.cam, patches, rng)
			job := v.job().WithDefaults()
			f, err := fitRims(&tr, job)
			if err != nil {
				t.Fatal(err)
			}
			off := Vec{f.fit.P[qDX], f.fit.P[qDY]}.Sub(v.solid.Mismatch)
			c, p := f.piecesCov(), f.groupCov(func(r row) bool { return r.index >= 0 })
			actual += sq(off.X) + sq(off.Y)
			pieces += (c.XX + c.YY) / fewDOF(piecesDOF)
			points += p.XX + p.YY
			if c.Add(p).Mahalanobis2(off) < chiSquared95 {
				held++
			}
		}
		t.Logf("patches of %.2f px: actual %.3f um, by pieces %.3f, by points %.3f", patches,
			1000*math.Sqrt(actual/n/2), 1000*math.Sqrt(pieces/n/2), 1000*math.Sqrt(points/n/2))
		least := 0.8
		if patches > 0 {
			least = 0.45
		}
		if pieces < least*actual || pieces > 1.3*actual {
			t.Errorf("patches of %.2f px: the pieces' variance is %.2f of the mismatches' own", patches, pieces/actual)
		}
		if held < n*92/100 {
			t.Errorf("patches of %.2f px: %d of %d regions hold the truth", patches, held, n)
		}
		if patches > 0 && points > 0.3*actual {
			t.Errorf("the points' variance is %.2f of the mismatches' own: the patches are too small to test anything", points/actual)
		}
	}
}

// Where the knife falls hardly matters: with the photo turned by half a piece the pieces
// are the same, and by less than that much the same.
func TestPiecesDoNotDependOnHowThePhotoIsTurned(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for range 10 {
		v := leaning(0.04, rng)
		tr := v.trace(0.05, true, rng)
		tr.WidthPx = tr.HeightPx
		v.cam.CX = v.cam.CY
		for _, rim := range [][]EdgePoint{tr.Outer, tr.Bore, tr.Exit} {
			for i := range rim {
				rim[i].X -= 200 // to the middle of what is a square now
			}
		}
		patchy(tr.Bore, v.cam, 0.2, rng)
		by := func(a float64) float64 {
			s, c := math.Sincos(a)
			turned := tr
			for _, rim := range []*[]EdgePoint{&turned.Outer, &turned.Bore, &turned.Exit} {
				*rim = append([]EdgePoint(nil), *rim...)
				for i := range *rim {
					e := &(*rim)[i]
					x, y := e.X-v.cam.CX, e.Y-v.cam.CY // y is down, the turn counter-clockwise
					e.X, e.Y = v.cam.CX+x*c+y*s, v.cam.CY-x*s+y*c
				}
			}
			job := v.job()
			job.PlusX += a
			r, err := Solve(turned, job)
			if err != nil {
				t.Fatal(err)
			}
			return r.U95MM
		}
		still := by(0)
		if half := by(math.Pi / piecesOfRim); math.Abs(half/still-1) > 0.05 {
			t.Errorf("turned by half a piece: u95 %.6f mm, not turned %.6f", half, still)
		}
		if some := by(0.17); math.Abs(some/still-1) > 0.3 {
			t.Errorf("turned by 10 degrees: u95 %.6f mm, not turned %.6f", some, still)
		}
	}
}

// What even light does, an edge that waves an even number of times, leaves the centre where it is.
// Pairs of opposite pieces say so: of such rims that err in patches besides the regions hold the truth
// and are smaller than those of pieces by themselves, which take the waves for chance.
func TestEvenLightIsNoDoubtOfTheCentre(t *testing.T) {
	const n = 150
	for _, tt := range []struct {
		waves       float64
		least, most float64 // of the even light's variance over the other's
	}{{0.1, 0.05, 0.5}, {0, 0.6, 1.1}} {
		rng := rand.New(rand.NewPCG(12, 5))
		var even, other float64 // summed variances, mm²
		held := 0
		for range n {
			v := leaning(0.05*rng.Float64(), rng)
			tr := v.trace(0.05, true, rng)
			for _, rim := range [][]EdgePoint{tr.Outer, tr.Bore} {
				patchy(rim, v.cam, 0.1, rng)
				for _, order := range []int{2, 4, 6} {
					wave(rim, v.cam, tt.waves*rng.NormFloat64(), 2*math.Pi*rng.Float64(), order)
				}
			}
			job := v.job().WithDefaults()
			f, err := fitRims(&tr, job)
			if err != nil {
				t.Fatal(err)
			}
			plain := f.piecesCov()
			tr.EvenLight = [3]bool{true, true}
			pairs := f.piecesCov()
			even += pairs.XX + pairs.YY
			other += plain.XX + plain.YY
			off := Vec{f.fit.P[qDX], f.fit.P[qDY]}.Sub(v.solid.Mismatch)
			if pairs.Add(f.groupCov(func(r row) bool { return r.index >= 0 })).Mahalanobis2(off) < chiSquared95 {
				held++
			}
		}
		if ratio := even / other; ratio < tt.least || ratio > tt.most {
			t.Errorf("waves of %.1f px: the pairs' variance is %.2f of the pieces'", tt.waves, ratio)
		}
		if held < n*92/100 {
			t.Errorf("waves of %.1f px: %d of %d regions hold the truth", tt.waves, held, n)
		}
	}
}
