package practice

import (
	"math"
	"sync"
)

// The eye test's range of mismatches, shares of the chamfer's width. Below the
// least no screen shows it, above the most the chamfer is all but gone.
const minShare, maxShare = 0.006, 0.9

// grid is the table of curves that the eye test weighs: every threshold with
// every slope and rate of slips.
type grid struct {
	x0     []float64 // thresholds, log of the share
	shapes []curve   // slope and slip
	shares []float64 // mismatches that can be shown
	prior  []float64 // of x0[i] with shapes[j] at i*len(shapes)+j

	p, h [][]float64 // chance of a right answer and its entropy: [level][cell]
}

var theGrid = sync.OnceValue(newGrid)

func newGrid() *grid {
	g := &grid{}
	// A little beyond the range, so that an eye at its end isn't pushed inwards.
	lo, hi := math.Log(minShare/1.5), math.Log(maxShare*1.2)
	const thresholds, levels = 76, 31
	for i := range thresholds {
		g.x0 = append(g.x0, lo+(hi-lo)*float64(i)/(thresholds-1))
	}
	for _, slope := range []float64{0.8, 1.2, 1.8, 2.7, 4.0} {
		for _, slip := range []float64{0.005, 0.02, 0.05} {
			g.shapes = append(g.shapes, curve{slope: slope, slip: slip})
		}
	}
	for i := range levels {
		g.shares = append(g.shares, minShare*math.Pow(maxShare/minShare, float64(i)/(levels-1)))
	}
	var sum float64
	for _, x0 := range g.x0 {
		// Wide: 95 % between half a per cent and the whole width; a judgement, no source.
		z := (x0 - math.Log(0.07)) / 1.3
		for range g.shapes {
			w := math.Exp(-z * z / 2)
			g.prior = append(g.prior, w)
			sum += w
		}
	}
	for i := range g.prior {
		g.prior[i] /= sum
	}
	for _, s := range g.shares {
		p, h := make([]float64, len(g.prior)), make([]float64, len(g.prior))
		for i, x0 := range g.x0 {
			for j, c := range g.shapes {
				c.x0 = x0
				k := i*len(g.shapes) + j
				p[k] = c.at(math.Log(s))
				h[k] = entropy(p[k])
			}
		}
		g.p, g.h = append(g.p, p), append(g.h, h)
	}
	return g
}

// level is the place of the mismatch next to share.
func (g *grid) level(share float64) int {
	n := float64(len(g.shares) - 1)
	i := n * math.Log(share/minShare) / math.Log(maxShare/minShare)
	return int(math.Round(min(max(i, 0), n)))
}

// update takes an answer into the weights (Bayes).
func (g *grid) update(post []float64, level int, right bool) {
	var sum float64
	for k, p := range g.p[level] {
		if !right {
			p = 1 - p
		}
		post[k] *= p
		sum += post[k]
	}
	for k := range post {
		post[k] /= sum
	}
}

// best is the level whose answer is expected to say most about the threshold: the
// largest mutual information between the two, slope and slips averaged out.
func (g *grid) best(post []float64) int {
	n := len(g.shapes)
	best, most := 0, math.Inf(-1)
	for l, p := range g.p {
		var all, noise float64
		for i := range g.x0 {
			var w, right float64
			for k := i * n; k < (i+1)*n; k++ {
				w += post[k]
				right += post[k] * p[k]
			}
			all += right
			if w > 1e-12 {
				noise += w * entropy(right/w)
			}
		}
		if info := entropy(all) - noise; info > most {
			best, most = l, info
		}
	}
	return best
}

// interval is the threshold's 95 % credible interval with equal tails and its
// posterior mean, both in the logarithm, as shares.
func (g *grid) interval(post []float64) (low95, mean, high95 float64) {
	n := len(g.shapes)
	step := g.x0[1] - g.x0[0]
	var m, cum float64
	low, high := math.NaN(), math.NaN()
	for i, x := range g.x0 {
		var w float64
		for k := i * n; k < (i+1)*n; k++ {
			w += post[k]
		}
		m += w * x
		// The weight of a threshold is spread over its step of the grid.
		for _, q := range []struct {
			at   float64
			into *float64
		}{{0.025, &low}, {0.975, &high}} {
			if cum < q.at && cum+w >= q.at {
				*q.into = x + step*((q.at-cum)/w-0.5)
			}
		}
		cum += w
	}
	if math.IsNaN(high) { // rounding kept the sum under 0.975 + what is left
		high = g.x0[len(g.x0)-1]
	}
	return math.Exp(low), math.Exp(m), math.Exp(high)
}
