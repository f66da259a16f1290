package vision

import (
	"math"
	"math/rand/v2"
	"testing"

	"evenrim/vision/ringcost"
)

// What the finder's inner loop says of a guess is the sum of what each sector's regions
// and edges cost one by one: with each shade of wall and backing, with and without an exit rim,
// where rims meet and where they leave the ring.
func TestJudgeSumsUpTheSectors(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	m := &regionMap{cx: 400, cy: 390, rho0: 200, n: 300}
	m.sums, m.edge = make([]sums, sectors*(m.n+1)), make([]float32, sectors*m.n)
	for s := range sectors {
		m.sin[s], m.cos[s] = math.Sincos(2 * math.Pi * float64(s) / sectors)
		row := m.sums[s*(m.n+1):]
		for k := range m.n {
			for range raysInSector {
				v := 0.3 + 0.2*rng.Float64() + 0.1*float64(k/100)
				row[k+1].v += v
				row[k+1].v2 += v * v
				row[k+1].kv += v * float64(k)
				row[k+1].k2v += v * float64(k*k)
			}
			row[k+1] = sums{row[k].v + row[k+1].v, row[k].v2 + row[k+1].v2, row[k].kv + row[k+1].kv, row[k].k2v + row[k+1].k2v}
			m.edge[s*m.n+k] = rng.Float32()
		}
	}
	m.makeCosts()
	for round := range 300 {
		m.wall, m.backing = [...]shade{sloping, bent}[round%2], [...]shade{sloping, bent}[round/4%2]
		every := 1 + round/2%2
		g := rimGuess{bx: 400 + 10*rng.NormFloat64(), by: 390 + 10*rng.NormFloat64(), br: 330 + 60*rng.NormFloat64(), dx: 0.02 * rng.NormFloat64(), dy: 0.02 * rng.NormFloat64(), w: 0.1 * rng.Float64()}
		if round%3 > 0 {
			g.ex, g.ey, g.er = 0.05*rng.NormFloat64(), 0.05*rng.NormFloat64(), 0.7+0.3*rng.Float64()
		}
		cross := func(s int, x, y, r float64) float64 {
			x, y = x-m.cx, y-m.cy
			along := x*m.cos[s] + y*m.sin[s]
			half2 := r*r - x*x - y*y + along*along
			if half2 <= 0 {
				return 0
			}
			return min(max(along+math.Sqrt(half2)-m.rho0, 0), float64(m.n))
		}
		face, inside := 0.0, 0.0
		for s := 0; s < sectors; s += every {
			b := cross(s, g.bx, g.by, g.br)
			o := max(cross(s, g.bx+g.dx*g.br, g.by+g.dy*g.br, g.br*(1+g.w)), b)
			face += sampleShare*(m.cost(s, o, float64(m.n), sloping)+m.cost(s, b, o, even))/2 - edgeGain*m.edgeAt(s, b)
			if o > b+1 {
				face -= edgeGain * m.edgeAt(s, o)
			}
			x := 0.0
			if g.er > 0 {
				x = min(cross(s, g.bx+g.ex*g.br, g.by+g.ey*g.br, g.br*g.er), b)
				if x < b-1 {
					inside -= edgeGain * m.edgeAt(s, x)
				}
			}
			inside += sampleShare * (m.cost(s, x, b, m.wall) + m.cost(s, 0, x, m.backing)) / 2
		}
		var v tally
		m.judge(&v, g, expectation{ratio: 1.05, spread: 1, maxOffset: 1}, every, wholeHole)
		for _, c := range [][2]float64{{v.face, face * float64(every)}, {v.inside, inside * float64(every)}} {
			if math.Abs(c[0]-c[1]) > 1e-9*math.Abs(c[1]) {
				t.Fatalf("round %d: %.12g, one by one %.12g", round, c[0], c[1])
			}
		}
	}
	if ringcost.Sectors%16 != 0 {
		t.Error("half the sectors no longer fill the lanes")
	}
}
