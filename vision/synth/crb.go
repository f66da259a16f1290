package synth

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"evenrim/model"
)

// Param is one unknown of the clean image model.
type Param string

// The unknowns. Bore diameter, thickness, half-angle and the direction of +X are
// known from the job card and are none.
const (
	DX           Param = "dx"           // mm
	DY           Param = "dy"           // mm
	Width        Param = "width"        // mm
	HoleU        Param = "hole-u"       // px, bore axis on the face
	HoleV        Param = "hole-v"       // px
	Scale        Param = "scale"        // px/mm
	SlopeX       Param = "slope-x"      // of the line of sight
	SlopeY       Param = "slope-y"      //
	InvDistance  Param = "inv-distance" // 1/mm
	Blur         Param = "blur"         // px
	FaceLevel    Param = "face"         // linear level
	ChamferLevel Param = "chamfer"
	WallLevel    Param = "wall"
	BackingLevel Param = "backing"
)

// AllParams lists every unknown, the mismatch first.
var AllParams = []Param{DX, DY, Width, HoleU, HoleV, Scale, SlopeX, SlopeY, InvDistance, Blur,
	FaceLevel, ChamferLevel, WallLevel, BackingLevel}

// ErrSingular means that the picture says nothing about one of the unknowns, or
// about some mixture of them; a prior or a shorter list helps.
var ErrSingular = errors.New("synth: the picture does not determine all unknowns")

// Bound is the Cramér-Rao bound: no unbiased reading of the picture has a
// smaller covariance.
type Bound struct {
	Params []Param
	Cov    *mat.SymDense // in the order and units of Params
}

// SD returns the bound on one unknown's standard deviation; NaN if it is none of
// Params.
func (b Bound) SD(p Param) float64 {
	for i, q := range b.Params {
		if p == q {
			return math.Sqrt(b.Cov.At(i, i))
		}
	}
	return math.NaN()
}

// Mismatch returns the bound on the covariance of (dx, dy), mm². Both must be
// among Params.
func (b Bound) Mismatch() model.Sym2 {
	i, j := -1, -1
	for k, p := range b.Params {
		switch p {
		case DX:
			i = k
		case DY:
			j = k
		}
	}
	if i < 0 || j < 0 {
		panic("synth: Mismatch of a bound without dx and dy")
	}
	return model.Sym2{XX: b.Cov.At(i, i), XY: b.Cov.At(i, j), YY: b.Cov.At(j, j)}
}

// CRB returns the Cramér-Rao bound of a clean scene with noise, all of AllParams
// unknown but those without any effect on the picture (a level of nothing in
// view), which are left out.
//
//	J_ij = (1/sd²) sum over pixels of dm/da_i dm/da_j,  cov >= inverse of J
//
// for a mean picture m(a) in white Gaussian noise of sd, whatever the estimator.
// Source: S. M. Kay, Fundamentals of Statistical Signal Processing: Estimation Theory
// (1993), chapter 3 (signals in white Gaussian noise); cited from memory.
func CRB(s Scene) (Bound, error) { return CRBOf(s, AllParams, nil) }

// CRBOf is CRB for a choice of unknowns. prior gives what is known of them
// beforehand, as standard deviations in their own units (it adds 1/sd² to J, as
// in the Bayesian bound; H. L. Van Trees 1968, from memory); nil = nothing.
func CRBOf(s Scene, params []Param, prior map[Param]float64) (Bound, error) {
	s = s.WithDefaults()
	if err := s.Validate(); err != nil {
		return Bound{}, err
	}
	if s.Clean == nil || s.Clean.NoiseSD <= 0 {
		return Bound{}, badScene("clean", "The bound needs a clean scene with noise: set the clean levels and a noise above zero.")
	}
	var used []Param
	var slopes [][]float32
	for _, p := range params {
		d, err := derivative(s, p)
		if err != nil {
			return Bound{}, err
		}
		if d == nil && prior[p] == 0 {
			continue
		}
		used, slopes = append(used, p), append(slopes, d)
	}
	if len(used) == 0 {
		return Bound{}, ErrSingular
	}
	fisher := mat.NewSymDense(len(used), nil)
	w := 1 / (s.Clean.NoiseSD * s.Clean.NoiseSD)
	for i := range used {
		for j := i; j < len(used); j++ {
			var f float64
			if slopes[i] != nil && slopes[j] != nil {
				f = w * sum2(slopes[i], slopes[j])
			}
			if sd := prior[used[i]]; i == j && sd > 0 {
				f += 1 / (sd * sd)
			}
			fisher.SetSym(i, j, f)
		}
	}
	cov, err := invert(fisher)
	if err != nil {
		return Bound{}, err
	}
	return Bound{used, cov}, nil
}

// maxCondition is of the Fisher matrix with unit diagonal. Derivatives are good
// to about 1e-4; beyond this an inverse would be made of their errors.
const maxCondition = 1e7

// invert inverts a Fisher matrix by way of its unit-diagonal form: the unknowns'
// units differ by many orders of magnitude.
func invert(fisher *mat.SymDense) (*mat.SymDense, error) {
	n := fisher.SymmetricDim()
	scale := make([]float64, n)
	for i := range scale {
		if scale[i] = math.Sqrt(fisher.At(i, i)); scale[i] == 0 {
			return nil, ErrSingular
		}
	}
	unit := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			unit.SetSym(i, j, fisher.At(i, j)/(scale[i]*scale[j]))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(unit) || chol.Cond() > maxCondition {
		return nil, fmt.Errorf("%w (condition %.2g)", ErrSingular, chol.Cond())
	}
	cov := mat.NewSymDense(n, nil)
	if err := chol.InverseTo(cov); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrSingular, err)
	}
	for i := range n {
		for j := i; j < n; j++ {
			cov.SetSym(i, j, cov.At(i, j)/(scale[i]*scale[j]))
		}
	}
	return cov, nil
}

func sum2(a, b []float32) (s float64) {
	for i, x := range a {
		s += float64(x) * float64(b[i])
	}
	return s
}

// derivative returns dm/dp for every pixel, by central difference over a step
// that moves the rims by about 0.02 px (for a level: exactly, the picture being
// linear in it). It is nil where the step changes nothing but rounding errors.
func derivative(s Scene, p Param) ([]float32, error) {
	px := 0.02 / s.PxPerMM // mm
	radius := s.BoreMM / 2
	var h float64
	var edit func(*Scene, float64)
	switch p {
	case DX:
		h, edit = px, func(s *Scene, h float64) { s.Mismatch.X += h }
	case DY:
		h, edit = px, func(s *Scene, h float64) { s.Mismatch.Y += h }
	case Width:
		h, edit = px, func(s *Scene, h float64) { s.ChamferMM += h }
	case HoleU:
		h, edit = 0.02, func(s *Scene, h float64) { s.OffX += h }
	case HoleV:
		h, edit = 0.02, func(s *Scene, h float64) { s.OffY += h }
	case Scale:
		h, edit = 0.02/radius, func(s *Scene, h float64) { s.PxPerMM += h }
	case SlopeX:
		h, edit = px/s.ThicknessMM, func(s *Scene, h float64) { s.TiltX = math.Atan(math.Tan(s.TiltX) + h) }
	case SlopeY:
		h, edit = px/s.ThicknessMM, func(s *Scene, h float64) { s.TiltY = math.Atan(math.Tan(s.TiltY) + h) }
	case InvDistance:
		h = px / (radius * (s.ThicknessMM + radius))
		edit = func(s *Scene, h float64) {
			k := 1 / s.DistanceMM
			if s.Parallel {
				k = 0
			}
			// A negative inverse distance is a picture too: the derivative at 0 needs it.
			s.DistanceMM, s.Parallel = 1/(k+h), false
		}
	case Blur:
		h, edit = 0.02*s.BlurPx, func(s *Scene, h float64) { s.BlurPx += h }
	case FaceLevel, ChamferLevel, WallLevel, BackingLevel:
		one := *s.Clean
		one.Face, one.Chamfer, one.Wall, one.Backing = 0, 0, 0, 0
		*map[Param]*float64{FaceLevel: &one.Face, ChamferLevel: &one.Chamfer, WallLevel: &one.Wall, BackingLevel: &one.Backing}[p] = 1
		s.Clean = &one
		return felt(cleanMean(s), 1), nil
	default:
		return nil, badScene("bound", "There is no unknown %q.", string(p))
	}
	up, down := s, s
	edit(&up, h)
	edit(&down, -h)
	a, b := cleanMean(up), cleanMean(down)
	for i := range a {
		a[i] = (a[i] - b[i]) / float32(2*h)
	}
	return felt(a, h), nil
}

// felt returns d, or nil if a step of h along it changes no pixel by more than
// the pictures' own rounding.
func felt(d []float32, h float64) []float32 {
	for _, x := range d {
		if math.Abs(float64(x))*h > 2e-6 {
			return d
		}
	}
	return nil
}

// cleanMean draws the noise-free clean picture, one value a pixel.
func cleanMean(s Scene) []float32 {
	r := newRenderer(s)
	l := r.draw()
	for i := range l.metal {
		l.metal[i] += l.back[i]
	}
	return l.metal
}
