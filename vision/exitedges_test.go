package vision

import (
	"math"
	"testing"

	"evenrim/vision/synth"
)

// White paper close behind a part seen nearly straight on: the exit rim lies a few pixels
// inside the bore edge, and the paper darkens towards it.
func TestTheExitRimIsFoundAgainstPaperCloseBehindIt(t *testing.T) {
	for _, seed := range []uint64{16778118630780011001, 16778118630780011031, 15060681878671775618} {
		p, truth, job := randomPhoto(t, seed, synth.Coaxial)
		h, err := findRims(p, job)
		if err != nil {
			t.Fatal(err)
		}
		r, _ := settle(p, h, 240)
		r.exitAgain(h)
		at := truth.Image.BoreExit
		if c := r.curve[exit]; !r.hasExit || math.Hypot(c.X-at[0], c.Y-at[1]) > 3 {
			t.Errorf("seed %d: exit rim (%v) at %.1f, %.1f; it is at %.1f, %.1f", seed, r.hasExit, c.X, c.Y, at[0], at[1])
		}
	}
}

// A circle of light well off the hole's middle, and faint: the places that change most
// along their whole length lie on it.
func TestPlacesForTheExitRimLieWhereTheLightChangesAllRound(t *testing.T) {
	m := &regionMap{cx: 400, cy: 390, rho0: 200, n: 220, wall: sloping, backing: sloping}
	m.sums, m.edge = make([]sums, sectors*(m.n+1)), make([]float32, sectors*m.n)
	at := rimGuess{bx: 400, by: 390, br: 380, w: 0.05, ex: 0.13, ey: -0.09, er: 0.78}
	for s := range sectors {
		m.sin[s], m.cos[s] = math.Sincos(2 * math.Pi * float64(s) / sectors)
	}
	m.makeCosts()
	var exits [sectors]float64
	m.cross(&exits, at.bx+at.ex*at.br, at.by+at.ey*at.br, at.er*at.br, 1)
	for s := range sectors {
		row := m.sums[s*(m.n+1):][:m.n+1]
		for k := range m.n {
			v := 0.5
			if float64(k) < exits[s] {
				v = 0.53
			}
			v *= raysInSector
			f := float64(k)
			row[k+1] = sums{row[k].v + v, row[k].v2 + v*v/raysInSector, row[k].kv + v*f, row[k].k2v + v*f*f}
		}
	}
	bare := at
	bare.ex, bare.ey, bare.er = 0, 0, 0
	got := m.alongEdges(bare, expectation{ratio: 1.05, spread: 1, maxOffset: 1, minExit: 0.6, maxExit: 0.95, exitOffset: 0.3})
	if len(got) == 0 || math.Hypot(got[0].g.ex-at.ex, got[0].g.ey-at.ey) > 0.018 || math.Abs(got[0].g.er-at.er) > 0.013 {
		t.Errorf("best places %+v, want (%g, %g) and %g", got, at.ex, at.ey, at.er)
	}
}
