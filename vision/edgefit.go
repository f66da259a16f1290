package vision

import (
	"math"
	"slices"

	"evenrim/vision/columns"
)

// The three rims in the order met from outside.
const (
	outer = iota
	bore
	exit
	nRims
)

// edgeFit is one rim's edge in one short arc.
type edgeFit struct {
	shift    float64 // of the edge outside the curve it was looked for on, px
	sd       float64 // of shift, from the scatter of the pixels about the model
	outside  float64 // light outside
	contrast float64 // light inside less light outside
	snr      float64 // contrast over its sd
	glint    float64 // light of a bright line on the edge where it was asked for, light x px
	glintSD  float64 // 0 = not asked
	blur     float64 // of this edge, where it was asked for
	blurSD   float64
	// saturated says that the light on one side is beyond the picture's range.
	saturated bool
	// misfit is twice the negative log-likelihood, but for a constant, of the light in the
	// regions between the edges that were fitted together: to compare fits of the same pixels.
	misfit float64
}

// edgeModel fits blurred steps between regions of even light to the pixels of one
// short arc: for K edges K+1 levels and K places. Edges closer than a few blurs
// pull each other unless they are fitted together, which this does.
//
// A real edge is rounded, and under light from one side the rounding shines: a
// thin bright line on the edge, which a plain step takes for a shift of the edge
// (glint.go).
type edgeModel struct {
	rims     []int // the edges, outermost first
	blur     [nRims]float64
	limit    float64     // largest believable shift, px
	askGlint [nRims]bool // fit the light of a line on the edge too
	askBlur  bool        // fit the blur of each edge too
	// shadows fits on the scale of equal ratios: for the exit rim, which lies in
	// the dark between a sparkling wall and nothing, and need not be placed as
	// exactly as blur would allow.
	shadows bool
	// widen is the factor on the blur while an edge is held where it was looked
	// for: an edge a few pixels off is felt only so.
	widen float64
	// fade is the depth in px at which the wall's light has fallen to 1/e (fade.go); 0
	// when it changes evenly. lift is how far outside its curve the bore edge's fit begins.
	fade, lift float64
	// incline is by how much of its light the chamfer may grow lighter or darker for each
	// px, as one standard deviation; 0 when it is even (incline.go).
	incline float64
}

const (
	// blurPriorSD holds an asked blur to what it was before, as a share of it.
	blurPriorSD = 0.35
	// looseGlint only keeps an asked line finite, light x px.
	looseGlint = 1.0
)

// maxModel is the most unknowns of an arc's fit.
const maxModel = columns.MostUnknowns

// edgeState is where a fit stands.
type edgeState struct {
	level              [nRims + 1]float64 // light of each region, outermost first
	slope              float64            // by which the wall grows lighter outwards, light/px
	incline            float64            // by which the chamfer does
	variance           [nRims + 1]float64
	shift, glint, blur [nRims]float64
}

// unknowns is where the unknowns of a fit stand: levels first, then as said here;
// -1 = not asked.
type unknowns struct{ shift, glint, blur, slope, incline, n int }

func (m *edgeModel) layout() unknowns {
	k := len(m.rims)
	u := unknowns{shift: k + 1, glint: -1, blur: -1, slope: -1, incline: -1, n: 2*k + 1}
	if m.askBlur || m.askGlint != [nRims]bool{} {
		u.glint, u.n = u.n, u.n+k
	}
	if m.askBlur {
		u.blur, u.n = u.n, u.n+k
	}
	if m.wall() > 0 {
		u.slope, u.n = u.n, u.n+1
	}
	if m.chamfer() > 0 {
		u.incline, u.n = u.n, u.n+1
	}
	return u
}

// wall is the place of the bore's wall among the regions, 0 where it isn't seen.
func (m *edgeModel) wall() int {
	if m.shadows {
		return 0
	}
	for i, r := range m.rims {
		if r == bore {
			return i + 1
		}
	}
	return 0
}

// chamfer is the place of the chamfer among the regions where its light may incline, else 0.
func (m *edgeModel) chamfer() int {
	if m.incline > 0 && m.rims[0] == outer {
		return 1
	}
	return 0
}

// settledPx is a step of an edge that is too small to go on for.
const settledPx = 0.002

// how says how far a run of the fit goes.
type how struct {
	// hold keeps the edges where they were looked for and gives the one step that
	// the pixels ask for from there: what a rim's curve needs, whose arcs are only
	// strong together.
	hold bool
	// clip takes saturated pixels for what they are, at least full scale, instead
	// of full scale.
	clip   bool
	passes int
	// first is the pass to begin with: at 2 the edges are taken to be near already.
	first int
}

// fit returns one edgeFit for each rim, moved to where the pixels want it. ok is
// false when they don't determine one.
func (m edgeModel) fit(px *columns.Columns) (out [nRims]edgeFit, ok bool) {
	var st edgeState
	clipped, ok := m.begin(px, &st)
	if !ok {
		return out, false
	}
	if slices.Max(clipped[:]) <= clippedRegion {
		return m.run(px, &st, clipped, how{passes: mostPasses})
	}
	hidden := st
	for i, c := range clipped {
		if c > 0.5 {
			hidden.level[i] = hiddenLevel
		}
	}
	out, ok = m.run(px, &hidden, clipped, how{clip: true, passes: 24})
	for _, r := range m.rims {
		ok = ok && math.Abs(out[r].shift) < 0.9*m.limit && math.Abs(out[r].contrast) < maxHidden
	}
	if ok {
		for i, r := range m.rims {
			if math.Max(clipped[i], clipped[i+1]) > clippedRegion {
				out[r].saturated = true
				out[r].sd = math.Hypot(out[r].sd, tailDoubt*m.blur[r])
			}
		}
		return out, true
	}
	if out, ok = m.run(px, &st, clipped, how{passes: mostPasses}); ok {
		m.allowForClipping(clipped, &out)
	}
	return out, ok
}

// step returns one edgeFit for each rim whose shift is one step from the curve,
// not kept within any limit, and sets st to where that leads.
func (m edgeModel) step(px *columns.Columns, st *edgeState) (out [nRims]edgeFit, ok bool) {
	clipped, ok := m.begin(px, st)
	if !ok {
		return out, false
	}
	if out, ok = m.run(px, st, clipped, how{hold: true, passes: 5}); ok && slices.Max(clipped[:]) > clippedRegion {
		m.allowForClipping(clipped, &out)
	}
	return out, ok
}

// begin sets the state where a fit starts, with the edges where they are looked for;
// ok is false when a region has no pixel. clipped is the share of each region's pixels
// that are saturated.
func (m edgeModel) begin(px *columns.Columns, st *edgeState) (clipped [nRims + 1]float64, ok bool) {
	for i, r := range m.rims {
		st.blur[i] = m.blur[r]
	}
	full := fullScale
	if m.shadows {
		full = math.Inf(1)
	}
	g := px.Regions(len(m.rims), &st.blur, full)
	for i := range len(m.rims) + 1 {
		if g.Weight[i] == 0 {
			return clipped, false
		}
		if i < len(m.rims) && m.rims[i] == bore {
			st.shift[i] = m.lift
		}
		st.level[i], st.variance[i] = g.Sum[i]/g.Weight[i], 1
		clipped[i] = g.Full[i] / g.Count[i]
	}
	return clipped, true
}

// mostPasses is how many passes a fit may take.
const mostPasses = 9

func (m edgeModel) run(px *columns.Columns, st *edgeState, clipped [nRims + 1]float64, h how) (out [nRims]edgeFit, ok bool) {
	k := len(m.rims)
	u := m.layout()
	n := u.n
	if px.Chosen() < 3*n {
		return out, false
	}
	var matrix [maxModel * maxModel]float64
	var vector [maxModel]float64
	a, b := matrix[:n*n], vector[:n]
	eq := columns.Equations{A: a, B: b}
	var x []float64
	settled := false
	for pass := h.first; pass < h.passes; pass++ {
		last := settled || pass == h.passes-1
		wide := m.widen
		if !h.hold {
			// First with the blur widened: an edge two pixels off is still felt.
			wide = [...]float64{1.8, 1.3, 1}[min(pass, 2)]
		}
		m.normalEquations(px, st, eqOptions{unknowns: u, wide: wide, robust: pass >= 2, clip: h.clip, scatter: pass >= 2, still: h.hold && pass > 0}, &eq)
		m.addPriors(st, u, h.hold, a, b)
		if last && !h.hold {
			break
		}
		var good bool
		if x, good = solveSmall(a, b, n); !good {
			return out, false
		}
		if last {
			break // the factor of a is left for the sds, the step in x
		}
		settled = pass >= 3 && !h.hold
		for i := range k + 1 {
			// A level above saturation shows only by its edge's tail: go there in
			// steps no larger than itself.
			st.level[i] += math.Max(math.Min(x[i], 0.5+st.level[i]), -0.5-st.level[i]/2)
		}
		for i := range k {
			if !h.hold {
				step := math.Max(math.Min(x[u.shift+i], st.blur[i]), -st.blur[i])
				settled = settled && math.Abs(step) < settledPx
				st.shift[i] = math.Max(math.Min(st.shift[i]+step, m.limit), -m.limit)
			}
			if u.glint >= 0 {
				st.glint[i] += x[u.glint+i]
			}
			if m.askBlur {
				st.blur[i] = math.Max(st.blur[i]+x[u.blur+i], 0.4)
			}
		}
		if u.slope >= 0 {
			st.slope += x[u.slope]
		}
		if u.incline >= 0 {
			st.incline += x[u.incline]
		}
		for i := range k + 1 {
			st.variance[i] = math.NaN()
			if eq.Count[i] > 3 {
				st.variance[i] = eq.SumSq[i] / (eq.Count[i] - 1)
			}
		}
		fillVariance(st.variance[:k+1])
		for i := range k + 1 {
			// Light that saturates shows no scatter; it has its sparkle all the same.
			if clipped[i] > clippedRegion {
				st.variance[i] = math.Max(st.variance[i], sq(0.05*st.level[i]))
			}
		}
	}
	if h.hold {
		for i := range k {
			st.shift[i] = math.Max(math.Min(x[u.shift+i], unlimited), -unlimited)
		}
	} else if !factorSmall(a, n) {
		return out, false
	}
	misfit := 0.0
	for i := range k + 1 {
		if n := eq.Count[i]; n > 3 {
			misfit += n * math.Log(math.Max(eq.SumSq[i]/n, lightNoise))
		}
	}
	for i, r := range m.rims {
		va := inverseDiagonal(a, n, i) + inverseDiagonal(a, n, i+1)
		f := edgeFit{
			shift: st.shift[i], sd: math.Sqrt(inverseDiagonal(a, n, u.shift+i)),
			outside: st.level[i], contrast: st.level[i+1] - st.level[i], misfit: misfit,
		}
		f.snr = math.Abs(f.contrast) / math.Sqrt(va)
		f.sd *= doubtOfStep(f.snr, st.blur[i], st.variance[i+1]/st.variance[i])
		// A line that wasn't asked is held at nothing, and its sd is only how tightly.
		if u.glint >= 0 && m.askGlint[r] {
			f.glint, f.glintSD = st.glint[i], math.Sqrt(inverseDiagonal(a, n, u.glint+i))
		}
		if m.askBlur {
			f.blur, f.blurSD = st.blur[i], math.Sqrt(inverseDiagonal(a, n, u.blur+i))
		}
		out[r] = f
	}
	return out, true
}

// doubtOfStep is by how much an edge's sd grows because its step may be chance.
// A lens makes neighbours of a texture agree, so that of all pixels only one in
// 4 pi blur² counts for a level; a step of that size lends the edge a sharpness it
// hasn't got. Where the scatter on both sides differs, the edge shows by that too.
func doubtOfStep(snr, blur, ratio float64) float64 {
	if ratio > 4 || ratio < 0.25 {
		return 1
	}
	q := sq(snr) / (4 * math.Pi * sq(blur))
	if q < chanceStep {
		return hopeless
	}
	return math.Sqrt(q / (q - 1))
}

const (
	// chanceStep is the square of a step over its sd below which it is taken for
	// chance; hopeless makes an arc's sd too large to be used.
	chanceStep, hopeless = 1.3, 1e3
)
