package plan

import (
	"math"
	"sort"

	"evenrim/model"
)

// Outlook is the answer to "will this flip hold the tolerance?".
type Outlook struct {
	Flip     Flip
	Features []FeatureOutlook
	Worst    int // index of the feature with the smallest share within tolerance
	// All is the share of parts that are within tolerance at every feature, by
	// simulation, with its standard uncertainty.
	All, AllU float64
	// Sources by what they contribute at the worst feature, the largest first.
	Sources []Contributor
	Parts   int // simulated
}

// FeatureOutlook is what to expect at one hole or wall, in closed form, and how many parts
// hold there by simulation.
type FeatureOutlook struct {
	Feature
	Mean model.Vec  // mm
	Cov  model.Sym2 // mm²
	// Mid95MM is the size that 95 % of parts stay below: |d| of a hole, |step| of a
	// wall.
	Mid95MM float64
	// Within is the share of parts within tolerance; SimWithin is that by simulation.
	Within, SimWithin float64
}

// StepMM is the wall's expected step and its standard deviation, mm.
func (o FeatureOutlook) StepMM() (mean, sd float64) {
	n := model.Polar(1, o.NormalRad)
	return o.Mean.Dot(n), math.Sqrt(variance(o.Cov, n))
}

// Contributor is one source of error.
type Contributor struct {
	Source Source
	// RMSMM is what it alone does at the worst feature: root mean square, mm; Share
	// its part of the whole mean square.
	RMSMM, Share float64
	// HalvedWithin is the share of parts within tolerance at the worst feature once
	// it is half as large; HalvedMid95MM the size that 95 % of them stay below.
	HalvedWithin, HalvedMid95MM float64
}

// Parts simulated unless a caller asks otherwise: the share of parts is then known
// to within 1 % (95 %).
const defaultParts = 20000

// Look answers the question; parts = 0 simulates the usual number. The error is an
// *InputError.
func (f Flip) Look(parts int, seed uint64) (Outlook, error) {
	if err := f.Validate(); err != nil {
		return Outlook{}, err
	}
	if parts <= 0 {
		parts = defaultParts
	}
	sim := f.Simulate(parts, seed)
	o := Outlook{Flip: f, All: sim.All, AllU: sim.AllU(), Parts: parts}
	for i, t := range f.Features {
		q := f.expect(t)
		q.SimWithin = sim.Share[i]
		o.Features = append(o.Features, q)
		if worse(q, o.Features[o.Worst]) {
			o.Worst = i
		}
	}
	t := f.Features[o.Worst]
	total := 0.0
	for s := range nSources {
		if part := f.share(s, t); part > 0 {
			half := f.Halved(s).expect(t)
			o.Sources = append(o.Sources, Contributor{Source: s, RMSMM: math.Sqrt(part), Share: part, HalvedWithin: half.Within, HalvedMid95MM: half.Mid95MM})
			total += part
		}
	}
	for i := range o.Sources {
		o.Sources[i].Share /= total
	}
	sort.SliceStable(o.Sources, func(i, j int) bool { return o.Sources[i].Share > o.Sources[j].Share })
	return o, nil
}

// worse says that fewer parts are within tolerance at a than at b, or that it is
// larger there where shares cannot be told apart.
func worse(a, b FeatureOutlook) bool {
	if math.Abs(a.Within-b.Within) > 1e-6 {
		return a.Within < b.Within
	}
	return a.Mid95MM > b.Mid95MM
}

// expect is the closed form at one feature.
func (f Flip) expect(t Feature) FeatureOutlook {
	o := FeatureOutlook{Feature: t}
	o.Mean, o.Cov = f.Expected(t)
	if t.Wall {
		mean, sd := o.StepMM()
		o.Within = inside(mean, sd, f.ToleranceMM)
		o.Mid95MM = bisect(math.Abs(mean)+6*sd, func(x float64) bool { return inside(mean, sd, x) >= 0.95 })
		return o
	}
	o.Within = model.PWithin(o.Mean, o.Cov, f.ToleranceMM, f.Zone)
	s := math.Sqrt(o.Cov.XX + o.Cov.YY)
	o.Mid95MM = bisect(o.Mean.Norm()+6*s, func(x float64) bool { return model.PWithin(o.Mean, o.Cov, x, model.RoundZone) >= 0.95 })
	return o
}

// inside is the probability that a normal variable lies within +/-half.
func inside(mean, sd, half float64) float64 {
	if sd == 0 {
		if math.Abs(mean) <= half {
			return 1
		}
		return 0
	}
	k := 1 / (sd * math.Sqrt2)
	return (math.Erfc((math.Abs(mean)-half)*k) - math.Erfc((math.Abs(mean)+half)*k)) / 2
}

// bisect returns the least x in 0..most at which enough holds, to a millionth of
// most; 0 when most is 0.
func bisect(most float64, enough func(x float64) bool) float64 {
	lo, hi := 0.0, most
	for range 24 {
		if mid := (lo + hi) / 2; enough(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}
