package vision

import (
	"math"

	"evenrim/vision/columns"
)

const (
	// wallSlope is by how much of its own light the bore's wall darkens or
	// brightens for each px into the bore, as one standard deviation: it dips into
	// the shadow of the face, and is seen aslant. Judged from photos with truth: some
	// 3 % on path-traced ones, up to 12 % on drawn ones in coaxial light.
	wallSlope = 0.08
	// wallDark is light below which a wall has no slope to speak of.
	wallDark = 0.01
)

// addPriors adds what is known beforehand to the normal equations.
func (m edgeModel) addPriors(st *edgeState, u unknowns, hold bool, a, b []float64) {
	k, n := len(m.rims), u.n
	limit := m.limit
	if hold {
		limit = unlimited
	}
	for i, r := range m.rims {
		// A shift without contrast is held by the limit itself.
		a[(u.shift+i)*n+u.shift+i] += 1 / sq(limit)
		if u.glint >= 0 {
			g := looseGlint
			if !m.askGlint[r] {
				g = 1e-6
			}
			a[(u.glint+i)*n+u.glint+i] += 1 / (g * g)
			b[u.glint+i] -= st.glint[i] / (g * g)
		}
		if m.askBlur {
			p := 1 / sq(blurPriorSD*m.blur[r])
			a[(u.blur+i)*n+u.blur+i] += p
			b[u.blur+i] -= p * (st.blur[i] - m.blur[r])
		}
	}
	if u.slope >= 0 {
		share := wallSlope
		if m.fade > 0 { // all of its light may fade away
			share = math.Max(share, 1/m.fade)
		}
		sd := share * math.Max(math.Abs(st.level[m.wall()]), wallDark)
		a[u.slope*n+u.slope] += 1 / sq(sd)
		b[u.slope] -= st.slope / sq(sd)
	}
	if u.incline >= 0 {
		sd := m.incline * math.Max(math.Abs(st.level[m.chamfer()]), wallDark)
		a[u.incline*n+u.incline] += 1 / sq(sd)
		b[u.incline] -= st.incline / sq(sd)
	}
	for i := range n {
		a[i*n+i] *= 1 + 1e-9
		if i <= k {
			a[i*n+i] += 1e-6 // a level that saturation hides
		}
	}
}

// eqOptions say how the normal equations are made.
type eqOptions struct {
	unknowns
	wide         float64 // factor on the blur
	robust, clip bool
	scatter      bool // look at the pixels' scatter as well as at their light
	still        bool // the edges are where they were the last time
}

const (
	// scatterShare is the share of a normal scatter's information, 1/2, that is
	// believed: neighbours share their sparkles.
	scatterShare = 0.3
	// mostScatter bounds what one sparkle can do.
	mostScatter = 3.0
)

// normalEquations makes the linearised, weighted problem at st, and the squared
// residuals of pixels that lie in one region.
func (m *edgeModel) normalEquations(px *columns.Columns, st *edgeState, o eqOptions, out *columns.Equations) {
	u := o.unknowns
	f := columns.Fit{Edges: len(m.rims), Unknowns: u.n, Shift: u.shift, Glint: u.glint, Blur: u.blur, Slope: u.slope, Incline: u.incline, Wall: m.wall(), Chamfer: m.chamfer(),
		Level: st.level, Variance: st.variance, Place: st.shift, Line: st.glint, Width: st.blur, Ramp: st.slope, Fade: m.fade, Inclined: st.incline}
	if o.wide > 1 {
		for i := range m.rims {
			f.Width[i] *= o.wide
		}
	}
	if !o.still {
		px.Look(&f)
	}
	// Sparkles and dust get Huber's weight. A pixel's squared residual has the mean v
	// and, sparkles being rare and bright, somewhat more than twice v² as its variance.
	px.Equations(&f, &columns.Options{Robust: o.robust, Scatter: o.scatter, Clip: o.clip && !m.shadows,
		Full: fullScale, NearlyFull: nearFullScale, ScatterShare: scatterShare, MostScatter: mostScatter}, out)
}

// lightNoise is the least variance of linear light: one step of an 8-bit picture
// in the shadows.
const lightNoise = 1e-7

// fillVariance replaces unknown variances by the mean of the known ones and holds
// all above the quantisation of the picture.
func fillVariance(v []float64) {
	sum, n := 0.0, 0.0
	for _, x := range v {
		if x == x {
			sum += x
			n++
		}
	}
	for i, x := range v {
		if x != x {
			v[i] = 1e-4
			if n > 0 {
				v[i] = sum / n
			}
		}
		v[i] = math.Max(v[i], lightNoise)
	}
}
