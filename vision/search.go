package vision

import (
	"cmp"
	"math"
	"slices"
)

type scoredGuess struct {
	g rimGuess
	s float64
}

func byScore(a, b scoredGuess) int { return cmp.Compare(a.s, b.s) }

// best starts from each circle as each rim and returns the rims that explain the
// ring best.
func (m *regionMap) best(anchors []rimCircle, e expectation) (rimGuess, float64) {
	pool := distinct(m.starts(anchors, e), 14)
	if len(pool) == 0 {
		return rimGuess{}, math.Inf(1)
	}
	for i := range pool {
		pool[i].g, pool[i].s = m.climb(pool[i].g, e, 0.02, 0.004)
	}
	slices.SortStableFunc(pool, byScore)
	// A wrong pair with an exit rim in hand outdoes the right pair without, so the
	// best without go on too.
	var final []scoredGuess
	with, without := 0, 0
	for _, p := range pool {
		if p.g.er > 0 {
			with++
			if with > 3 {
				continue
			}
		} else {
			without++
			if without > 3 {
				continue
			}
		}
		final = append(final, p)
		if x := m.exits(p.g, e, 1); len(x) > 0 {
			g, s := m.climb(x[0].g, e, 0.02, 0.004)
			final = append(final, scoredGuess{g, s})
		}
	}
	top := slices.MinFunc(final, byScore)
	top.g, top.s = m.climb(top.g, e, 0.004, 0.0008)
	return top.g, top.s
}

// sharpestExits returns the places where g's exit rim may be, sharpest first. The
// likeliest is the one that stands out most sharply: a fading wall or a patch of
// light on the paper explains much, but not at one place.
func (m *regionMap) sharpestExits(g rimGuess, e expectation) []exitGuess {
	var exits []exitGuess
	for _, x := range append(m.exits(g, e, 12), scoredGuess{g: g}) {
		if x.g.er > 0 {
			exits = append(exits, exitGuess{x.g, m.sharpness(x.g, e)})
		}
	}
	slices.SortStableFunc(exits, func(a, b exitGuess) int { return cmp.Compare(b.sharp, a.sharp) })
	return exits[:min(len(exits), 2)]
}

// exitGuess is a place for the exit rim and by how much of log-likelihood moving
// it away costs at least.
type exitGuess struct {
	g     rimGuess
	sharp float64
}

// sharpness returns what moving g's exit rim by a few pixels, in size or place,
// costs at least.
func (m *regionMap) sharpness(g rimGuess, e expectation) float64 {
	const moved = 6.0
	at, least := m.score(g, e), math.Inf(1)
	for k := range 3 {
		for _, s := range [2]float64{moved / g.br, -moved / g.br} {
			t := g
			switch k {
			case 0:
				t.er += s
			case 1:
				t.ex += s
			case 2:
				t.ey += s
			}
			least = math.Min(least, m.score(t, e)-at)
		}
	}
	return least
}

// starts lists every way to take one circle as one rim, and pairs and triples of
// circles as rims of one hole.
func (m *regionMap) starts(anchors []rimCircle, e expectation) []scoredGuess {
	var pool []scoredGuess
	add := func(g rimGuess) { pool = append(pool, scoredGuess{g, m.score(g, e)}) }
	w0 := e.ratio - 1
	mid := (e.minExit + e.maxExit) / 2
	widths := []float64{0.5 * w0, 0.7 * w0, w0, 1.4 * w0, 2 * w0}
	for _, a := range anchors {
		for _, w := range widths {
			add(rimGuess{a.X, a.Y, a.R, 0, 0, w, 0, 0, 0})
			add(rimGuess{a.X, a.Y, a.R / (1 + w), 0, 0, w, 0, 0, 0})
			add(rimGuess{a.X, a.Y, a.R / mid, 0, 0, w, 0, 0, mid})
		}
	}
	for _, b := range anchors {
		withExit := func(g rimGuess) {
			add(g)
			for _, x := range anchors {
				g.ex, g.ey, g.er = (x.X-b.X)/b.R, (x.Y-b.Y)/b.R, x.R/b.R
				if g.er >= e.minExit && g.er <= e.maxExit && math.Hypot(g.ex, g.ey) <= e.exitOffset {
					add(g)
				}
			}
		}
		for _, w := range widths {
			withExit(rimGuess{bx: b.X, by: b.Y, br: b.R, w: w})
		}
		for _, o := range anchors {
			g := rimGuess{bx: b.X, by: b.Y, br: b.R, dx: (o.X - b.X) / b.R, dy: (o.Y - b.Y) / b.R, w: o.R/b.R - 1}
			if g.w > 0 && g.w < 3*w0 && math.Hypot(g.dx, g.dy) < e.maxOffset {
				withExit(g)
			}
		}
	}
	return pool
}

// exits returns up to n places for the exit rim of g's outer and bore edge, looked
// for all over where the view may have put it.
func (m *regionMap) exits(g rimGuess, e expectation, n int) []scoredGuess {
	var pool []scoredGuess
	for _, f := range [...]float64{0.1, 0.3, 0.5, 0.65, 0.8, 0.92} {
		g.er = e.minExit + (e.maxExit-e.minExit)*f
		for ring := range 7 {
			off := e.exitOffset * float64(ring) / 7
			for j := range 4*ring + 1 {
				sn, co := math.Sincos(2 * math.Pi * float64(j) / float64(4*ring+1))
				g.ex, g.ey = off*co, off*sn
				pool = append(pool, scoredGuess{g, m.score(g, e)})
			}
		}
	}
	slices.SortStableFunc(pool, byScore)
	pool = distinct(pool[:min(len(pool), 8*n)], 2*n)
	for i := range pool {
		pool[i].g, pool[i].s = m.climbSome(pool[i].g, e, 0.02, 0.002, firstExitStep)
	}
	return distinct(pool, n)
}

// distinct returns the n best that are apart from each other, best first.
func distinct(pool []scoredGuess, n int) []scoredGuess {
	slices.SortStableFunc(pool, byScore)
	var out []scoredGuess
	for _, p := range pool {
		if len(out) < n && !slices.ContainsFunc(out, func(q scoredGuess) bool { return p.g.near(q.g) }) {
			out = append(out, p)
		}
	}
	return out
}

// climb is a pattern search: steps along each unknown, in bore radii, halved from
// one size down to the other when none helps.
func (m *regionMap) climb(g rimGuess, e expectation, from, to float64) (rimGuess, float64) {
	return m.climbSome(g, e, from, to, 0)
}

// firstExitStep is the first of climb's steps that moves the exit rim alone.
const firstExitStep = 7

// climbSome is climb with the steps from the given one on only.
func (m *regionMap) climbSome(g rimGuess, e expectation, from, to float64, first int) (rimGuess, float64) {
	best := m.score(g, e)
	for step := from; step >= to; {
		moved := false
		for k := first; k < 10; k++ {
			for _, s := range [2]float64{step, -step} {
				t := g
				switch k {
				case 0: // the whole hole
					t.bx += s * g.br
				case 1:
					t.by += s * g.br
				case 2:
					t.br *= 1 + s
				case 3:
					t.dx += s
				case 4:
					t.dy += s
				case 5:
					t.w += s
				case 6: // the bore edge alone, the others staying
					t.br *= 1 + s
					t.w = (1+g.w)/(1+s) - 1
					t.er = g.er / (1 + s)
				case 7:
					t.ex += s
				case 8:
					t.ey += s
				case 9:
					t.er += s
				}
				if k >= firstExitStep && g.er == 0 {
					continue
				}
				if v := m.score(t, e); v < best {
					g, best, moved = t, v, true
					break
				}
			}
		}
		if !moved {
			step /= 2
		}
	}
	return g, best
}

// near says that two guesses would climb to the same place.
func (g rimGuess) near(o rimGuess) bool {
	const d = 0.02
	return math.Abs(g.bx-o.bx) < d*g.br && math.Abs(g.by-o.by) < d*g.br && math.Abs(g.br-o.br) < d*g.br &&
		math.Abs(g.w-o.w) < d && math.Abs(g.dx-o.dx) < d && math.Abs(g.dy-o.dy) < d &&
		math.Abs(g.ex-o.ex) < d && math.Abs(g.ey-o.ey) < d && math.Abs(g.er-o.er) < d
}
