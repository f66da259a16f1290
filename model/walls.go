package model

import (
	"fmt"
	"math"
)

// Wall is a wall milled half from each side, with the step between the halves as
// an indicator read it. Axes are setup 2's.
type Wall struct {
	Name      string
	At        Vec     // a point of the wall, mm: where the readings' middle is
	NormalRad float64 // outward normal
	// StepMM are the readings, mm: how far setup 2's half stands proud (+) or shy
	// (-) of setup 1's.
	StepMM []float64
	// AlongMM says where each was taken: mm from At along the wall,
	// counter-clockwise round the part. nil = all at At.
	AlongMM      []float64
	ResolutionMM float64 // of one division; 0 = DefaultDivisionMM
}

// DefaultDivisionMM is 0.0005 in, the coarser of the two usual test indicators
// (common practice, no source): used, with a warning, where none is given.
const DefaultDivisionMM = 0.0127

// indicatorGainU is the relative standard uncertainty of an indicator's reading:
// a lever 8 degrees off square reads 1 % too much (cosine).
const indicatorGainU = 0.01

// WallStep is what the readings of one wall say, mm.
type WallStep struct {
	Wall   string
	N      int
	MeanMM float64
	// SpreadMM is the sd of the readings about their mean, or about their drift
	// where places are given; 0 for a single reading.
	SpreadMM float64
	UMM      float64 // standard uncertainty of the mean; its parts:
	// UDivisionMM is that of setting zero and of reading: each rectangular over
	// half a division either way. More readings don't lessen it.
	UDivisionMM float64
	URepeatMM   float64 // spread over root n, pooled over the walls
	UGainMM     float64
	// DriftPerMM is the step's change along the wall, counter-clockwise; HasDrift
	// says that there were readings at three places or more. A part turned by
	// omega drifts by -omega on every wall.
	DriftPerMM, UDriftPerMM float64
	HasDrift                bool
}

// DriftIsReal says that the step changes along the wall by more than chance, at
// 95 %.
func (s WallStep) DriftIsReal() bool {
	return s.HasDrift && math.Abs(s.DriftPerMM) > Factor95*s.UDriftPerMM
}

// ReadWalls reduces the indicator readings of a part's walls. The repeatability
// is pooled over the walls, as one person with one indicator took them all.
// It returns an error that names the wall for one without readings or with
// places that don't match them.
func ReadWalls(walls []Wall) ([]WallStep, error) {
	steps := make([]WallStep, len(walls))
	var sse float64
	var dof int
	for i, w := range walls {
		s, wallSSE, wallDOF, err := readWall(w)
		if err != nil {
			return nil, err
		}
		steps[i] = s
		sse += wallSSE
		dof += wallDOF
	}
	for i := range steps {
		s, w := &steps[i], walls[i]
		div := w.division()
		// Nothing repeats better than it can be read; without a repeat it is taken as
		// half a division.
		repeat := div / 2
		if dof > 0 {
			repeat = math.Max(math.Sqrt(sse/float64(dof)), rectangularHalf(div))
		}
		s.UDivisionMM = math.Sqrt2 * rectangularHalf(div)
		s.URepeatMM = repeat / math.Sqrt(float64(s.N))
		s.UGainMM = indicatorGainU * math.Abs(s.MeanMM)
		s.UMM = math.Sqrt(sq(s.UDivisionMM) + sq(s.URepeatMM) + sq(s.UGainMM))
		if s.HasDrift {
			s.UDriftPerMM = repeat / math.Sqrt(spreadAlong(w.AlongMM))
		}
	}
	return steps, nil
}

func (w Wall) division() float64 {
	if w.ResolutionMM > 0 {
		return w.ResolutionMM
	}
	return DefaultDivisionMM
}

// rectangularHalf is the standard uncertainty of a reading known to half a
// division either way (JCGM 100 4.3.7).
func rectangularHalf(division float64) float64 { return division / 2 / math.Sqrt(3) }

// spreadAlong is the sum of squared distances from the mean place.
func spreadAlong(along []float64) float64 {
	sum, mean := 0.0, meanOf(along)
	for _, a := range along {
		sum += sq(a - mean)
	}
	return sum
}

func meanOf(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

func readWall(w Wall) (s WallStep, sse float64, dof int, err error) {
	n := len(w.StepMM)
	if n == 0 {
		return s, 0, 0, fmt.Errorf("model: wall %q has no indicator reading", w.Name)
	}
	if w.AlongMM != nil && len(w.AlongMM) != n {
		return s, 0, 0, fmt.Errorf("model: wall %q has %d readings at %d places", w.Name, n, len(w.AlongMM))
	}
	s = WallStep{Wall: w.Name, N: n, MeanMM: meanOf(w.StepMM)}
	dof = n - 1
	if n >= 3 && w.AlongMM != nil && spreadAlong(w.AlongMM) > 0 {
		mean, sxy := meanOf(w.AlongMM), 0.0
		for i, v := range w.StepMM {
			sxy += (w.AlongMM[i] - mean) * (v - s.MeanMM)
		}
		s.DriftPerMM, s.HasDrift = sxy/spreadAlong(w.AlongMM), true
		dof--
	}
	for i, v := range w.StepMM {
		e := v - s.MeanMM
		if s.HasDrift {
			e -= s.DriftPerMM * (w.AlongMM[i] - meanOf(w.AlongMM))
		}
		sse += e * e
	}
	if dof > 0 {
		s.SpreadMM = math.Sqrt(sse / float64(dof))
	}
	return s, sse, dof, nil
}

// middle is the mean place of the readings, mm.
func (w Wall) middle() Vec {
	if len(w.AlongMM) == 0 {
		return w.At
	}
	return w.At.Add(Polar(meanOf(w.AlongMM), w.NormalRad+math.Pi/2))
}

// WallPair is two opposite walls: half the difference of their steps is
// mismatch, half the sum is size (common practice, no source).
type WallPair struct {
	A, B string
	// MismatchMM is along A's normal; the part's rotation is in it where the walls
	// were read at different places along them.
	MismatchMM, SizeMM, UMM float64
	Says                    PairFinding
}

// PairFinding is what a pair of opposite walls shows at 95 %.
type PairFinding string

const (
	PairEven     PairFinding = "neither mismatch nor a size difference can be told"
	PairMismatch PairFinding = "mismatch: one side proud, the other shy"
	PairSize     PairFinding = "size, not alignment: both sides the same"
	PairBoth     PairFinding = "mismatch and a size difference"
)

// oppositeSlackRad is how far the normals of opposite walls may be from
// opposite.
const oppositeSlackRad = 5 * math.Pi / 180

// PairWalls finds opposite walls. steps belong to walls by index.
func PairWalls(walls []Wall, steps []WallStep) []WallPair {
	var pairs []WallPair
	for i := range walls {
		for k := i + 1; k < len(walls); k++ {
			if math.Abs(wrapPi(walls[i].NormalRad-walls[k].NormalRad-math.Pi)) > oppositeSlackRad {
				continue
			}
			a, b := steps[i], steps[k]
			p := WallPair{A: a.Wall, B: b.Wall, MismatchMM: (a.MeanMM - b.MeanMM) / 2, SizeMM: (a.MeanMM + b.MeanMM) / 2, UMM: math.Hypot(a.UMM, b.UMM) / 2}
			mismatch, size := math.Abs(p.MismatchMM) > Factor95*p.UMM, math.Abs(p.SizeMM) > Factor95*p.UMM
			switch {
			case mismatch && size:
				p.Says = PairBoth
			case mismatch:
				p.Says = PairMismatch
			case size:
				p.Says = PairSize
			default:
				p.Says = PairEven
			}
			pairs = append(pairs, p)
		}
	}
	return pairs
}

// En is the normalised error of two results with standard uncertainties u1, u2:
// their difference over the root of the sum of squares of the expanded
// uncertainties at k = 2. They agree where it is within +/-1 (ISO 13528,
// ISO/IEC 17043).
func En(x1, u1, x2, u2 float64) float64 { return (x1 - x2) / (2 * math.Hypot(u1, u2)) }

// En2 is the same for results in the plane, with the 95 % region instead of
// k = 2: they agree where it is at most 1.
func En2(d1 Vec, cov1 Sym2, d2 Vec, cov2 Sym2) float64 {
	return math.Sqrt(cov1.Add(cov2).Mahalanobis2(d1.Sub(d2)) / chiSquared95)
}
