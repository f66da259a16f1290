package vision

import "math"

// The bright line on a rounded edge is as good as a shift of the edge in one
// short arc: the light of a thin line is the derivative of a step. Round the rim
// they part: the edge lies on a circle, seen at a slant an ellipse, and the line's
// light changes slowly with the direction to the lamp. Both are fitted together
// here, each arc giving its shift, its line and how the two trade off.

const (
	shapeTerms    = 5 // constant, first and second harmonic of the edge's place
	glintHarmonic = 7 // highest harmonic of the line's light
	glintTerms    = 2*glintHarmonic + 1
	glintUnknowns = shapeTerms + glintTerms
)

// glintArc is what one arc knows of its edge's shift and line.
type glintArc struct {
	row           [glintTerms]float64 // 1, cos, sin, cos 2 ...
	y, z          float64             // shift and line as the arc sees them
	wyy, wyz, wzz float64             // information of the two
	soft          float64             // robust weight
}

// term returns the coefficient of unknown i and whether it belongs to the line.
func (q *glintArc) term(i int) (float64, bool) {
	if i < shapeTerms {
		return q.row[i], false
	}
	return q.row[i-shapeTerms], true
}

// glintSystem is the joint problem of a rim's shape and its line.
type glintSystem struct {
	arcs []glintArc
	// dispersion is by how much, in variance, the arcs disagree beyond their own
	// sds, which know only the pixels' scatter and not the texture.
	dispersion float64
}

// solve returns the unknowns when the line's harmonics have the given variance,
// and the log-likelihood of that variance, up to a constant.
func (g *glintSystem) solve(variance float64) (x []float64, evidence float64, ok bool) {
	const n = glintUnknowns
	a, b := make([]float64, n*n), make([]float64, n)
	for i := range g.arcs {
		q := &g.arcs[i]
		s := q.soft / g.dispersion
		for i := range n {
			ri, zi := q.term(i)
			for j := 0; j <= i; j++ {
				rj, zj := q.term(j)
				w := q.wyz
				switch {
				case zi && zj:
					w = q.wzz
				case !zi && !zj:
					w = q.wyy
				}
				a[i*n+j] += s * w * ri * rj
			}
			if zi {
				b[i] += s * ri * (q.wzz*q.z + q.wyz*q.y)
			} else {
				b[i] += s * ri * (q.wyy*q.y + q.wyz*q.z)
			}
		}
	}
	for t := range glintTerms {
		prior := 1.0 // the line's mean light: free, as it moves the edge by one amount all round
		if t > 0 {
			prior = variance * glintShare[t]
		}
		i := shapeTerms + t
		a[i*n+i] += 1 / prior
		evidence -= math.Log(prior) / 2
	}
	rhs := append([]float64(nil), b...)
	if !factorSmall(a, n) {
		return nil, 0, false
	}
	for i := range n {
		evidence -= math.Log(a[i*n+i])
	}
	x = backSubstitute(a, b, n)
	for i := range n {
		evidence += rhs[i] * x[i] / 2
	}
	return x, evidence, true
}

// judge sets the arcs' robust weights and the dispersion from the misfit at x:
// arcs off the circle (damage, dirt) are left out.
func (g *glintSystem) judge(x []float64) {
	all, zs := make([]float64, len(g.arcs)), make([]float64, len(g.arcs))
	for i := range g.arcs {
		q := &g.arcs[i]
		ry, rz := q.y, q.z
		for t := range glintUnknowns {
			if r, z := q.term(t); z {
				rz -= r * x[t]
			} else {
				ry -= r * x[t]
			}
		}
		all[i] = q.wyy*ry*ry + 2*q.wyz*ry*rz + q.wzz*rz*rz
		// The part that tells line from shift.
		zs[i] = (q.wzz*rz + q.wyz*ry) / math.Sqrt(q.wzz) * math.Sqrt(q.soft)
	}
	// 2 ln 2 is the median of chi-squared with two degrees of freedom.
	scatter := math.Max(medianAbs(all)/(2*math.Ln2), 1)
	for i := range g.arcs {
		g.arcs[i].soft = 1 / (1 + all[i]/scatter/8)
	}
	g.dispersion = scatter * correlationTime(zs)
}

// correlationTime returns by how much neighbours' agreement round a closed rim
// inflates the variance of a mean: 1 + 2 sum of the autocorrelations, summed while
// they are positive (Geyer 1992, from memory).
func correlationTime(x []float64) float64 {
	n := len(x)
	c0 := 0.0
	for _, v := range x {
		c0 += v * v
	}
	tau := 1.0
	for lag := 1; lag <= n/6; lag++ {
		c := 0.0
		for i, v := range x {
			c += v * x[(i+lag)%n]
		}
		if c <= 0.02*c0 {
			break
		}
		tau += 2 * c / c0
	}
	return tau
}

// glintShare is how the line's light is shared among its harmonics, by variance:
// most in the slow ones, as a lamp and a round edge have it.
var glintShare = func() (share [glintTerms]float64) {
	sum := 0.0
	for t := 1; t < glintTerms; t++ {
		share[t] = 1 / sq(1+sq(float64((t+1)/2)/3))
		sum += share[t]
	}
	for t := range share {
		share[t] /= sum
	}
	return share
}()

const (
	noGlint = 1e-10
	// glintEvidence is the gain in log-likelihood from which a line that varies
	// round the rim is believed: 20 to 1 on (Jeffreys' "strong", from memory).
	glintEvidence = 3.0
)

// rimGlint returns the light of the line on rim k's edge for each arc.
func (g *blocks) rimGlint(fits []arcFit, k int) []float64 {
	sys := glintSystem{dispersion: 1}
	for i, f := range fits {
		e := f.edge[k]
		if !f.found[k] || e.glintSD == 0 || e.saturated {
			continue
		}
		vy, vz, c := sq(e.sd), sq(e.glintSD), e.glintCov
		det := vy*vz - c*c
		if !(det > 0) {
			continue
		}
		sys.arcs = append(sys.arcs, glintArc{row: g.glintBasis(i), y: e.shift, z: e.glint, wyy: vz / det, wyz: -c / det, wzz: vy / det, soft: 1})
	}
	out := make([]float64, g.n)
	if len(sys.arcs) < 3*glintUnknowns {
		return out
	}
	var x []float64
	variance := noGlint
	for range 4 {
		var ok bool
		for range 4 {
			if x, _, ok = sys.solve(variance); !ok {
				return out
			}
			sys.judge(x)
		}
		_, none, ok := sys.solve(noGlint)
		if !ok {
			return out
		}
		best := none + glintEvidence
		variance = noGlint
		for v := 1e-6; v < 3; v *= 4 {
			if y, e, ok := sys.solve(v); ok && e > best {
				x, best, variance = y, e, v
			}
		}
		if variance == noGlint {
			x, _, _ = sys.solve(noGlint)
		}
	}
	for i := range out {
		for t, r := range g.glintBasis(i) {
			out[i] += r * x[shapeTerms+t]
		}
	}
	return out
}

// glintBasis is 1, cos, sin, cos 2, sin 2 ... of an arc's direction.
func (g *blocks) glintBasis(i int) (row [glintTerms]float64) {
	th := g.angle(i)
	row[0] = 1
	for h := 1; h <= glintHarmonic; h++ {
		row[2*h], row[2*h-1] = math.Sincos(float64(h) * th)
	}
	return row
}

// shiningArcs says in which arcs the line stands out by itself: brighter than
// half the step, and known to a sixth.
func shiningArcs(fits []arcFit, k int) []bool {
	out := make([]bool, len(fits))
	for i, f := range fits {
		e := f.edge[k]
		peak := 0.4 * e.glint / f.blur[k] // of a Gaussian line of unit light and sd 1
		out[i] = f.found[k] && e.glintSD > 0 && e.glint > 6*e.glintSD && peak > 0.5*math.Abs(e.contrast)
	}
	return out
}
