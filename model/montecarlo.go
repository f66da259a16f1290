package model

import (
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"

	"gonum.org/v1/gonum/stat/distuv"
)

// Limits of a Monte Carlo run: below the first a 95 % limit is a guess, above the
// second memory and patience end.
const MinTrials, MaxTrials = 1000, 5_000_000

// trialBlock is how many trials share one random stream: the answer depends on
// the seed alone, not on how many processors share the work.
const trialBlock = 4096

// inBlocks calls work for the trials from <= i < to of each block, on all
// processors, with the block's own random stream.
func inBlocks(n int, seed uint64, work func(rng *rand.Rand, from, to int)) {
	blocks := make(chan int, n/trialBlock+1)
	for b := 0; b*trialBlock < n; b++ {
		blocks <- b
	}
	close(blocks)
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(blocks)) {
		wg.Go(func() {
			for b := range blocks {
				work(rand.New(rand.NewPCG(seed, uint64(b))), b*trialBlock, min((b+1)*trialBlock, n))
			}
		})
	}
	wg.Wait()
}

// Sample is a quantity's values over the trials of a simulation, in rising order.
type Sample []float64

// Symmetric is the interval that leaves equal shares of the trials on both sides.
func (s Sample) Symmetric(p float64) (low, high float64) {
	return s.quantile((1 - p) / 2), s.quantile((1 + p) / 2)
}

func (s Sample) quantile(p float64) float64 {
	x := p * float64(len(s)-1)
	i := min(int(x), len(s)-2)
	return s[i] + (x-float64(i))*(s[i+1]-s[i])
}

// MonteCarlo is a budget propagated by simulation (JCGM 101) instead of by the
// law of propagation of uncertainty.
type MonteCarlo struct {
	Trials  int
	Mean    Vec     // mm
	Cov     Sym2    // mm²
	U95MM   float64 // larger half axis of the ellipse of Cov's shape that holds 95 % of the trials
	Low95   float64 // central 95 % of |d|, mm
	High95  float64
	PWithin float64 // share of the trials inside the zone
}

// drawStandard draws from l's distribution with mean 0, in units of l.U: "rectangular",
// "t" with the line's degrees of freedom, everything else normal.
//
// A "t" line is scaled so that U is its scale, as JCGM 101 6.4.9 has it: with
// few degrees of freedom its spread is larger than U.
func drawStandard(l BudgetLine, rng *rand.Rand) float64 {
	switch {
	case l.Distribution == "rectangular":
		return math.Sqrt(3) * (2*rng.Float64() - 1)
	case l.Distribution == "t" && l.DOF > 0:
		return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: l.DOF, Src: rng}.Rand()
	}
	return rng.NormFloat64()
}

// summarise turns simulated mismatches into a MonteCarlo.
func summarise(at []Vec, toleranceMM float64, zone Zone) MonteCarlo {
	n := float64(len(at))
	m := MonteCarlo{Trials: len(at)}
	for _, v := range at {
		m.Mean = m.Mean.Add(v.Scale(1 / n))
	}
	inside := 0
	size, shape := make(Sample, len(at)), make(Sample, len(at))
	for i, v := range at {
		m.Cov = m.Cov.Add(v.Sub(m.Mean).Outer().Scale(1 / (n - 1)))
		size[i] = v.Norm()
		if zone == SquareZone && math.Max(math.Abs(v.X), math.Abs(v.Y)) <= toleranceMM ||
			zone != SquareZone && size[i] <= toleranceMM {
			inside++
		}
	}
	m.PWithin = float64(inside) / n
	slices.Sort(size)
	m.Low95, m.High95 = size.Symmetric(0.95)
	major, minor, angle := m.Cov.Eigen()
	for i, v := range at {
		// Along the axes of the ellipse; a flat one has no width to divide by.
		w := v.Sub(m.Mean).Rotate(-angle)
		shape[i] = w.X * w.X / math.Max(major, leastU*leastU)
		if minor > 1e-12*major {
			shape[i] += w.Y * w.Y / minor
		}
	}
	slices.Sort(shape)
	m.U95MM = math.Sqrt(shape.quantile(0.95) * math.Max(0, major))
	return m
}
