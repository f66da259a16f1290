package vision

import (
	"math"
	"unsafe"

	"evenrim/vision/ringcost"
)

// sectors is how many directions the ring is cut into for telling its regions
// apart.
const sectors = ringcost.Sectors

// regionMap holds running sums along each sector of a ring, so that the spread of
// grey values about a straight line between any two radii costs a few additions.
// With it a guess at all three rims is judged by how well it explains the ring as
// face, chamfer, bore wall and backing: regions that differ in brightness or in
// sparkle, whichever the light leaves.
type regionMap struct {
	cx, cy, rho0 float64   // ring pixels
	n            int       // samples along a sector, 1 px apart from rho0
	sums         []sums    // n+1 of each sector
	edge         []float32 // how strongly an edge stands out at each sample, 0 to 1
	cos, sin     [sectors]float64
	wall         shade // of the bore's wall
	backing      shade // of what is seen through the bore
	costs        *ringcost.Ring
}

// sums are running sums of the grey value v, its square, and v times its number
// and that number's square.
type sums struct{ v, v2, kv, k2v float64 }

const (
	// raysInSector is how many samples stand behind each entry of a sector.
	raysInSector = ringRays / sectors
	// greyNoise is the least sd of a region, in units of full scale: two steps of an
	// 8-bit picture. Below it compression and stray light decide, not the part.
	greyNoise = 2.0 / 255
	// leastVariance is that of greyNoise: below it regions don't differ.
	leastVariance = greyNoise * greyNoise
)

// newRegionMap sums up the values of a strip, its fine or its even ones.
func newRegionMap(s *strip, values []float32, g *ring) *regionMap {
	m := &regionMap{cx: s.cx, cy: s.cy, rho0: s.rho0, n: s.n, wall: sloping, backing: sloping}
	stride := m.n + 1
	m.sums = make([]sums, sectors*stride)
	for sector := range sectors {
		// The middle of the sector's rays.
		m.sin[sector], m.cos[sector] = math.Sincos(2 * math.Pi * (float64(sector*raysInSector) + float64(raysInSector-1)/2) / ringRays)
		row := m.sums[sector*stride:][:stride]
		for r := range raysInSector {
			for k, v := range values[(sector*raysInSector+r)*m.n:][:m.n] {
				t, v := &row[k+1], float64(v)
				t.v += v
				t.v2 += v * v
				kv := v * float64(k)
				t.kv += kv
				t.k2v += kv * float64(k)
			}
		}
		for k := range m.n {
			row[k+1].v += row[k].v
			row[k+1].v2 += row[k].v2
			row[k+1].kv += row[k].kv
			row[k+1].k2v += row[k].k2v
		}
	}
	m.edge = make([]float32, sectors*m.n)
	const reach = 2.5
	rank, last := 0, -1
	for _, e := range g.ridges { // steepest first on each ray
		if e.ray != last {
			rank, last = 0, e.ray
		}
		w := rankWeight[min(rank, len(rankWeight)-1)]
		rank++
		row := m.edge[e.ray/raysInSector*m.n:][:m.n]
		at := e.rho - s.rho0
		for k := max(0, int(at-reach)); k <= min(m.n-1, int(at+reach)+1); k++ {
			if v := float32(w * (1 - math.Abs(float64(k)-at)/reach)); v > 0 {
				row[k] += v / raysInSector
			}
		}
	}
	m.makeCosts()
	return m
}

// makeCosts readies the map for judging guesses.
func (m *regionMap) makeCosts() {
	values := unsafe.Slice((*float64)(unsafe.Pointer(unsafe.SliceData(m.sums))), 4*len(m.sums)) // of four fields each
	m.costs = ringcost.New(m.cx, m.cy, m.rho0, m.n, &m.cos, &m.sin, values, m.edge,
		ringcost.Rules{Rays: raysInSector, Guard: blurGuard, LeastSlope: leastSlope, LeastBend: leastBend, LeastVariance: leastVariance, Share: sampleShare, Gain: edgeGain})
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

// blurGuard is how far a rim's blur reaches into the regions beside it, px.
const blurGuard = 2.5

// shade is the form of the light along a region.
type shade int

const (
	even    shade = iota
	sloping       // a straight line
	bent          // a parabola
)

// inside is the shade of wall or backing as ringcost has it.
func (s shade) inside() ringcost.Shade {
	if s == bent {
		return ringcost.Bent
	}
	return ringcost.Sloping
}

// leastSlope and leastBend are how long a region must be to tell a slope, or a
// bend, from its noise, samples.
const leastSlope, leastBend = 6, 12

// cost returns n ln(variance about the shade) of sector s between the sample
// positions a and b, which may be fractions.
func (m *regionMap) cost(s int, a, b float64, form shade) float64 {
	whole := b - a
	if whole < 0.5 {
		return 0
	}
	// Pixels that blur mixes at the borders say nothing about the region: they
	// are charged at the rate of the rest.
	guard := min(blurGuard, whole/4)
	a, b = a+guard, b-guard
	long := b - a
	perLong := 1 / long
	perSample := perLong / raysInSector
	row := m.sums[s*(m.n+1):][:m.n+1]
	lo, hi := sumsAt(row, a), sumsAt(row, b)
	mean := (hi.v - lo.v) * perSample
	v := (hi.v2-lo.v2)*perSample - mean*mean
	if form != even && long > leastSlope {
		// Samples sit at a .. b-1; their spread of position is that of a line.
		mid := (a + b - 1) / 2
		kv := (hi.kv - lo.kv) * perSample
		slope := (kv - mid*mean) * perLong
		v -= slope * slope * 12
		if form == bent && long > leastBend {
			// The square of the position, less its mean long²/12, has a variance of
			// long^4/180.
			bend := ((hi.k2v-lo.k2v)*perSample-mid*(2*kv-mid*mean))*perLong*perLong - mean/12
			v -= bend * bend * 180
		}
	}
	return whole * raysInSector * quickLog(max(v, 0)+leastVariance)
}

// sumsAt interpolates running sums.
func sumsAt(row []sums, a float64) sums {
	i := min(int(a), len(row)-2)
	f := a - float64(i)
	x, y := &row[i], &row[i+1]
	return sums{x.v + f*(y.v-x.v), x.v2 + f*(y.v2-x.v2), x.kv + f*(y.kv-x.kv), x.k2v + f*(y.k2v-x.k2v)}
}

// quickLog is ln(x) of a normal positive x to 2e-6, a third of math.Log's time,
// of which finding the rims took most.
func quickLog(x float64) float64 {
	const sqrtHalf = 0x3fe6a09e667f3bcd // bits of the square root of 1/2
	u := math.Float64bits(x)
	e := int64(u-sqrtHalf) >> 52
	m := math.Float64frombits(u - uint64(e)<<52) // in [sqrt 1/2, sqrt 2)
	t := (m - 1) / (m + 1)
	t2 := t * t
	// ln m = 2 artanh t
	return float64(e)*math.Ln2 + 2*t*(1+t2*(1.0/3+t2*(1.0/5+t2*(1.0/7))))
}
