package synth

import (
	"errors"
	"math"
	"testing"

	"evenrim/model"
)

// straightDown is a clean scene of plain circles: parallel view along the axis.
func straightDown() Scene {
	return Scene{Width: 320, Height: 320, BoreMM: 10, ChamferMM: 0.8, ThicknessMM: 12, PxPerMM: 20, Parallel: true,
		OffX: 0.3, OffY: 0.2, BlurPx: 1.5, Clean: &Clean{Face: 0.6, Chamfer: 0.45, Wall: 0.2, Backing: 0.2, NoiseSD: 0.01}}
}

func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got/want-1) <= rel) {
		t.Errorf("%s = %.6g, want %.6g within %.2g %%", what, got, want, 100*rel)
	}
}

// discSD is the bound on a disc's centre, either axis, px: step height a, noise
// sd, blur s (pixel integration included), radius r. Source: check values 1.4, whole
// disc image, 1.0623 (sn/A) sqrt(s/R) = sqrt(2 s/(sqrt(pi) R)) sn/A.
func discSD(sd, a, s, r float64) float64 {
	return sd / math.Abs(a) * math.Sqrt(2*s/(math.Sqrt(math.Pi)*r))
}

func TestBoundWholeDisc(t *testing.T) {
	for _, blur := range []float64{0.7, 1.5, 2.5} {
		s := straightDown()
		s.BlurPx = blur
		s.Clean.Chamfer = s.Clean.Face // only the bore edge is left
		b, err := CRBOf(s, []Param{HoleU, HoleV, Scale, FaceLevel, WallLevel}, nil)
		if err != nil {
			t.Fatal(err)
		}
		r := s.PxPerMM * s.BoreMM / 2
		want := discSD(0.01, 0.4, math.Sqrt(blur*blur+1./12), r)
		near(t, "sd of the centre, u", b.SD(HoleU), want, 0.01)
		near(t, "sd of the centre, v", b.SD(HoleV), want, 0.01)
		// Scale alone, levels known: the radius, r = scale x 5 mm, has sd / sqrt2.
		b, err = CRBOf(s, []Param{Scale}, nil)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "sd of the radius", b.SD(Scale)*s.BoreMM/2, want/math.Sqrt2, 0.01)
	}
}

// TestBoundTwoDiscs: with the chamfer's edges far apart the mismatch is the
// difference of two independent centres; closer, their pictures overlap.
// For two concentric steps a (outer) and b (bore) the first-harmonic information
// is J = [[Joo, Job], [Job, Jbb]] with Job = ±sqrt(Joo Jbb) exp(-w²/(4 s²)): the overlap
// of two Gaussian line spreads at distance w (derived here; R >> s, w).
func TestBoundTwoDiscs(t *testing.T) {
	for _, widthPx := range []float64{16, 5, 3, 2} {
		s := straightDown()
		s.ChamferMM = widthPx / s.PxPerMM
		b, err := CRBOf(s, []Param{DX, DY, HoleU, HoleV}, nil)
		if err != nil {
			t.Fatal(err)
		}
		eff := math.Sqrt(s.BlurPx*s.BlurPx + 1./12)
		so := discSD(0.01, 0.6-0.45, eff, s.PxPerMM*(s.BoreMM/2+s.ChamferMM))
		sb := discSD(0.01, 0.45-0.2, eff, s.PxPerMM*s.BoreMM/2)
		rho := math.Exp(-widthPx * widthPx / (4 * eff * eff)) // steps of one sign: positive
		// Covariance of the two centres = inverse of J; variance of their difference.
		k := 1 / (1 - rho*rho)
		want := math.Sqrt(k*(so*so+sb*sb+2*rho*so*sb)) / s.PxPerMM
		near(t, "sd of dx", b.SD(DX), want, 0.02)
		near(t, "sd of dy", b.SD(DY), want, 0.02)
		if c := b.Mismatch(); math.Abs(c.XY) > 0.02*c.XX {
			t.Errorf("dx and dy should not be correlated: covariance %+v", c)
		}
	}
}

// TestBoundWithExitRim: freeing the view direction costs little while the exit rim is
// seen, and without it a good deal more.
func TestBoundWithExitRim(t *testing.T) {
	s := cleanScene()
	s.Clean = &Clean{NoiseSD: 0.02}
	all, err := CRB(s)
	if err != nil {
		t.Fatal(err)
	}
	known, err := CRBOf(s, []Param{DX, DY, Width, HoleU, HoleV, Scale}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if r := all.SD(DX) / known.SD(DX); r < 1 || r > 1.5 {
		t.Errorf("everything unknown: sd of dx %.4g mm, view known: %.4g mm; the ratio %.3f should be 1 to 1.5", all.SD(DX), known.SD(DX), r)
	}
	s.Clean = &Clean{Face: 0.6, Chamfer: 0.42, Wall: 0.2, Backing: 0.2, NoiseSD: 0.02}
	hidden, err := CRBOf(s, AllParams, map[Param]float64{InvDistance: 0.003})
	if err != nil {
		t.Fatal(err)
	}
	if hidden.SD(DX) < 3*all.SD(DX) {
		t.Errorf("no exit rim: sd of dx %.4g mm, with it %.4g mm: expected at least three times more", hidden.SD(DX), all.SD(DX))
	}
}

// TestAFitThatKnowsTheModelReachesTheBound: a least-squares fit that knows the image model itself reaches
// the bound. One step from the truth is enough at this noise.
func TestAFitThatKnowsTheModelReachesTheBound(t *testing.T) {
	s := cleanScene()
	s.Width, s.Height, s.PxPerMM = 300, 270, 18
	s.Clean = &Clean{Face: 0.6, Chamfer: 0.42, Wall: 0.28, Backing: 0.78, NoiseSD: 0.02}
	s = s.WithDefaults()
	params := []Param{DX, DY, HoleU, HoleV}
	b, err := CRBOf(s, params, nil)
	if err != nil {
		t.Fatal(err)
	}
	var slopes [][]float32
	for _, p := range params {
		d, err := derivative(s, p)
		if err != nil {
			t.Fatal(err)
		}
		slopes = append(slopes, d)
	}
	mean := meanPicture(s)
	noisy := make([]float32, len(mean))
	const n = 300
	var sum model.Sym2
	for k := range n {
		s.Seed = uint64(k)
		expose(s, noisy, mean)
		var g [4]float64
		for i := range slopes[0] {
			e := float64(noisy[3*i] - mean[3*i])
			for j := range slopes {
				g[j] += e * float64(slopes[j][i])
			}
		}
		var e [2]float64
		for i := range e {
			for j := range g {
				e[i] += b.Cov.At(i, j) * g[j] / (s.Clean.NoiseSD * s.Clean.NoiseSD)
			}
		}
		sum = sum.Add(model.Vec{X: e[0], Y: e[1]}.Outer().Scale(1. / n))
	}
	// A variance from 300 draws is good to 8 %; four of those.
	near(t, "variance of dx over the bound", sum.XX, b.Mismatch().XX, 0.33)
	near(t, "variance of dy over the bound", sum.YY, b.Mismatch().YY, 0.33)
}

func TestABoundWithoutLevelsIsRefused(t *testing.T) {
	if _, err := CRB(Scene{}); err == nil {
		t.Error("a scene without clean levels has no bound, but none was refused")
	}
	s := straightDown()
	if _, err := CRBOf(s, []Param{"colour"}, nil); err == nil {
		t.Error("an unknown unknown was taken")
	}
	// Backing of the wall's own level, straight down: nothing is said of the slopes
	// to first order beyond the chamfer's shift, and dx takes the same shape.
	if _, err := CRBOf(s, []Param{DX, DY, HoleU, HoleV, SlopeX, SlopeY}, nil); !errors.Is(err, ErrSingular) {
		t.Errorf("view and mismatch together without an exit rim: error %v, want ErrSingular", err)
	}
}
