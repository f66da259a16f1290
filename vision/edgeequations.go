package vision

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

const (
	// wallSlope is by how much of its own light the bore's wall darkens or
	// brightens for each px into the bore, as one standard deviation: it dips into
	// the shadow of the face, and is seen aslant. Judged from path-traced photos.
	wallSlope = 0.03
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
		sd := wallSlope * math.Max(math.Abs(st.level[m.wall()]), wallDark)
		a[u.slope*n+u.slope] += 1 / sq(sd)
		b[u.slope] -= st.slope / sq(sd)
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

// normalEquations fills a and b with the linearised, weighted problem at st, and
// the squared residuals of pixels that lie in one region. Most of a reading's time
// is spent here, which is why it goes column by column.
func (m *edgeModel) normalEquations(px *arcPixels, st *edgeState, o eqOptions, a, b []float64, sumSq, sumW *[nRims + 1]float64) {
	k, n, u := len(m.rims), o.n, o.unknowns
	blur := st.blur
	if o.wide > 1 {
		for i := range k {
			blur[i] *= o.wide
		}
	}
	if !o.still {
		px.look(k, m.wall(), &st.shift, &blur)
	}
	rows := m.predict(px, st, u, &blur)
	m.weigh(px, o, rows, sumSq, sumW)
	clear(a)
	clear(b)
	for i := range n {
		weighted := px.weighted[:px.n]
		floats.MulTo(weighted, px.weight[:px.n], rows[i])
		b[i] = floats.Dot(weighted, px.misfit[:px.n])
		for j := 0; j <= i; j++ {
			a[i*n+j] = floats.Dot(weighted, rows[j])
		}
	}
	if o.scatter {
		m.addScatter(px, st, u, &blur, a, b)
	}
}

// predict sets each pixel's light and variance as st has them, and returns the
// derivatives of the light by each unknown.
func (m *edgeModel) predict(px *arcPixels, st *edgeState, u unknowns, blur *[nRims]float64) (rows [maxModel][]float64) {
	k, n := len(m.rims), px.n
	predicted, variance := px.predicted[:n], px.variance[:n]
	for i := range k + 1 {
		rows[i] = px.share[i][:n]
		if i == 0 {
			floats.ScaleTo(predicted, st.level[0], rows[0])
			floats.ScaleTo(variance, st.variance[0], px.shareSq[0][:n])
			continue
		}
		floats.AddScaled(predicted, st.level[i], rows[i])
		floats.AddScaled(variance, st.variance[i], px.shareSq[i][:n])
	}
	for i := range k {
		bell, blurs, row := px.bell[i][:n], px.blurs[i][:n], px.row[i][:n]
		rows[u.shift+i] = row
		step, line := st.level[i+1]-st.level[i], st.glint[i]/blur[i]
		floats.ScaleTo(row, step, bell)
		if u.glint >= 0 {
			rows[u.glint+i] = bell
			for p, v := range bell {
				predicted[p] += st.glint[i] * v
				row[p] += line * v * blurs[p]
			}
		}
		if u.blur >= 0 {
			wider := px.row[nRims+i][:n]
			rows[u.blur+i] = wider
			for p, v := range bell {
				t := blurs[p]
				wider[p] = v * (step*t + line*(t*t-1))
			}
		}
	}
	if u.slope >= 0 {
		ramp := px.ramp[:n]
		rows[u.slope] = ramp
		floats.AddScaled(predicted, st.slope, ramp)
		floats.AddScaled(rows[u.shift+m.wall()-1], -st.slope, rows[m.wall()])
	}
	return rows
}

// weigh sets each pixel's misfit, its weight and by how much its square surprises,
// and adds up the squares in each region.
func (m *edgeModel) weigh(px *arcPixels, o eqOptions, rows [maxModel][]float64, sumSq, sumW *[nRims + 1]float64) {
	n := px.n
	predicted, variance, misfit := px.predicted[:n], px.variance[:n], px.misfit[:n]
	weight, surprise := px.weight[:n], px.surprise[:n]
	for p, light := range px.light[:n] {
		pred := predicted[p]
		w := 1 / variance[p]
		if o.clip && pred >= fullScale && !m.shadows {
			// The model is too bright here. It must feel so, but by no more than
			// the picture can show.
			pred = 1
			if light >= nearFullScale {
				w = 0 // saturated as the model says: no more can be learnt from it
			}
		}
		res := light - pred
		z2 := res * res * w
		misfit[p], surprise[p] = res, min(z2-1, mostScatter)
		if o.robust && z2 > 2.5*2.5 {
			// Sparkles and dust: Huber's weight at 2.5 sd.
			w *= 2.5 / math.Sqrt(z2)
		}
		weight[p] = w
	}
	for i := range len(m.rims) + 1 {
		sum, count := 0.0, 0.0
		for p, share := range rows[i][:n] {
			if share > 0.8 && weight[p] > 0 {
				sum += misfit[p] * misfit[p]
				count++
			}
		}
		sumSq[i], sumW[i] = sum, count
	}
}

// addScatter adds what the pixels' scatter tells: a pixel's squared residual has
// the mean v and, sparkles being rare and bright, somewhat more than twice v² as
// its variance.
func (m *edgeModel) addScatter(px *arcPixels, st *edgeState, u unknowns, blur *[nRims]float64, a, b []float64) {
	n := px.n
	variance, weight, surprise := px.variance[:n], px.weight[:n], px.surprise[:n]
	for i := range m.rims {
		slope, fall := (st.variance[i+1]-st.variance[i])*math.Sqrt2/blur[i], px.fall[i][:n]
		for p, bell := range px.bellSq[i][:n] {
			fall[p] = 0
			if weight[p] > 0 {
				fall[p] = slope * bell / variance[p]
			}
		}
		b[u.shift+i] += scatterShare * floats.Dot(surprise, fall)
		for j := 0; j <= i; j++ {
			a[(u.shift+i)*u.n+u.shift+j] += scatterShare * floats.Dot(fall, px.fall[j][:n])
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
