package vision

import (
	"math"
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
// is spent here: what is the same for all pixels is worked out beforehand, and of
// a pixel's row only what isn't zero is multiplied out.
func (m *edgeModel) normalEquations(px []pixel, st *edgeState, o eqOptions, a, b []float64, sumSq, sumW *[nRims + 1]float64) {
	k, n, u := len(m.rims), o.n, o.unknowns
	wall := m.wall()
	clear(a)
	clear(b)
	var row [maxModel]float64
	var nonZero [maxModel]int
	var dv [nRims]float64
	var edges [nRims]edgeAtWork
	for i := range k {
		blur := st.blur[i]
		if o.wide > 1 {
			blur *= o.wide
		}
		edges[i] = edgeAtWork{rim: m.rims[i], shift: st.shift[i], glint: st.glint[i], blur: blur, perBlur: 1 / blur,
			step: st.level[i+1] - st.level[i], spread: (st.variance[i+1] - st.variance[i]) * math.Sqrt2 / blur}
	}
	for at := range px {
		p := &px[at]
		pred, v, biggest, region := 0.0, 0.0, 0.0, 0
		prev, prevSq := 1.0, 1.0
		for i := 0; i <= k; i++ {
			next, nextSq := 0.0, 0.0
			if i < k {
				e := &edges[i]
				t := (float64(p.d[e.rim]) - e.shift) * e.perBlur
				var bell, bellSq float64
				next, bell = normalBeyond(t)
				nextSq, bellSq = normalBeyond(t * math.Sqrt2)
				dv[i] = e.spread * bellSq
				bell *= e.perBlur
				line := e.glint * bell
				row[u.shift+i] = e.step*bell + line*t*e.perBlur
				pred += line
				if u.glint >= 0 {
					row[u.glint+i] = bell
				}
				if u.blur >= 0 {
					row[u.blur+i] = e.step*bell*t + line*(t*t-1)*e.perBlur
				}
			}
			share := prev - next
			if share < 0 {
				share = 0
			}
			row[i] = share
			if u.slope >= 0 && i == wall {
				// A blurred ramp that ends at the edge.
				e := &edges[i-1]
				d := float64(p.d[bore]) - e.shift
				row[u.slope] = d*share - e.blur*normalPDF(d*e.perBlur)
				row[u.shift+i-1] -= st.slope * share
				pred += st.slope * row[u.slope]
			}
			pred += share * st.level[i]
			if prevSq > nextSq {
				v += (prevSq - nextSq) * st.variance[i]
			}
			if share > biggest {
				biggest, region = share, i
			}
			prev, prevSq = next, nextSq
		}
		light := m.value(p)
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
		if o.scatter {
			// The scatter tells too where the edge is: a pixel's squared residual
			// has the mean v and, sparkles being rare and bright, somewhat more
			// than twice v² as its variance.
			z := min(res*res*w-1, mostScatter)
			for i := range k {
				di := dv[i] * w
				if di == 0 {
					continue
				}
				b[u.shift+i] += scatterShare * z * di
				di *= scatterShare * w
				for j := 0; j <= i; j++ {
					a[(u.shift+i)*n+u.shift+j] += di * dv[j]
				}
			}
		}
		if o.robust {
			// Sparkles and dust: Huber's weight at 2.5 sd.
			if z2 := res * res * w; z2 > 2.5*2.5 {
				w *= 2.5 / math.Sqrt(z2)
			}
		}
		used := 0
		for i, x := range row[:n] {
			if x != 0 {
				nonZero[used] = i
				used++
			}
		}
		for q, i := range nonZero[:used] {
			wi := w * row[i]
			line := a[i*n:]
			for _, j := range nonZero[:q+1] {
				line[j] += wi * row[j]
			}
			b[i] += wi * res
		}
	}
}

// edgeAtWork is an edge with what normalEquations needs of it for every pixel.
type edgeAtWork struct {
	rim           int
	shift, glint  float64
	blur, perBlur float64
	step, spread  float64 // of the light; of its variance, per blur
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
