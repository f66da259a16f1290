package vision

import (
	"math"
	"slices"
)

// The three rims in the order met from outside.
const (
	outer = iota
	bore
	exit
	nRims
)

// pixel is a photo pixel near the rims: its light and its distance outside each
// rim's curve, px.
type pixel struct {
	light  float32
	shadow float32 // the same on a scale of equal ratios
	d      [nRims]float32
}

// edgeFit is one rim's edge in one short arc.
type edgeFit struct {
	shift    float64 // of the edge outside the curve it was looked for on, px
	sd       float64 // of shift, from the scatter of the pixels about the model
	contrast float64 // light inside less light outside
	snr      float64 // contrast over its sd
	glint    float64 // light of a bright line on the edge, light x px
	glintSD  float64
	glintCov float64 // covariance of shift and glint
	blur     float64 // of this edge, where it was asked for
	blurSD   float64
	// saturated says that the light on one side is beyond the picture's range.
	saturated bool
}

// edgeModel fits blurred steps between regions of even light to the pixels of one
// short arc: for K edges K+1 levels and K places. Edges closer than a few blurs
// pull each other unless they are fitted together, which this does.
//
// A real edge is rounded, and under light from one side the rounding shines: a
// thin bright line on the edge, which a plain step would take for a shift of the
// edge. One short arc hardly tells line from shift; the whole rim does (glint.go).
type edgeModel struct {
	rims     []int // the edges, outermost first
	blur     [nRims]float64
	limit    float64        // largest believable shift, px
	glint    [nRims]float64 // light of the line on each edge, or where to start
	askGlint [nRims]bool    // fit the line's light too
	askBlur  bool           // fit the blur of each edge too
	// shadows fits on the scale of equal ratios: for the exit rim, which lies in
	// the dark between a sparkling wall and nothing, and need not be placed as
	// exactly as blur would allow.
	shadows bool
	// widen is the factor on the blur while an edge is held where it was looked
	// for: an edge a few pixels off is felt only so.
	widen float64
}

const (
	// blurPriorSD holds an asked blur to what it was before, as a share of it.
	blurPriorSD = 0.35
	// looseGlint only keeps an asked line finite, light x px.
	looseGlint = 1.0
)

// maxModel is the most unknowns of any small system here: an arc's fit has up to
// 13, the whole rim's line 20.
const maxModel = 24

// edgeState is where a fit stands.
type edgeState struct {
	level              [nRims + 1]float64 // light of each region, outermost first
	variance           [nRims + 1]float64
	shift, glint, blur [nRims]float64
}

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
}

// fit returns one edgeFit for each rim, moved to where the pixels want it. ok is
// false when they don't determine one.
func (m edgeModel) fit(px []pixel) (out [nRims]edgeFit, ok bool) {
	var st edgeState
	clipped, ok := m.begin(px, &st)
	if !ok {
		return out, false
	}
	if slices.Max(clipped[:]) <= clippedRegion {
		return m.run(px, st, clipped, how{passes: 9})
	}
	hidden := st
	for i, c := range clipped {
		if c > 0.5 {
			hidden.level[i] = hiddenLevel
		}
	}
	out, ok = m.run(px, hidden, clipped, how{clip: true, passes: 24})
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
	if out, ok = m.run(px, st, clipped, how{passes: 9}); ok {
		m.allowForClipping(clipped, &out)
	}
	return out, ok
}

// step returns one edgeFit for each rim whose shift is one step from the curve,
// not kept within any limit.
func (m edgeModel) step(px []pixel) (out [nRims]edgeFit, ok bool) {
	var st edgeState
	clipped, ok := m.begin(px, &st)
	if !ok {
		return out, false
	}
	if out, ok = m.run(px, st, clipped, how{hold: true, passes: 5}); ok && slices.Max(clipped[:]) > clippedRegion {
		m.allowForClipping(clipped, &out)
	}
	return out, ok
}

// What saturation does to an edge. Light beyond the picture's range makes the
// edge seem to lie outside it, by 0.7 blurs at twice full scale and 2.2 at forty
// times: the middle of that, give or take. Where the hidden light is found from
// the edge's far tail, half a blur is all that is good for, as no lens keeps its
// tail Gaussian.
const (
	clippedRegion            = 0.2 // share of saturated pixels that makes a region suspect
	clippingShift, clipDoubt = 1.3, 0.65
	tailDoubt                = 0.5
	hiddenLevel, maxHidden   = 5.0, 60.0 // where the search for hidden light starts and ends
	unlimited                = 20.0      // px; keeps a step without information finite
)

func (m edgeModel) allowForClipping(clipped [nRims + 1]float64, out *[nRims]edgeFit) {
	for i, r := range m.rims {
		outside, inside := clipped[i], clipped[i+1]
		f := &out[r]
		switch {
		case inside > clippedRegion && inside > outside:
			f.shift -= clippingShift * m.blur[r]
		case outside > clippedRegion:
			f.shift += clippingShift * m.blur[r]
		default:
			continue
		}
		f.saturated = true
		f.sd = math.Hypot(f.sd, clipDoubt*m.blur[r])
	}
}

// begin sets the state where a fit starts; ok is false when a region has no pixel.
func (m edgeModel) begin(px []pixel, st *edgeState) (clipped [nRims + 1]float64, ok bool) {
	for i, r := range m.rims {
		st.blur[i], st.glint[i] = m.blur[r], m.glint[r]
	}
	if !m.startLevels(px, st) {
		return clipped, false
	}
	return m.clippedShare(px, st), true
}

func (m edgeModel) run(px []pixel, st edgeState, clipped [nRims + 1]float64, h how) (out [nRims]edgeFit, ok bool) {
	k := len(m.rims)
	// Unknowns: levels 0..k, shifts, lines, blurs.
	iShift, iGlint, iBlur := k+1, 2*k+1, 3*k+1
	n := iGlint
	switch {
	case m.askBlur:
		n = iBlur + k
	case m.askGlint != [nRims]bool{}:
		n = iBlur
	}
	if len(px) < 3*n {
		return out, false
	}
	a, b := make([]float64, n*n), make([]float64, n)
	var x []float64
	for pass := range h.passes {
		last := pass == h.passes-1
		wide := m.widen
		if !h.hold {
			// First with the blur widened: an edge two pixels off is still felt.
			wide = [...]float64{1.8, 1.3, 1}[min(pass, 2)]
		}
		var sumSq, sumW [nRims + 1]float64
		m.normalEquations(px, &st, eqOptions{n: n, wide: wide, robust: pass >= 2, clip: h.clip}, a, b, &sumSq, &sumW)
		m.addPriors(&st, n, h.hold, a, b)
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
		for i := range k + 1 {
			// A level above saturation shows only by its edge's tail: go there in
			// steps no larger than itself.
			st.level[i] += math.Max(math.Min(x[i], 0.5+st.level[i]), -0.5-st.level[i]/2)
		}
		for i := range k {
			if !h.hold {
				step := math.Max(math.Min(x[iShift+i], st.blur[i]), -st.blur[i])
				st.shift[i] = math.Max(math.Min(st.shift[i]+step, m.limit), -m.limit)
			}
			if n > iGlint {
				st.glint[i] += x[iGlint+i]
			}
			if m.askBlur {
				st.blur[i] = math.Max(st.blur[i]+x[iBlur+i], 0.4)
			}
		}
		for i := range k + 1 {
			st.variance[i] = math.NaN()
			if sumW[i] > 3 {
				st.variance[i] = sumSq[i] / (sumW[i] - 1)
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
			st.shift[i] = math.Max(math.Min(x[iShift+i], unlimited), -unlimited)
		}
	} else if !factorSmall(a, n) {
		return out, false
	}
	for i, r := range m.rims {
		va := inverseDiagonal(a, n, i) + inverseDiagonal(a, n, i+1)
		f := edgeFit{
			shift: st.shift[i], sd: math.Sqrt(inverseDiagonal(a, n, iShift+i)),
			contrast: st.level[i+1] - st.level[i],
		}
		f.snr = math.Abs(f.contrast) / math.Sqrt(va)
		if n > iGlint {
			f.glint, f.glintSD = st.glint[i], math.Sqrt(inverseDiagonal(a, n, iGlint+i))
			f.glintCov = inverseElement(a, n, iShift+i, iGlint+i)
		}
		if m.askBlur {
			f.blur, f.blurSD = st.blur[i], math.Sqrt(inverseDiagonal(a, n, iBlur+i))
		}
		out[r] = f
	}
	return out, true
}

func (m *edgeModel) value(p *pixel) float64 {
	if m.shadows {
		return float64(p.shadow)
	}
	return float64(p.light)
}

// startLevels fits the regions' light with the edges where they are looked for.
func (m edgeModel) startLevels(px []pixel, st *edgeState) bool {
	k := len(m.rims)
	var sum, n [nRims + 1]float64
	for _, p := range px {
		region := 0
		near := false
		for i, r := range m.rims {
			d := float64(p.d[r])
			if d < 0 {
				region = i + 1
			}
			near = near || math.Abs(d) < m.blur[r]
		}
		w := 1.0
		if near {
			w = 0.05
		}
		sum[region] += w * m.value(&p)
		n[region] += w
	}
	for i := range k + 1 {
		if n[i] == 0 {
			return false
		}
		st.level[i] = sum[i] / n[i]
		st.variance[i] = 1
	}
	return true
}

// addPriors adds what is known beforehand to the normal equations.
func (m edgeModel) addPriors(st *edgeState, n int, hold bool, a, b []float64) {
	k := len(m.rims)
	iShift, iGlint, iBlur := k+1, 2*k+1, 3*k+1
	limit := m.limit
	if hold {
		limit = unlimited
	}
	for i, r := range m.rims {
		// A shift without contrast is held by the limit itself.
		a[(iShift+i)*n+iShift+i] += 1 / sq(limit)
		if n > iGlint {
			g := looseGlint
			if !m.askGlint[r] {
				g = 1e-6
			}
			a[(iGlint+i)*n+iGlint+i] += 1 / (g * g)
			b[iGlint+i] -= (st.glint[i] - m.glint[r]) / (g * g)
		}
		if m.askBlur {
			p := 1 / sq(blurPriorSD*m.blur[r])
			a[(iBlur+i)*n+iBlur+i] += p
			b[iBlur+i] -= p * (st.blur[i] - m.blur[r])
		}
	}
	for i := range n {
		a[i*n+i] *= 1 + 1e-9
		if i <= k {
			a[i*n+i] += 1e-6 // a level that saturation hides
		}
	}
}

// clippedShare returns the share of each region's pixels that are saturated.
func (m edgeModel) clippedShare(px []pixel, st *edgeState) (share [nRims + 1]float64) {
	var n [nRims + 1]float64
	for _, p := range px {
		region := 0
		for i, r := range m.rims {
			if float64(p.d[r]) < st.shift[i] {
				region = i + 1
			}
		}
		n[region]++
		if p.light >= fullScale && !m.shadows {
			share[region]++
		}
	}
	for i := range share {
		share[i] /= math.Max(n[i], 1)
	}
	return share
}

// eqOptions say how the normal equations are made.
type eqOptions struct {
	n            int     // unknowns
	wide         float64 // factor on the blur
	robust, clip bool
}

// normalEquations fills a and b with the linearised, weighted problem at st, and
// the squared residuals of pixels that lie in one region.
func (m edgeModel) normalEquations(px []pixel, st *edgeState, o eqOptions, a, b []float64, sumSq, sumW *[nRims + 1]float64) {
	k, n := len(m.rims), o.n
	iShift, iGlint, iBlur := k+1, 2*k+1, 3*k+1
	clear(a)
	clear(b)
	var row [maxModel]float64
	var blur [nRims]float64
	for i := range k {
		blur[i] = st.blur[i]
		if o.wide > 1 {
			blur[i] *= o.wide
		}
	}
	for _, p := range px {
		pred, v, biggest, region := 0.0, 0.0, 0.0, 0
		prev := 1.0
		for i := 0; i <= k; i++ {
			next := 0.0
			if i < k {
				t := (float64(p.d[m.rims[i]]) - st.shift[i]) / blur[i]
				next = normalCDF(-t)
				bell := normalPDF(t) / blur[i]
				step := st.level[i+1] - st.level[i]
				row[iShift+i] = step*bell + st.glint[i]*bell*t/blur[i]
				pred += st.glint[i] * bell
				if n > iGlint {
					row[iGlint+i] = bell
				}
				if n > iBlur {
					row[iBlur+i] = step*bell*t + st.glint[i]*bell*(t*t-1)/blur[i]
				}
			}
			share := math.Max(prev-next, 0)
			row[i] = share
			pred += share * st.level[i]
			v += share * st.variance[i]
			if share > biggest {
				biggest, region = share, i
			}
			prev = next
		}
		light := m.value(&p)
		if o.clip && pred >= fullScale && !m.shadows {
			if light >= nearFullScale {
				continue // saturated as the model says: no more can be learnt from it
			}
			// The model is too bright here. It must feel so, but by no more than
			// the picture can show.
			pred = 1
		}
		res := light - pred
		if biggest > 0.8 {
			sumSq[region] += res * res
			sumW[region]++
		}
		w := 1 / v
		if o.robust {
			// Sparkles and dust: Huber's weight at 2.5 sd.
			if z := math.Abs(res) / math.Sqrt(v); z > 2.5 {
				w *= 2.5 / z
			}
		}
		for i := range n {
			if row[i] == 0 {
				continue
			}
			wi := w * row[i]
			for j := 0; j <= i; j++ {
				a[i*n+j] += wi * row[j]
			}
			b[i] += wi * res
		}
	}
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

// The normal distribution by table: the fit evaluates it for every pixel many
// times, and a thousandth of the blur is all the accuracy it can use.
const (
	cdfRange = 5.0
	cdfSteps = 4096
)

var cdfTable, pdfTable = func() (c, p [cdfSteps + 2]float64) {
	for i := range c {
		x := (float64(i)/cdfSteps*2 - 1) * cdfRange
		c[i] = 0.5 * math.Erfc(-x/math.Sqrt2)
		p[i] = math.Exp(-x*x/2) / math.Sqrt(2*math.Pi)
	}
	return c, p
}()

func normalCDF(x float64) float64 {
	if x <= -cdfRange {
		return 0
	}
	if x >= cdfRange {
		return 1
	}
	f := (x/cdfRange + 1) * (cdfSteps / 2)
	i := int(f)
	return cdfTable[i] + (f-float64(i))*(cdfTable[i+1]-cdfTable[i])
}

func normalPDF(x float64) float64 {
	if x <= -cdfRange || x >= cdfRange {
		return 0
	}
	f := (x/cdfRange + 1) * (cdfSteps / 2)
	i := int(f)
	return pdfTable[i] + (f-float64(i))*(pdfTable[i+1]-pdfTable[i])
}
