package vision

import (
	"cmp"
	"math"
	"slices"
)

// A climb ends on the nearest top, and where a wall is nearly as light as the
// chamfer there are several. With the other rims held, what a sector costs depends
// on one number, where the bore edge crosses it: from a table of that the bore edge
// is looked up at every place it can be.

const (
	// sweepSteps is how many steps the bore edge is moved to either side, along each
	// of centre x, y and radius; leastPitch is the least step, ring px.
	sweepSteps, leastPitch = 14, 0.7
	// farSweep is the furthest that it is moved, in chamfer widths; leastSweep and
	// mostSweep bound it, ring px.
	farSweep, leastSweep, mostSweep = 1.3, 6.0, 45.0
	// mostCost bounds what one sector can say against a place: a few sectors in the
	// bright crescent would outvote the rest.
	mostCost = 20.0
	// alsoLikely is the log-likelihood within which another place is worth a closer
	// look, mostPlaces how many are.
	alsoLikely, mostPlaces = 200.0, 8
)

// breakTable is what each sector costs if the bore edge crosses it at each sample.
type breakTable struct {
	at   [sectors]float64 // where the bore edge crosses now
	cost []float64        // sectors rows
	n    int              // of a row
}

// breaks makes the table for the bore edge of g.
func (m *regionMap) breaks(g rimGuess) *breakTable {
	t := &breakTable{n: m.n + 1, cost: make([]float64, sectors*(m.n+1))}
	var outer, exit [sectors]float64
	m.cross(&t.at, g.bx, g.by, g.br, 1)
	m.cross(&outer, g.bx+g.dx*g.br, g.by+g.dy*g.br, g.br*(1+g.w), 1)
	if g.er > 0 {
		m.cross(&exit, g.bx+g.ex*g.br, g.by+g.ey*g.br, g.br*g.er, 1)
	}
	spread(sectors, func(lo, hi int) {
		for s := lo; s < hi; s++ {
			row := t.cost[s*t.n:][:t.n]
			for k := range row {
				b := float64(k)
				row[k] = m.parted(s, max(outer[s], b), b, min(exit[s], b)) - edgeGain*m.edgeAt(s, b)
			}
			least := slices.Min(row)
			for k := range row {
				row[k] = mostCost * (1 - math.Exp((least-row[k])/mostCost))
			}
		}
	})
	return t
}

// parted is what the regions of sector s cost when its rims lie at samples o, b
// and x, from outside inwards; x = 0: no exit rim.
func (m *regionMap) parted(s int, o, b, x float64) float64 {
	c := m.cost(s, o, float64(m.n), sloping) + m.cost(s, b, o, even) + m.cost(s, x, b, m.wall)
	if x > 0 {
		c += m.cost(s, 0, x, m.backing)
	}
	return sampleShare * c / 2
}

// moved is the cost of the bore edge moved by (dx, dy) and grown by dr, ring px, to
// first order of these over its radius; or something more than limit, if it is that: no
// sector costs less than nothing.
func (t *breakTable) moved(m *regionMap, dx, dy, dr, limit float64) float64 {
	sum := 0.0
	for s := 0; s < sectors && sum <= limit; s++ {
		p := min(max(t.at[s]+dx*m.cos[s]+dy*m.sin[s]+dr, 0), float64(t.n)-1.001)
		i := int(p)
		row := t.cost[s*t.n:]
		sum += row[i] + (p-float64(i))*(row[i+1]-row[i])
	}
	return sum
}

// boresElsewhere returns g with its bore edge at other places where it may be,
// likeliest first.
func (m *regionMap) boresElsewhere(g rimGuess, e expectation) []rimGuess {
	t := m.breaks(g)
	reach := min(max(farSweep*g.w*g.br, leastSweep), mostSweep)
	pitch := max(reach/sweepSteps, leastPitch)
	n := int(reach / pitch)
	type place struct{ dx, dy, dr, cost float64 }
	parts := make([][]place, 2*n+1)
	far := t.moved(m, 0, 0, 0, math.Inf(1)) + e.unlikely(g) + alsoLikely
	spread(len(parts), func(lo, hi int) {
		for k := lo; k < hi; k++ {
			dr := float64(k-n) * pitch
			for j := -n; j <= n; j++ {
				for i := -n; i <= n; i++ {
					dx, dy := float64(i)*pitch, float64(j)*pitch
					if h := g.boreMoved(dx, dy, dr); h.w > 0 {
						doubt := e.unlikely(h)
						if cost := doubt + t.moved(m, dx, dy, dr, far-doubt); cost <= far {
							parts[k] = append(parts[k], place{dx, dy, dr, cost})
						}
					}
				}
			}
		}
	})
	// Of tens of thousands of places only those that are likely enough want an order.
	least := math.Inf(1)
	for _, part := range parts {
		for _, p := range part {
			least = min(least, p.cost)
		}
	}
	var likely []place
	for _, part := range parts {
		for _, p := range part {
			if p.cost <= least+alsoLikely {
				likely = append(likely, p)
			}
		}
	}
	slices.SortStableFunc(likely, func(a, b place) int { return cmp.Compare(a.cost, b.cost) })
	taken := []place{{}} // where it is now
	var out []rimGuess
	for _, p := range likely {
		if len(out) == mostPlaces {
			break
		}
		if !slices.ContainsFunc(taken, func(q place) bool {
			return math.Hypot(math.Hypot(p.dx-q.dx, p.dy-q.dy), p.dr-q.dr) < 2.5*pitch
		}) {
			taken = append(taken, p)
			out = append(out, g.boreMoved(p.dx, p.dy, p.dr))
		}
	}
	return out
}

// boreMoved returns g with its bore edge moved by (dx, dy) and grown by dr, ring px,
// the other rims staying.
func (g rimGuess) boreMoved(dx, dy, dr float64) rimGuess {
	h := g
	h.bx, h.by, h.br = g.bx+dx, g.by+dy, g.br+dr
	k := g.br / h.br
	h.dx, h.dy, h.w = (g.dx*g.br-dx)/h.br, (g.dy*g.br-dy)/h.br, (1+g.w)*k-1
	if g.er > 0 {
		h.ex, h.ey, h.er = (g.ex*g.br-dx)/h.br, (g.ey*g.br-dy)/h.br, g.er*k
	}
	return h
}
