package vision

import (
	"math"

	"evenrim/model"
)

// sectors is how many directions the ring is cut into for telling its regions
// apart.
const sectors = 64

// regionMap holds running sums along each sector of a ring, so that the spread of
// grey values about a straight line between any two radii costs a few additions.
// With it a guess at all three rims is judged by how well it explains the ring as
// face, chamfer, bore wall and backing: regions that differ in brightness or in
// sparkle, whichever the light leaves.
type regionMap struct {
	cx, cy, rho0 float64 // plane pixels
	n            int     // samples along a sector, 1 px apart from rho0
	perCell      float64 // rays in a sector: samples behind each entry
	s1, s2, sr   []float64
	edge         []float32 // how strongly an edge stands out at each sample, 0 to 1
	floor        float64   // variance below which regions don't differ
	cos, sin     [sectors]float64
}

// greyNoise is the least sd of a region, in units of full scale: two steps of an
// 8-bit picture. Below it compression and stray light decide, not the part.
const greyNoise = 2.0 / 255

func newRegionMap(g *ring, rho0, rho1, smoothing float64) *regionMap {
	pl, cx, cy := g.pl, g.cx, g.cy
	if smoothing > 0 {
		pl = pl.smooth(smoothing)
	}
	m := &regionMap{cx: cx, cy: cy, rho0: rho0, n: int(rho1 - rho0), floor: greyNoise * greyNoise}
	const rays = 4
	m.perCell = rays
	stride := m.n + 1
	m.s1, m.s2, m.sr = make([]float64, sectors*stride), make([]float64, sectors*stride), make([]float64, sectors*stride)
	for s := range sectors {
		m.sin[s], m.cos[s] = math.Sincos(2 * math.Pi * (float64(s) + 0.5) / sectors)
		row1, row2, rowR := m.s1[s*stride:][:stride], m.s2[s*stride:][:stride], m.sr[s*stride:][:stride]
		for r := range rays {
			sn, co := math.Sincos(2 * math.Pi * (float64(s) + (float64(r)+0.5)/rays) / sectors)
			for k := range m.n {
				rho := rho0 + float64(k)
				v := float64(pl.at(cx+rho*co, cy+rho*sn))
				row1[k+1] += v
				row2[k+1] += v * v
				rowR[k+1] += v * float64(k)
			}
		}
		for k := range m.n {
			row1[k+1] += row1[k]
			row2[k+1] += row2[k]
			rowR[k+1] += rowR[k]
		}
	}
	m.edge = make([]float32, sectors*m.n)
	const reach = 2.5
	rank, last := 0, -1.0
	for _, e := range g.ridges { // steepest first on each ray
		if e.theta != last {
			rank, last = 0, e.theta
		}
		w := rankWeight[min(rank, len(rankWeight)-1)]
		rank++
		row := m.edge[int(e.theta*sectors/(2*math.Pi))%sectors*m.n:][:m.n]
		at := e.rho - rho0
		for k := max(0, int(at-reach)); k <= min(m.n-1, int(at+reach)+1); k++ {
			if v := float32(w * (1 - math.Abs(float64(k)-at)/reach)); v > 0 {
				row[k] += v * sectors / ringRays
			}
		}
	}
	return m
}

// rankWeight is how much the steepest, second ... ridge on a ray counts.
var rankWeight = [ridgesPerRay]float64{1, 1, 0.8, 0.5}

// edgeAt returns how strongly an edge stands out in sector s at sample position a.
func (m *regionMap) edgeAt(s int, a float64) float64 {
	i := int(a)
	if i < 0 || i+1 >= m.n {
		return 0
	}
	f := a - float64(i)
	row := m.edge[s*m.n:]
	return float64(row[i])*(1-f) + float64(row[i+1])*f
}

// blurGuard is how far a rim's blur reaches into the regions beside it, and
// sparkleSD what is smoothed before, px.
const (
	blurGuard = 2.5
	sparkleSD = 1.2
)

// cost returns n ln(variance about a straight line) of sector s between the
// sample positions a and b, which may be fractions.
func (m *regionMap) cost(s int, a, b float64, sloping bool) float64 {
	whole := b - a
	if whole < 0.5 {
		return 0
	}
	// Pixels that blur mixes at the borders say nothing about the region: they
	// are charged at the rate of the rest.
	guard := math.Min(blurGuard, whole/4)
	a, b = a+guard, b-guard
	len1 := b - a
	n := len1 * m.perCell
	base := s * (m.n + 1)
	ia, ib := int(a), int(b)
	fa, fb := a-float64(ia), b-float64(ib)
	if ia >= m.n {
		ia, fa = m.n-1, 1
	}
	if ib >= m.n {
		ib, fb = m.n-1, 1
	}
	get := func(t []float64) float64 {
		lo := t[base+ia] + fa*(t[base+ia+1]-t[base+ia])
		hi := t[base+ib] + fb*(t[base+ib+1]-t[base+ib])
		return hi - lo
	}
	s1, s2, sr := get(m.s1), get(m.s2), get(m.sr)
	mean := s1 / n
	v := s2/n - mean*mean
	if sloping && len1 > 6 {
		// Samples sit at a .. b-1; their spread of position is that of a line.
		mid := (a + b - 1) / 2
		cov := sr/n - mid*mean
		v -= cov * cov / (len1 * len1 / 12)
	}
	return whole * m.perCell * math.Log(math.Max(v, 0)+m.floor)
}

// rimGuess is a guess at the rims: circles relative to the ring's plane. The
// outer edge and the exit rim are stated relative to the bore edge, in units of
// its radius, since that is where the limits of a real hole are known.
type rimGuess struct {
	bx, by, br float64
	dx, dy, w  float64 // outer centre offset and width, in bore radii
	ex, ey, er float64 // exit centre offset and radius, in bore radii; er = 0: not seen
}

func (g rimGuess) circles(pl *plane) hole {
	up := func(x, y, r float64) model.Circle {
		return model.Circle{X: pl.toPhoto(x), Y: pl.toPhoto(y), R: r * float64(pl.f)}
	}
	h := hole{bore: up(g.bx, g.by, g.br), outer: up(g.bx+g.dx*g.br, g.by+g.dy*g.br, g.br*(1+g.w))}
	if g.er > 0 {
		h.exit = up(g.bx+g.ex*g.br, g.by+g.ey*g.br, g.br*g.er)
	}
	return h
}

const (
	// sampleShare is one over the number of samples that tool marks, blur and
	// bilinear sampling make agree: a region's samples count for so much less.
	sampleShare = 1.0 / 8
	// extraRegionCost is what a further region must save in each sector to be
	// believed: three numbers (level, slope, spread) at half the log of the number
	// of samples (Schwarz 1978, from memory).
	extraRegionCost = 3 * 0.5 * 3
	// edgeGain is the log-likelihood ratio of an edge that stands out against none.
	edgeGain = 8.0
)

// score is minus the log-likelihood of the ring under g, smaller is better, with
// what e finds unlikely added.
func (m *regionMap) score(g rimGuess, e expectation) float64 {
	spread, edges := 0.0, 0.0
	for s := range sectors {
		// Distance from the ring's centre to each circle along the sector.
		ray := func(x, y, r float64) float64 {
			x, y = x-m.cx, y-m.cy
			along := x*m.cos[s] + y*m.sin[s]
			across2 := x*x + y*y - along*along
			if across2 >= r*r {
				return 0
			}
			return math.Min(math.Max(along+math.Sqrt(r*r-across2)-m.rho0, 0), float64(m.n))
		}
		b := ray(g.bx, g.by, g.br)
		o := math.Max(ray(g.bx+g.dx*g.br, g.by+g.dy*g.br, g.br*(1+g.w)), b)
		spread += m.cost(s, o, float64(m.n), true) + m.cost(s, b, o, false)
		edges += m.edgeAt(s, b)
		if o > b+1 {
			edges += m.edgeAt(s, o)
		}
		if g.er > 0 {
			x := math.Min(ray(g.bx+g.ex*g.br, g.by+g.ey*g.br, g.br*g.er), b)
			spread += m.cost(s, x, b, true) + m.cost(s, 0, x, true)
			if x < b-1 {
				edges += m.edgeAt(s, x)
			}
		} else {
			spread += m.cost(s, 0, b, true)
		}
	}
	total := sampleShare*spread/2 - edgeGain*edges + e.unlikely(g)
	if g.er > 0 {
		total += sectors * extraRegionCost
	}
	return total
}

// unlikely returns a penalty, 0 for what the job card expects; it goes up steeply
// outside what can be in front of a bench camera.
func (e expectation) unlikely(g rimGuess) float64 {
	p := 0.0
	if g.w <= 0 {
		return 1e9
	}
	z := math.Log(g.w/(e.ratio-1)) / e.spread
	p += 20 * z * z
	if math.Abs(z) > 3 {
		p += 2000 * (math.Abs(z) - 3)
	}
	if off := math.Hypot(g.dx, g.dy); off > e.maxOffset {
		p += 20000 * (off - e.maxOffset)
	}
	if g.er > 0 {
		p += 20000 * math.Max(0, math.Max(g.er-e.maxExit, e.minExit-g.er))
		if off := math.Hypot(g.ex, g.ey); off > e.exitOffset {
			p += 20000 * (off - e.exitOffset)
		}
	}
	return p
}
