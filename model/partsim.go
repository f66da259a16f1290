package model

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// PartSimulation is the budget of a part's readings propagated by simulation
// (JCGM 101), from each photo's budget to each hole, shift and rotation.
type PartSimulation struct {
	Trials     int
	ShiftCov   Sym2 // mm²
	ShiftU95MM float64
	URotation  float64 // rad
	Holes      []HoleSimulation
}

// HoleSimulation is one hole's.
type HoleSimulation struct {
	Hole string
	MonteCarlo
}

// term is one independent source's effect on a hole: displacements for two
// standard variables of its distribution.
type term struct {
	one, two Vec
	line     BudgetLine
	shared   int // index of the variables shared with other terms; -1 = its own
}

// lower is the Cholesky factor of a covariance: two columns.
func (a Sym2) lower() (one, two Vec) {
	l11 := sqrt0(a.XX)
	if l11 > 0 {
		one = Vec{l11, a.XY / l11}
	}
	return one, Vec{0, sqrt0(a.YY - one.Y*one.Y)}
}

// simulator draws the errors of all holes of a part together.
type simulator struct {
	terms  [][]term // by hole
	shared []BudgetLine
	byKey  map[string]int
}

func (s *simulator) share(key string, l BudgetLine) int {
	i, ok := s.byKey[key]
	if !ok {
		i = len(s.shared)
		s.byKey[key], s.shared = i, append(s.shared, l)
	}
	return i
}

// add takes a line of a reading whose error goes into the hole as weight times
// it: wx and wy are the rows of the weight.
func (s *simulator) add(hole int, wx, wy Vec, plusX float64, l BudgetLine, shared int) {
	// In camera axes, so that photos taken differently turned share it rightly.
	one, two := l.Cov.Rotate(plusX).lower()
	one, two = one.Rotate(-plusX), two.Rotate(-plusX)
	s.terms[hole] = append(s.terms[hole], term{Vec{wx.Dot(one), wy.Dot(one)}, Vec{wx.Dot(two), wy.Dot(two)}, l, shared})
}

// addShares takes a line of a reading of hole i, each share of it with what it stays with:
// wx and wy weigh the photo, mean is its part in the mean of the hole's photos.
func (s *simulator) addShares(i int, hole string, wx, wy Vec, mean, plusX float64, l BudgetLine) {
	share := func(f Follows) BudgetLine {
		part := l
		part.Cov = l.Cov.Scale(l.Share(f))
		return part
	}
	if of := share(FollowsCamera); of.Cov != (Sym2{}) {
		s.add(i, wx, wy, plusX, of, s.share("camera "+l.Source, l))
	}
	if of := share(FollowsPart); of.Cov != (Sym2{}) {
		// The mean of the photos', and one error in all of them.
		s.add(i, Vec{mean, 0}, Vec{0, mean}, 0, of, s.share("part "+hole+" "+l.Source, l))
	}
	if of := share(FollowsPhoto); of.Cov != (Sym2{}) {
		s.add(i, wx, wy, plusX, of, -1)
	}
}

func newSimulator(holes []HoleFit) *simulator {
	s := &simulator{terms: make([][]term, len(holes)), byKey: map[string]int{}}
	for i, h := range holes {
		if len(h.Readings) == 0 || len(h.Readings[0].Budget) == 0 {
			s.add(i, Vec{1, 0}, Vec{0, 1}, 0, BudgetLine{Cov: h.Cov}, -1)
			continue
		}
		var used []*Reading
		for k, r := range h.Readings {
			if h.Set == nil || !h.Set.Turns[k].LeftOut {
				used = append(used, r)
			}
		}
		wx, wy := make([]Vec, len(used)), make([]Vec, len(used))
		wx[0], wy[0] = Vec{1, 0}, Vec{0, 1}
		if len(used) > 1 {
			all := make([]bool, len(used))
			for k := range all {
				all[k] = true
			}
			excess := h.Set.ExcessMM
			v := newReversal(used, all, excess)
			for k, r := range used {
				wx[k], wy[k] = v.pairGain(0, 2*k, photoCov(r, excess)), v.pairGain(1, 2*k, photoCov(r, excess))
				s.add(i, wx[k], wy[k], 0, BudgetLine{Cov: Sym2{excess * excess, 0, excess * excess}}, -1)
			}
		}
		for k, r := range used {
			for _, l := range r.Budget {
				s.addShares(i, h.Hole, wx[k], wy[k], 1/float64(len(used)), r.Job.PlusX, l)
			}
		}
	}
	return s
}

// SimulatePart draws the readings of f's holes and walls trials times, within
// MinTrials and MaxTrials, and takes them through the fit. The scatter that a turn
// set showed beyond its photos' budgets is in it as found; what was added for not
// knowing it well, and for a part that doesn't fit (Scale), is not.
func SimulatePart(f *PartFit, trials int, seed uint64) PartSimulation {
	trials = min(max(trials, MinTrials), MaxTrials)
	s := newSimulator(f.Holes)
	b := f.body()
	fit := b.fit(false)
	type gains [3]Vec
	gain := make([]gains, len(f.Holes))
	var wall [][3]float64 // of each wall's row, d(unknown)/d(whitened)
	paired := map[int]bool{}
	for i, h := range f.Holes {
		first := fit.holeRow[i]
		if first < 0 {
			continue
		}
		paired[first], paired[first+1] = true, true
		for j := range 3 {
			gain[i][j] = fit.pairGain(j, first, h.Cov.Add(b.commonOf(h.HoleReading).Rotate(-h.PlusX).Scale(-1)))
		}
	}
	if fit.Gain != nil {
		for i := range fit.ownRows {
			if !paired[i] {
				wall = append(wall, [3]float64{fit.Gain.At(pX, i), fit.Gain.At(pY, i), fit.Gain.At(pTurn, i)})
			}
		}
	}
	at := make([][]Vec, len(f.Holes))
	for i := range at {
		at[i] = make([]Vec, trials)
	}
	shift, turn := make([]Vec, trials), make([]float64, trials)
	inBlocks(trials, seed, func(rng *rand.Rand, from, to int) {
		z := make([]Vec, len(s.shared))
		for t := from; t < to; t++ {
			for i, l := range s.shared {
				z[i] = Vec{drawStandard(l, rng), drawStandard(l, rng)}
			}
			for i := range at {
				e := Vec{}
				for _, q := range s.terms[i] {
					v := Vec{}
					if q.shared >= 0 {
						v = z[q.shared]
					} else {
						v = Vec{drawStandard(q.line, rng), drawStandard(q.line, rng)}
					}
					e = e.Add(q.one.Scale(v.X)).Add(q.two.Scale(v.Y))
				}
				at[i][t] = f.Holes[i].Mismatch.Add(e)
				shift[t] = shift[t].Add(Vec{gain[i][pX].Dot(e), gain[i][pY].Dot(e)})
				turn[t] += gain[i][pTurn].Dot(e)
			}
			for _, w := range wall {
				v := rng.NormFloat64()
				shift[t] = shift[t].Add(Vec{w[pX] * v, w[pY] * v})
				turn[t] += w[pTurn] * v
			}
		}
	})
	out := PartSimulation{Trials: trials}
	for i, h := range f.Holes {
		job := h.Job.WithDefaults()
		out.Holes = append(out.Holes, HoleSimulation{h.Hole, summarise(at[i], job.ToleranceMM, job.Zone)})
	}
	m := summarise(shift, DefaultToleranceMM, RoundZone)
	out.ShiftCov, out.ShiftU95MM = m.Cov, m.U95MM
	mean, sum := meanOf(turn), 0.0
	for _, v := range turn {
		sum += sq(v - mean)
	}
	out.URotation = math.Sqrt(sum / float64(trials-1))
	return out
}

// body rebuilds what f was fitted to.
func (f *PartFit) body() *body {
	holes := make([]HoleReading, len(f.Holes))
	for i, h := range f.Holes {
		holes[i] = h.HoleReading
	}
	walls, steps := make([]Wall, len(f.Walls)), make([]WallStep, len(f.Walls))
	for i, w := range f.Walls {
		walls[i] = Wall{Name: w.Wall, At: w.At, NormalRad: w.NormalRad}
		steps[i] = w.WallStep
	}
	b := newBody(holes, walls, steps)
	for i, h := range f.Holes {
		b.use[i] = !h.LeftOut
	}
	for i, w := range f.Walls {
		b.use[len(holes)+i] = !w.LeftOut
	}
	return b
}

// sortedKeys returns the keys of m in rising order.
func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K {
	keys := make([]K, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
