package model

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// The unknowns of a part's fit, in this order.
const (
	pX    = iota // shift, mm
	pY           //
	pTurn        // rotation, rad counter-clockwise
	pSize        // size difference g, mm
	pGrow        // relative growth of setup 2's pattern, only on trial
	nPart
	// Two standard camera errors that holes photographed one after the other have in
	// common: found with the rest, so that each reading gets the weight of what is its
	// own, and unit normal beforehand.
	pCamera1 = nPart
	pCamera2 = nPart + 1
	nAll     = nPart + 2
)

// PartFit is one workpiece as a rigid body: where setup 2 as a whole landed
// relative to setup 1.
//
// Model: a hole at r has the mismatch s + (Rot(omega) - 1) r; a wall at r with
// outward normal n has the step n.(s + (Rot(omega) - 1) r) + g.
type PartFit struct {
	Part        string
	Shift       Vec // s, mm, at part zero
	RotationRad float64
	SizeMM      float64 // g
	// Cov is the covariance of shift x, y (mm), rotation (rad) and size (mm).
	Cov [4][4]float64
	// What the data tell at all. A rotation that they don't is taken as none. Where
	// photos and indicator contradict each other nothing is known: see Disputed.
	KnowsX, KnowsY, KnowsRotation, KnowsSize bool

	Chi2   float64
	DOF    int
	PValue float64 // small = the part is not one rigid body within what the readings state
	// Scale is the factor by which misfit enlarged the uncertainties; 1 = it fits.
	Scale     float64
	RotationP float64 // probability of a rotation this large by chance; 1 where unknown

	// GrowthPPM is how much larger setup 2's pattern of holes is than setup 1's,
	// parts per million; UGrowthPPM is 0 where it can't be told.
	GrowthPPM, UGrowthPPM float64

	Holes   []HoleFit
	Walls   []WallFit
	Pairs   []WallPair
	Compare *Comparison // photos against indicator; nil where one of them is missing
	// TurnUnchecked says that neither photos nor walls tell the rotation by themselves,
	// and that nothing is left over which would check what they tell together.
	TurnUnchecked bool
	Verdict       Verdict // the worst of the holes': each is judged by its own reading
	PWithin       float64 // the smallest of the holes'
	Warnings      []string
}

// HoleFit is one hole against the rigid part.
type HoleFit struct {
	HoleReading
	Predicted Vec // by the fit, mm
	Residual  Vec // reading less predicted, mm
	// PValue is the probability that a hole that belongs departs so far from what
	// the others say; 1 where they say nothing.
	PValue  float64
	Misfit  bool // named: it does not fit the others
	LeftOut bool // and was not used for shift and rotation
}

// WallFit is one wall against the rigid part.
type WallFit struct {
	WallStep
	At          Vec
	NormalRad   float64
	PredictedMM float64
	ResidualMM  float64
	PValue      float64 // that a wall that belongs departs so far from what the rest says
	Misfit      bool    // named: it does not fit the rest
	LeftOut     bool    // and was not used
}

// misfitLevel: a hole is named at 1 % for the whole part.
const misfitLevel = 0.01

// FitPart fits shift, rotation and, with walls, size difference to what is known
// of one part. Holes without a place count as lying at part zero, and then no
// rotation is fitted.
//
// It returns an error when there is neither a hole nor a wall, or when a wall's
// readings don't make sense.
func FitPart(part string, holes []HoleReading, walls []Wall) (*PartFit, error) {
	if len(holes) == 0 && len(walls) == 0 {
		return nil, fmt.Errorf("model: part %q has neither a hole nor a wall to fit", part)
	}
	steps, err := ReadWalls(walls)
	if err != nil {
		return nil, fmt.Errorf("model: part %q: %w", part, err)
	}
	b := newBody(holes, walls, steps)
	f := &PartFit{Part: part, Scale: 1, RotationP: 1}
	fit, misfits := b.fitWithoutMisfits()
	f.take(b, fit)
	f.rateHoles(b, fit, misfits)
	f.rateWalls(b, fit, misfits)
	f.Pairs = b.pairs()
	f.Compare, f.TurnUnchecked = b.compare(fit)
	if f.Disputed() {
		// The mean of two that contradict each other is neither.
		f.KnowsX, f.KnowsY, f.KnowsRotation, f.KnowsSize = false, false, false, false
	} else {
		f.growth(b)
	}
	f.judge()
	f.warn(b)
	return f, nil
}

// body holds the readings of a part while it is fitted.
type body struct {
	holes  []HoleReading
	walls  []Wall
	steps  []WallStep
	use    []bool  // which holes, then which walls
	common Sym2    // see commonOf
	turns  bool    // whether every hole has a place, so that a rotation means something
	turned float64 // rad: the rotation where none is fitted
}

func newBody(holes []HoleReading, walls []Wall, steps []WallStep) *body {
	b := &body{holes: holes, walls: walls, steps: steps, use: make([]bool, len(holes)+len(walls)), turns: true, common: commonCamera(holes)}
	for i := range b.use {
		b.use[i] = true
	}
	for _, h := range holes {
		if !h.HasPlace && len(holes)+len(walls) > 1 {
			b.turns = false
		}
	}
	return b
}

// bodyFit is the linear fit at the last rotation, with where each hole's rows are.
type bodyFit struct {
	linearFit
	holeRow []int // of each hole, the first of two rows; -1 = not used
	ownRows int   // of the readings; those behind are what is known of the camera beforehand
	knows   [nPart]bool
}

// moved returns (Rot(omega) - 1) r and its derivative by omega.
func moved(r Vec, omega float64) (at, by Vec) {
	t := r.Rotate(omega)
	return t.Sub(r), Vec{-t.Y, t.X}
}

// facing returns n . v for a unit vector n, and none at all where that is only the
// rounding of an angle: the fit scales its unknowns, and would take the 1e-16 that
// the sine of half a turn comes to for a reading.
func facing(n, v Vec) float64 {
	if d := n.Dot(v); math.Abs(d) > 1e-9*v.Norm() {
		return d
	}
	return 0
}

// uselessTurnU is the standard uncertainty, rad, from which on a rotation counts as not
// told: it rests on a lever of hundredths of a millimetre, and no vise is 6 degrees off.
const uselessTurnU = 0.1

// fit fits the holes in use and the walls. With grow, setup 2's pattern may also
// be larger or smaller.
func (b *body) fit(grow bool) bodyFit {
	f := b.fitWith(grow, b.turns)
	if b.turns && !f.knows[pTurn] {
		// What the data don't tell must not blur what they do.
		f = b.fitWith(grow, false)
	}
	return f
}

func (b *body) fitWith(grow, turns bool) bodyFit {
	var f bodyFit
	omega := b.turned
	if turns {
		omega = 0
	}
	for range 5 { // the rotation is small: this converges by a factor omega a step
		rows := linearRows{n: nAll}
		f.holeRow = make([]int, len(b.holes))
		k, g := 0.0, 0.0
		if turns {
			k = 1
		}
		if grow {
			g = 1
		}
		for i, h := range b.holes {
			f.holeRow[i] = -1
			if !b.use[i] {
				continue
			}
			f.holeRow[i] = len(rows.y)
			at, by := moved(h.At, omega)
			common := b.commonOf(h)
			one, two := common.lower()
			one, two = one.Rotate(-h.PlusX), two.Rotate(-h.PlusX)
			rows.addPair([]float64{1, 0, k * by.X, 0, g * h.At.X, one.X, two.X}, []float64{0, 1, k * by.Y, 0, g * h.At.Y, one.Y, two.Y},
				h.Mismatch.Sub(at).Add(by.Scale(k*omega)), h.Cov.Add(common.Rotate(-h.PlusX).Scale(-1)))
		}
		for i, w := range b.walls {
			if !b.use[len(b.holes)+i] {
				continue
			}
			n, s := Polar(1, w.NormalRad), b.steps[i]
			at, by := moved(w.middle(), omega)
			x, y, turn := facing(n, Vec{1, 0}), facing(n, Vec{0, 1}), facing(n, by)
			rows.add([]float64{x, y, k * turn, 1, 0, 0, 0}, s.MeanMM-n.Dot(at)+k*turn*omega, math.Max(s.UMM, leastU))
			if s.HasDrift {
				// The step's slope along the wall: n . omega x t = -omega (exactly -sin).
				rows.add([]float64{0, 0, -k, 0, 0, 0, 0}, s.DriftPerMM+(1-k)*omega, math.Max(s.UDriftPerMM, 1e-12))
			}
		}
		f.ownRows = len(rows.y)
		rows.add([]float64{pCamera1: 1, pCamera2: 0}, 0, 1)
		rows.add([]float64{pCamera2: 1}, 0, 1)
		f.linearFit = rows.solve()
		if sqrt0(f.Cov.At(pTurn, pTurn)) > uselessTurnU {
			f.Determined[pTurn] = false
			break // before a wild angle makes itself a lever
		}
		if !turns || math.Abs(f.X[pTurn]-omega) < 1e-12 {
			break
		}
		omega = f.X[pTurn]
	}
	for j := range nPart {
		f.knows[j] = f.Determined[j] && (j != pTurn || turns) && (j != pGrow || grow)
	}
	if !turns {
		f.X[pTurn] = b.turned
	}
	return f
}

// commonOf is the camera error, mm² in the camera's axes, that the fit takes hole h
// to have in common with the others: as much as each of them has, and no more. How
// much larger one photo's is than another's tells nothing of the error itself.
func (b *body) commonOf(h HoleReading) Sym2 {
	if h.CameraCov == (Sym2{}) {
		return Sym2{} // a turn set's is out already
	}
	return b.common
}

// commonCamera finds the common camera error: the smallest of the holes' where
// every other has at least that, else what is the same in all directions.
func commonCamera(holes []HoleReading) Sym2 {
	var least Sym2
	round := math.Inf(1)
	for _, h := range holes {
		if c := h.CameraCov; c != (Sym2{}) {
			if _, minor, _ := c.Eigen(); minor < round {
				round = math.Max(minor, 0)
			}
			if least == (Sym2{}) || c.XX+c.YY < least.XX+least.YY {
				least = c
			}
		}
	}
	if least == (Sym2{}) {
		return least
	}
	for _, h := range holes {
		if h.CameraCov == (Sym2{}) {
			continue
		}
		rest := h.CameraCov.Add(least.Scale(-1))
		if _, minor, _ := rest.Eigen(); minor < -1e-9*(h.CameraCov.XX+h.CameraCov.YY) {
			return Sym2{round, 0, round}
		}
	}
	return least
}

// scale is the factor by which misfit enlarges the uncertainties; 1 = it fits.
func (f linearFit) scale() float64 {
	if chi2Tail(f.Chi2, f.DOF) < agreeLevel {
		return math.Sqrt(f.Chi2 / float64(f.DOF))
	}
	return 1
}

// covariance returns the covariance of the unknowns: scatter that is a hole's own
// is averaged, what the camera had wrong in all photos is not, whatever part of it the
// fit took for common.
func (b *body) covariance(f bodyFit, scale float64) *mat.SymDense {
	cov := mat.NewSymDense(nPart, nil)
	shared := [nPart]Vec{} // what one standard camera error in all holes does
	paired := map[int]bool{}
	for i, h := range b.holes {
		first := f.holeRow[i]
		if first < 0 {
			continue
		}
		paired[first], paired[first+1] = true, true
		own := h.ownCov()
		one, two := h.cameraErrors()
		weighed := h.Cov.Add(b.commonOf(h).Rotate(-h.PlusX).Scale(-1))
		var gain [nPart]Vec
		for j := range nPart {
			gain[j] = f.pairGain(j, first, weighed)
			shared[j] = shared[j].Add(Vec{gain[j].Dot(one), gain[j].Dot(two)})
		}
		for j := range nPart {
			for l := j; l < nPart; l++ {
				a, c := gain[j], gain[l]
				v := a.X*(own.XX*c.X+own.XY*c.Y) + a.Y*(own.XY*c.X+own.YY*c.Y)
				cov.SetSym(j, l, cov.At(j, l)+scale*scale*v)
			}
		}
	}
	if f.Gain != nil {
		for i := range f.ownRows {
			if paired[i] {
				continue
			}
			for j := range nPart {
				for l := j; l < nPart; l++ {
					cov.SetSym(j, l, cov.At(j, l)+scale*scale*f.Gain.At(j, i)*f.Gain.At(l, i))
				}
			}
		}
	}
	for j := range nPart {
		for l := j; l < nPart; l++ {
			cov.SetSym(j, l, cov.At(j, l)+shared[j].Dot(shared[l]))
		}
	}
	return cov
}

// take fills in shift, rotation, size and their covariance.
func (f *PartFit) take(b *body, fit bodyFit) {
	f.Shift, f.RotationRad, f.SizeMM = Vec{fit.X[pX], fit.X[pY]}, fit.X[pTurn], fit.X[pSize]
	f.KnowsX, f.KnowsY, f.KnowsRotation, f.KnowsSize = fit.knows[pX], fit.knows[pY], fit.knows[pTurn], fit.knows[pSize]
	f.Chi2, f.DOF, f.PValue = fit.Chi2, fit.DOF, chi2Tail(fit.Chi2, fit.DOF)
	f.Scale = fit.scale()
	cov := b.covariance(fit, f.Scale)
	for j := range 4 {
		for l := range 4 {
			f.Cov[j][l] = cov.At(j, l)
		}
	}
	if u := math.Sqrt(f.Cov[pTurn][pTurn]); f.KnowsRotation && u > 0 {
		f.RotationP = twoSided(f.RotationRad / u)
	}
}

// ShiftCov is the covariance of Shift, mm².
func (f *PartFit) ShiftCov() Sym2 { return Sym2{f.Cov[pX][pX], f.Cov[pX][pY], f.Cov[pY][pY]} }

// At predicts the mismatch at r, mm, on the part with its covariance. It is of
// use only where KnowsX and KnowsY.
func (f *PartFit) At(r Vec) (Vec, Sym2) {
	y, c := f.propagate(func(x []float64) []float64 {
		m, _ := moved(r, x[pTurn])
		return []float64{x[pX] + m.X, x[pY] + m.Y}
	})
	return Vec{y[0], y[1]}, Sym2{c.At(0, 0), c.At(0, 1), c.At(1, 1)}
}

// StepAt predicts the step of a wall at r with its standard uncertainty, mm.
// Without walls in the fit the size difference is not known and taken as none.
func (f *PartFit) StepAt(r Vec, normalRad float64) (stepMM, uMM float64) {
	n := Polar(1, normalRad)
	y, c := f.propagate(func(x []float64) []float64 {
		m, _ := moved(r, x[pTurn])
		return []float64{n.Dot(Vec{x[pX], x[pY]}.Add(m)) + x[pSize]}
	})
	return y[0], sqrt0(c.At(0, 0))
}

func (f *PartFit) propagate(of func([]float64) []float64) ([]float64, *mat.SymDense) {
	cov := mat.NewSymDense(4, nil)
	for j := range 4 {
		for l := j; l < 4; l++ {
			cov.SetSym(j, l, f.Cov[j][l])
		}
	}
	return Propagate(of, []float64{f.Shift.X, f.Shift.Y, f.RotationRad, f.SizeMM}, cov)
}

// Expansion6061 is the thermal expansion of aluminium 6061-T6 per kelvin, mean of
// 20 to 100 degrees C (data sheets: 23.6e-6, 13.1e-6 per degF; some print 23.2e-6).
const Expansion6061 = 23.6e-6
