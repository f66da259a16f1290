package model

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// A chamfer of half or twice the nominal width is read, with a word on the tool; one of two
// fifths or two and a half times, or further off, is no chamfer of this card's, unless the card
// names no width or a person has marked the edges.
func TestAWidthFarFromTheCardsIsNotRead(t *testing.T) {
	v := view{
		Camera{CX: 799.5, CY: 599.5, U0: 800, V0: 600, PxPerMM: 64, InvDistPerMM: 1.0 / 150, SlopeX: 0.02, PlusX: 0.3},
		Solid{RadiusMM: 5, WidthMM: 0.3, ThicknessMM: 10, HalfAngle: math.Pi / 4, Mismatch: Vec{0.02, -0.01}},
	}
	trace := v.trace(0, true, nil)
	for _, c := range []struct {
		nominal float64
		helped  string
		read    bool
	}{
		{0.15, "", true}, {0.6, "", true}, {0.075, "", false}, {1.2, "", false}, {0.12, "", false}, {0.75, "", false}, {0, "", true}, {0.075, "outer edge", true},
	} {
		job := v.job()
		job.ChamferMM = c.nominal
		trace.HelpedBy = c.helped
		r, err := Solve(trace, job)
		var refused *Refusal
		switch {
		case c.read && err != nil:
			t.Errorf("nominal %g mm, helped %q: %v", c.nominal, c.helped, err)
		case c.read && r.Mismatch.Sub(v.solid.Mismatch).Norm() > 1e-3:
			t.Errorf("nominal %g mm: read %v, want %v", c.nominal, r.Mismatch, v.solid.Mismatch)
		case !c.read && (!errors.As(err, &refused) || refused.Reason != Unsure):
			t.Errorf("nominal %g mm: %v, want a refusal", c.nominal, err)
		}
	}
}

// out moves the stretch of a rim from a quarter turn to three by px outwards.
func out(rim []EdgePoint, c Camera, px float64) {
	for i := range rim {
		e := &rim[i]
		if a := math.Atan2(e.Y-c.CY, e.X-c.CX); math.Cos(a) < 0 {
			e.X, e.Y = e.X+px*math.Cos(a), e.Y+px*math.Sin(a)
		}
	}
}

// A bore edge that lies out of place over half of the hole makes the chamfer narrower than the
// card's and the bore edge scatter: what that may do to the mismatch is stated.
func TestAnEdgeOutOfPlaceIsInTheUncertainty(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 27))
	held, before := 0, 0
	const n = 40
	for range n {
		v := leaning(0.02, rng)
		tr := v.trace(0.1, true, rng)
		out(tr.Bore, v.cam, 4)
		job := v.job()
		job.ChamferMM = v.solid.WidthMM
		r, err := Solve(tr, job)
		if err != nil {
			t.Fatal(err)
		}
		if v.heldBy(r) {
			held++
		}
		job.ChamferMM = 0 // a card that names no width can't tell
		if r, err = Solve(tr, job); err != nil {
			t.Fatal(err)
		}
		if v.heldBy(r) {
			before++
		}
	}
	if held < n*9/10 || before > n/2 {
		t.Errorf("%d of %d regions hold the truth, %d without the width", held, n, before)
	}
}

// Smooth edges are believed, whatever the card says of the width.
func TestAWrongCardIsNoDoubtOfSmoothEdges(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 28))
	v := leaning(0.02, rng)
	tr := v.trace(0.1, true, rng)
	for _, nominal := range []float64{0.15, 0.24, 0.3, 0.36, 0.6} {
		job := v.job()
		job.ChamferMM = nominal
		with, err := Solve(tr, job)
		if err != nil {
			t.Fatal(err)
		}
		job.ChamferMM = 0
		without, err := Solve(tr, job)
		if err != nil {
			t.Fatal(err)
		}
		if grows := with.U95MM / without.U95MM; grows > 1.3 {
			t.Errorf("card says %g mm of 0.3: the uncertainty is %.2f times as large", nominal, grows)
		}
		line := with.Budget[len(with.Budget)-1]
		if line.Source != SourceWidth || line.Cov.XX < 0 || line.Cov.XX != line.Cov.YY {
			t.Errorf("card says %g mm: last line %+v", nominal, line)
		}
	}
}

func TestChanceOfAnEdgeOutOfPlace(t *testing.T) {
	// By hand from Bayes' rule: 2 px off at a scatter of 0.8 px, a card good to 0.7 px, a chamfer of 12 px.
	prior := 0.35 * 0.64
	outOf := prior * math.Exp(-0.8) / 5
	wrong := 0.1 / (2 * math.Ln2 * 12)
	right := 0.9 * math.Exp(-4/0.49/2) / (0.7 * math.Sqrt(2*math.Pi))
	// At 40 px/mm the chamfer is 0.3 mm wide and known to 0.7 px by card and rims together.
	sd := math.Sqrt(sq(0.7/40) - sq(cardSD*0.3))
	card := JobCard{ChamferMM: 0.3}.WidthDensity(0.35, sd) / 40
	if want := wrong + right; math.Abs(card-want) > 1e-12 {
		t.Errorf("density %.6f by card, want %.6f", card, want)
	}
	if got, want := outOfPlaceChance(2, 0.8, card), outOf/(outOf+(1-prior)*card); math.Abs(got-want) > 1e-12 {
		t.Errorf("chance %.4f, want %.4f", got, want)
	}
	if d := (JobCard{}).WidthDensity(0.3, sd); d != 1 {
		t.Errorf("a card without a width makes one of 0.3 mm %g likely, want no say", d)
	}
	rapid.Check(t, func(t *rapid.T) {
		off := rapid.Float64Range(-20, 20).Draw(t, "off")
		scatter := rapid.Float64Range(0, 3).Draw(t, "scatter")
		known := rapid.Float64Range(0.05, 3).Draw(t, "known")
		width := rapid.Float64Range(1, 100).Draw(t, "width")
		chance := func(off, scatter float64) float64 {
			return outOfPlaceChance(off, scatter, JobCard{ChamferMM: width}.WidthDensity(width+off, known))
		}
		p := chance(off, scatter)
		if !(p >= 0 && p < 1) {
			t.Fatalf("chance %g", p)
		}
		if more := chance(off, scatter*1.1); more < p-1e-9 {
			t.Fatalf("a rougher edge is likelier to be in place: %g, then %g", p, more)
		}
		if other := chance(-off, scatter); math.Abs(other-p) > 1e-9 {
			t.Fatalf("wider and narrower differ: %g and %g", p, other)
		}
	})
}

// The two factors are what their comments say: worked out here by summing.
func TestWhatAStretchOutOfPlaceMoves(t *testing.T) {
	const n = 10000
	sum := 0.0
	for i := range n {
		a := math.Pi * (0.25 + 0.75*(float64(i)+0.5)/n)
		sum += sq(2*math.Sin(a)/a) / 2 / n
	}
	if got := math.Sqrt(sum); math.Abs(got-stretchMoves) > 0.005 {
		t.Errorf("a stretch moves the mismatch by %.4f of the width, not %g", got, stretchMoves)
	}
	// Half of a rim out by 1, against what its mean and its first wave leave.
	var square, mean, cos float64
	for i := range n {
		a := 2 * math.Pi * (float64(i) + 0.5) / n
		if c := math.Cos(a); c > 0 {
			square, mean, cos = square+1.0/n, mean+1.0/n, cos+2*c/n
		}
	}
	if got := cos / math.Sqrt2 / math.Sqrt(square-sq(mean)-sq(cos)/2); math.Abs(got-stretchScatters) > 0.005 {
		t.Errorf("half of a rim moves the mismatch by %.4f of its scatter, not %g", got, stretchScatters)
	}
}
