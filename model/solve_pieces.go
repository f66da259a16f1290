package model

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// A rim's points are not independent: texture, light, form and a tracer that went
// astray make neighbours err together, over stretches that nobody knows beforehand. How
// far that moves the mismatch is asked of the rims themselves: by how much does it move
// when an eighth of a rim is left out?

const (
	// piecesOfRim is how many pieces each rim is cut into.
	piecesOfRim = 8
	// cuts is in how many ways, each a part of a piece further round: no one place for
	// the knife is better than another.
	cuts = 2
	// piecesDOF are the degrees of freedom of what the pieces say of a rim: its size
	// and the two axes of its centre take up three.
	piecesDOF = piecesOfRim - 3
	// pairsOfRim is how many pairs of opposite pieces a rim is cut into where its light is
	// even: what that does on one side it does on the other, with no harm to the centre, and pieces
	// by themselves would take it for chance. Of 970 drawn photos under two lamps, outer edges wave two,
	// four and six times round by 0.13, 0.13 and 0.11 px, but once, three and five times by
	// 0.09, 0.08 and 0.07.
	pairsOfRim = 8
	// pairsDOF: a rim's size is the same on both sides and takes up nothing here.
	pairsDOF = pairsOfRim - 2
	// exitWave is by how much more an exit rim moves the mismatch than its pieces say: on
	// one side the wall before it is broad and light, on the other narrow or hidden, and its
	// edge departs once round with nothing in the pieces to tell. Of 1,200 drawn photos it
	// is off by 0.19 px on the middle, where its points' scatter says 0.02; likelihood asks
	// for 2.6 to 4 times what the pieces say. It is far off and counts little.
	exitWave = 2.8
)

// piecesCov returns the mismatch's covariance as the pieces of the rims bear it out,
// mm²: the delete-a-group jackknife (Tukey, Ann. Math. Statist. 29 (1958) 614; of
// groups, Kott, J. Official Statist. 17 (2001) 521; both from memory), each piece of each
// rim left out in turn. It is enlarged for its few degrees of freedom, so that the region
// of a known covariance serves.
//
// Held against 1,200 drawn photos with truth it says more than the power of the waves
// that a rim's points make round it, which stood here before: with the doubts of the
// tracer its likelihood is greater by 0.1 a photo, and regions a seventh smaller on the middle
// hold the truth as often.
func (f *rimFit) piecesCov() Sym2 {
	n := len(f.fit.P)
	all := mat.NewDense(n, n, nil)
	all.Mul(f.fit.J.T(), f.fit.J)
	var sum Sym2
	piece := newWithout(n)
	for k := range nRims {
		slices := f.slicesOf(k)
		groups, dof := piecesOfRim, float64(piecesDOF)
		if f.trace.EvenLight[k] {
			groups, dof = pairsOfRim, pairsDOF
		}
		var rim Sym2
		for from := range groups * cuts {
			piece.clear()
			for i := range cuts {
				// Round a rim of pairs the groups come by twice, and are taken out each time.
				for at := from + i; at < from+i+len(slices); at += groups * cuts {
					piece.take(&slices[at%len(slices)])
				}
			}
			rim = rim.Add(piece.moves(all).Outer())
		}
		rim = rim.Scale(float64(groups-1) / float64(groups*cuts) * fewDOF(dof))
		if k == exitRim {
			rim = rim.Scale(sq(exitWave))
		}
		sum = sum.Add(rim)
	}
	return sum
}

// slicesOf cuts rim k into slices: between two cuts lies one, so that a piece is as many
// slices as there are cuts.
func (f *rimFit) slicesOf(k rimKind) []slice {
	pieces := piecesOfRim
	if f.trace.EvenLight[k] {
		pieces = 2 * pairsOfRim
	}
	slices := make([]slice, pieces*cuts)
	for i, row := range f.rows {
		if row.index < 0 || row.rim != k {
			continue
		}
		turn := f.points[k][row.index].theta / (2 * math.Pi)
		at := int((turn+1)*float64(len(slices))) % len(slices)
		slices[at].add(f.fit.J.RawRowView(i), f.fit.R[i])
	}
	return slices
}

// slice is what a stretch of a rim adds to the normal equations.
type slice struct {
	normal, right []float64
}

func (s *slice) add(row []float64, residual float64) {
	n := len(row)
	if s.normal == nil {
		s.normal, s.right = make([]float64, n*n), make([]float64, n)
	}
	for a, x := range row {
		s.right[a] += x * residual
		for b, y := range row {
			s.normal[a*n+b] += x * y
		}
	}
}

// without is what is left of the normal equations when slices are taken out, with room to
// solve them in again and again.
type without struct {
	slice
	rest *mat.Dense
	lu   mat.LU
	step *mat.VecDense
}

func newWithout(n int) *without {
	return &without{slice{make([]float64, n*n), make([]float64, n)}, mat.NewDense(n, n, nil), mat.LU{}, mat.NewVecDense(n, nil)}
}

func (w *without) clear() {
	clear(w.normal)
	clear(w.right)
}

func (w *without) take(s *slice) {
	for i, x := range s.normal {
		w.normal[i] += x
	}
	for i, x := range s.right {
		w.right[i] += x
	}
}

// moves returns by how much the mismatch moves, mm, when what was taken is left out of all
// that the fit rests on: to first order, from where the fit stands.
func (w *without) moves(all *mat.Dense) Vec {
	n := len(w.right)
	w.rest.Sub(all, mat.NewDense(n, n, w.normal))
	w.lu.Factorize(w.rest)
	// What is known beforehand is never left out, so that the rest determines a mismatch, if
	// badly; where it should not, there is no reading.
	var poor mat.Condition
	if err := w.lu.SolveVecTo(w.step, false, mat.NewVecDense(n, w.right)); err != nil && (!errors.As(err, &poor) || math.IsInf(float64(poor), 1)) {
		return Vec{math.Inf(1), math.Inf(1)}
	}
	return Vec{w.step.AtVec(qDX), w.step.AtVec(qDY)}
}

// firstWave is what the mismatch moves by when a rim departs by 1 px times the cosine
// and the sine of the direction: when the whole rim is shifted, mm.
func (f *rimFit) firstWave(k rimKind) (cos, sin Vec) {
	for r, row := range f.rows {
		if row.index < 0 || row.rim != k {
			continue
		}
		p := f.points[k][row.index]
		g := Vec{f.gain.At(qDX, r), f.gain.At(qDY, r)}.Scale(p.scale)
		s, c := math.Sincos(p.theta)
		cos, sin = cos.Add(g.Scale(c)), sin.Add(g.Scale(s))
	}
	return cos, sin
}

// groupCov returns the part of the unknowns' covariance that comes from the rows
// that pick chooses, taken as independent.
func (f *rimFit) groupCov(pick func(row) bool) Sym2 {
	cov := func(i, j int) float64 {
		sum := 0.0
		for r, row := range f.rows {
			if pick(row) {
				sum += f.gain.At(i, r) * f.gain.At(j, r)
			}
		}
		return sum
	}
	return Sym2{cov(qDX, qDX), cov(qDX, qDY), cov(qDY, qDY)}
}
