package vision

import "math"

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
	light float32
	d     [nRims]float32
}

// edgeFit is one rim's edge in one short arc.
type edgeFit struct {
	shift    float64 // of the edge outside the curve it was looked for on, px
	sd       float64 // of shift, from the scatter of the pixels about the model
	contrast float64 // light inside less light outside
	snr      float64 // contrast over its sd
}

// edgeModel fits blurred steps between regions of even light to the pixels of one
// short arc: for K edges K+1 levels and K places. Edges closer than a few blurs
// pull each other unless they are fitted together, which this does.
type edgeModel struct {
	rims  []int // the edges, outermost first
	blur  float64
	limit float64 // largest believable shift, px
}

const maxModel = 2*nRims + 1

// fit returns one edgeFit for each rim. ok is false when the pixels don't
// determine them.
func (m edgeModel) fit(px []pixel) (out [nRims]edgeFit, ok bool) {
	k := len(m.rims)
	n := 2*k + 1
	if len(px) < 3*n {
		return out, false
	}
	var level [nRims + 1]float64 // light of each region, outermost first
	var shift [nRims]float64
	var variance [nRims + 1]float64
	for i := range variance {
		variance[i] = 1
	}
	// First with the blur widened: an edge two pixels off is still felt.
	schedule := [...]float64{2.5, 1.6, 1, 1, 1, 1, 1, 1}
	a, b := make([]float64, n*n), make([]float64, n)
	haveLevels := false
	for pass, wide := range schedule {
		blur := m.blur
		if w := 2.0; wide > 1 && blur < w {
			blur = math.Min(m.blur*wide, w)
		}
		clear(a)
		clear(b)
		var sumSq, sumW [nRims + 1]float64
		var row [maxModel]float64
		for _, p := range px {
			// Share of each region in the pixel and how it changes with each shift.
			var in [nRims]float64
			for i, r := range m.rims {
				t := (float64(p.d[r]) - shift[i]) / blur
				in[i] = normalCDF(-t)
				row[k+1+i] = 0
				if haveLevels {
					row[k+1+i] = (level[i+1] - level[i]) * normalPDF(t) / blur
				}
			}
			pred, v, biggest, region := 0.0, 0.0, 0.0, 0
			prev := 1.0
			for i := 0; i <= k; i++ {
				next := 0.0
				if i < k {
					next = in[i]
				}
				share := math.Max(prev-next, 0)
				row[i] = share
				pred += share * level[i]
				v += share * variance[i]
				if share > biggest {
					biggest, region = share, i
				}
				prev = next
			}
			res := float64(p.light) - pred
			if haveLevels && float64(p.light) >= fullScale && pred >= fullScale {
				continue // saturated as the model says: no more can be learnt from it
			}
			if haveLevels && biggest > 0.8 {
				sumSq[region] += res * res
				sumW[region]++
			}
			w := 1 / v
			if pass >= 3 {
				// Sparkles and dust: Huber's weight at 2.5 sd.
				if z := math.Abs(res) / math.Sqrt(v); z > 2.5 {
					w *= 2.5 / z
				}
			}
			target := res
			if !haveLevels {
				target = float64(p.light)
			}
			for i := range n {
				if row[i] == 0 {
					continue
				}
				wi := w * row[i]
				for j := 0; j <= i; j++ {
					a[i*n+j] += wi * row[j]
				}
				b[i] += wi * target
			}
		}
		if !haveLevels {
			// Levels first, with the edges where they were looked for.
			la, lb := make([]float64, (k+1)*(k+1)), b[:k+1]
			for i := range k + 1 {
				for j := 0; j <= i; j++ {
					la[i*(k+1)+j] = a[i*n+j]
				}
				la[i*(k+1)+i] += 1e-9
			}
			x, good := solveSmall(la, lb, k+1)
			if !good {
				return out, false
			}
			copy(level[:], x)
			haveLevels = true
			continue
		}
		for i := range n {
			a[i*n+i] *= 1 + 1e-9
			// A shift without contrast is held by the limit itself.
			if i > k {
				a[i*n+i] += 1 / sq(m.limit)
			}
		}
		if pass == len(schedule)-1 {
			break
		}
		x, good := solveSmall(a, b, n)
		if !good {
			return out, false
		}
		for i := range k + 1 {
			level[i] += x[i]
		}
		for i := range k {
			step := math.Max(math.Min(x[k+1+i], blur), -blur)
			shift[i] = math.Max(math.Min(shift[i]+step, m.limit), -m.limit)
		}
		for i := range k + 1 {
			if sumW[i] > 3 {
				variance[i] = sumSq[i] / (sumW[i] - 1)
			} else {
				variance[i] = math.NaN()
			}
		}
		fillVariance(variance[:k+1])
	}
	if !factorSmall(a, n) {
		return out, false
	}
	for i := range m.rims {
		c := level[i+1] - level[i]
		va := inverseDiagonal(a, n, i) + inverseDiagonal(a, n, i+1)
		out[m.rims[i]] = edgeFit{
			shift: shift[i], sd: math.Sqrt(inverseDiagonal(a, n, k+1+i)),
			contrast: c, snr: math.Abs(c) / math.Sqrt(va),
		}
	}
	return out, true
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
