package live

import "math"

// edgeFit fits n = 1 or 2 blurred steps to the pixels along a ray: n+1 levels of
// light and n places. Two edges closer than a few blurs pull each other unless
// they are fitted together.
type edgeFit struct {
	n     int
	blur  float64
	widen float64 // factor on the blur in the first passes
	limit float64 // largest believable shift, px

	level [3]float64 // outermost first
	least float64    // bounds of any level
	most  float64
	shift [2]float64 // of each edge outside its curve, px
	sd    [2]float64 // of shift, from the scatter about the model
	snr   [2]float64 // contrast over its sd
	// What each edge says of the blur, as the two sides of a one-unknown step.
	blurUp, blurDown [2]float64
}

const (
	// rayPasses bounds the steps; one that moves no edge by enough is the last.
	rayPasses = 8
	enough    = 0.01 // px
	// placePrior keeps the place of an edge without contrast finite, px.
	placePrior = 6.0
)

// solve is Gauss-Newton with the steps held to one blur.
func (e *edgeFit) solve(px []sample) bool {
	n := e.n
	un := 2*n + 1
	if len(px) < 4*un || !e.start(px) {
		return false
	}
	variance, moved := math.NaN(), math.Inf(1)
	var m system
	for pass := range rayPasses {
		s := e.blur * e.widen
		m = system{}
		sum := 0.0
		e.blurUp, e.blurDown = [2]float64{}, [2]float64{}
		for i := range px {
			p := &px[i]
			var d [5]float64
			d[0] = 1
			v := e.level[0]
			var byBlur [2]float64
			for j := range n {
				t := (e.shift[j] - p.d[j]) / s
				c, g := step(t)
				up := e.level[j+1] - e.level[j]
				v += up * c
				d[j] -= c
				d[j+1] += c
				d[n+1+j] = up * g / s
				byBlur[j] = -up * g * t / s
			}
			r := p.v - v
			sum += r * r
			for j := range n {
				e.blurUp[j] += r * byBlur[j]
				e.blurDown[j] += byBlur[j] * byBlur[j]
			}
			m.add(d[:un], r, 1)
		}
		variance = sum/float64(len(px)-un) + minVariance
		for j := range n {
			w := variance / (placePrior * placePrior)
			m.a[n+1+j][n+1+j] += w
			m.b[n+1+j] -= w * e.shift[j]
		}
		if pass == rayPasses-1 || moved < enough {
			break
		}
		x, ok := m.solveAll(un)
		if !ok {
			return false
		}
		moved = 0
		for j := range n + 1 {
			// Near edges trade a level far beyond all light against their places.
			was := e.level[j]
			e.level[j] = math.Max(math.Min(was+x[j], e.most), e.least)
			moved = math.Max(moved, math.Abs(e.level[j]-was)/(e.most-e.least))
		}
		for j := range n {
			d := math.Max(math.Min(x[n+1+j], 0.8*s), -0.8*s)
			moved = math.Max(moved, math.Abs(d))
			e.shift[j] = math.Max(math.Min(e.shift[j]+d, e.limit), -e.limit)
		}
	}
	if !m.factor(un) {
		return false
	}
	for j := range n {
		e.sd[j] = math.Sqrt(variance * m.variance(un, n+1+j))
		e.snr[j] = math.Abs(e.level[j+1]-e.level[j]) / math.Sqrt(variance*(m.variance(un, j)+m.variance(un, j+1)))
	}
	return true
}

// minVariance is that of half a step of an 8-bit picture in its darker half.
const minVariance = 1e-6

// start takes the levels from the pixels well to one side of the edges.
func (e *edgeFit) start(px []sample) bool {
	var sum, num [3]float64
	least, most := math.Inf(1), math.Inf(-1)
	for i := range px {
		least, most = math.Min(least, px[i].v), math.Max(most, px[i].v)
		region, near := 0, false
		for j := range e.n {
			if px[i].d[j] < 0 {
				region = j + 1
			}
			near = near || math.Abs(px[i].d[j]) < e.blur
		}
		w := 1.0
		if near {
			w = 0.05
		}
		sum[region] += w * px[i].v
		num[region] += w
	}
	for j := range e.n + 1 {
		if num[j] == 0 {
			return false
		}
		e.level[j] = sum[j] / num[j]
	}
	half := (most-least)/2 + 0.01
	e.least, e.most = least-half, most+half
	e.shift = [2]float64{}
	return true
}
