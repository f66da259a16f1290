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

// rank puts the best first and leaves equals in their order. Guesses are large: their
// numbers are sorted in their place.
func rank(pool []scoredGuess) {
	order := make([]int, len(pool))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(byScore(pool[a], pool[b]), cmp.Compare(a, b)) })
	was := slices.Clone(pool)
	for i, k := range order {
		pool[i] = was[k]
	}
}

const (
	// coarse is one sector in how many is looked at while there are many guesses.
	coarse = 2
	// mostStarts is how many guesses are followed up.
	mostStarts = 14
	// mostKept is how many with an exit rim, and how many without, go on then.
	mostKept = 3
)

// best starts from each circle as each rim and returns the rims that explain the
// ring best.
func (m *regionMap) best(anchors []rimCircle, e expectation) (rimGuess, float64) {
	pool := m.climbAll(distinct(m.starts(anchors, e), mostStarts), e)
	if len(pool) == 0 {
		return rimGuess{}, math.Inf(1)
	}
	// Rims are easily taken for the next one further in or out: what was climbed to
	// gets a second chance, one rim further in.
	var outers []rimGuess
	for _, p := range distinct(pool, 3) {
		outers = append(outers, p.g, rimGuess{bx: p.g.bx, by: p.g.by, br: p.g.br})
	}
	pool = distinct(append(pool, m.climbAll(m.bores(outers, e), e)...), mostStarts)
	// A wrong pair with an exit rim in hand outdoes the right pair without, so the
	// best without go on too.
	var final []scoredGuess
	with, without := 0, 0
	for _, p := range pool {
		if p.g.er > 0 {
			with++
			if with > mostKept {
				continue
			}
		} else {
			without++
			if without > mostKept {
				continue
			}
		}
		final = append(final, p)
	}
	more := make([]scoredGuess, len(final))
	spreadEach(len(final), func(_, i int) {
		more[i].s = math.Inf(1)
		if x := m.exits(final[i].g, e, 3); len(x) > 0 {
			more[i].g, more[i].s = m.climb(x[0].g, e, climbing{from: 0.02, to: 0.004, every: coarse})
		}
	})
	final = distinct(append(final, more...), 4)
	spreadEach(len(final), func(_, i int) {
		final[i].g, final[i].s = m.climb(final[i].g, e, climbing{from: 0.008, to: 0.0008, every: 1})
	})
	top := slices.MinFunc(final, byScore)
	for range mostShakes {
		better := m.shake(top, e)
		if better.s >= top.s {
			break
		}
		top = better
	}
	return top.g, top.s
}

// mostShakes bounds how often what was found is shaken again.
const mostShakes = 3

// shake moves one rim of a guess aside, each way in turn, and climbs again: where
// light from one side makes the wall look like chamfer, the climb gets caught
// between rims that are nearly right. It returns the best of where that led.
func (m *regionMap) shake(at scoredGuess, e expectation) scoredGuess {
	const far, ways = 0.04, 8
	var pool []scoredGuess
	for i := range ways {
		sn, co := math.Sincos(2 * math.Pi * float64(i) / ways)
		g := at.g // the bore edge alone, the others staying
		g.bx, g.by = g.bx+far*co*g.br, g.by+far*sn*g.br
		g.dx, g.dy, g.ex, g.ey = g.dx-far*co, g.dy-far*sn, g.ex-far*co, g.ey-far*sn
		pool = append(pool, scoredGuess{g: g})
	}
	for _, s := range [2]float64{far, -far} {
		pool = append(pool, scoredGuess{g: at.g.stepped(6, s)}, scoredGuess{g: at.g.stepped(5, s)})
	}
	pool = append(pool, m.exits(at.g, e, 3)...)
	spreadEach(len(pool), func(_, i int) {
		pool[i].g, pool[i].s = m.climb(pool[i].g, e, climbing{from: 0.02, to: 0.0008, every: 1})
	})
	return slices.MinFunc(pool, byScore)
}

// sharpestExits returns the places where g's exit rim may be, sharpest first, those
// of the known guesses among them. The likeliest is the one that stands out most
// sharply: a fading wall or a patch of light on the paper explains much, but not at
// one place.
func (m *regionMap) sharpestExits(g rimGuess, known []rimGuess, e expectation) []exitGuess {
	along := m.alongEdges(g, e)
	// Paper close behind the part darkens towards the wall: along a parabola, where a
	// line would take the darkest of it for wall. But a parabola takes in a faint step.
	backings := [...]shade{sloping, bent}
	var found [len(backings)][]exitGuess
	spreadEach(len(backings), func(_, i int) {
		m := *m
		m.backing = backings[i]
		pool := append(m.exits(g, e, 12), m.climbExits(along, e)...)
		for _, k := range known {
			if k.er > 0 {
				k, s := m.climb(k, e, exitClimb)
				pool = append(pool, scoredGuess{k, s})
			}
		}
		for _, x := range pool {
			if x.g.er > 0 {
				found[i] = append(found[i], exitGuess{x.g, m.sharpness(x.g, e)})
			}
		}
	})
	exits := slices.Concat(found[:]...)
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
	at, least := m.score(g, e, 1), math.Inf(1)
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
			least = math.Min(least, m.score(t, e, 1)-at)
		}
	}
	return least
}

// starts lists every way to take one circle as one rim, and pairs and triples of
// circles as rims of one hole.
func (m *regionMap) starts(anchors []rimCircle, e expectation) []scoredGuess {
	var pool []scoredGuess
	add := func(g rimGuess) { pool = append(pool, scoredGuess{g: g}) }
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
	m.scoreAll(pool, e)
	return pool
}

// scoreAll judges guesses coarsely.
func (m *regionMap) scoreAll(pool []scoredGuess, e expectation) {
	spread(len(pool), func(lo, hi int) {
		for i := lo; i < hi; i++ {
			pool[i].s = m.score(pool[i].g, e, coarse)
		}
	})
}

// climbAll climbs from each guess and returns where it led, best first.
func (m *regionMap) climbAll(pool []scoredGuess, e expectation) []scoredGuess {
	spreadEach(len(pool), func(_, i int) {
		pool[i].g, pool[i].s = m.climb(pool[i].g, e, climbing{from: 0.02, to: 0.004, every: coarse})
	})
	rank(pool)
	return pool
}

// bores keeps the outer edge of each guess and looks for the bore edge all over
// where it may be: against a bright wall or a backing like the face it need not
// show as a circle of its own. A guess of no width stands for its bore edge.
func (m *regionMap) bores(outers []rimGuess, e expectation) []scoredGuess {
	const rings = 4
	w0 := e.ratio - 1
	var pool []scoredGuess
	for _, o := range outers {
		ox, oy, or := o.bx+o.dx*o.br, o.by+o.dy*o.br, o.br*(1+o.w)
		for _, w := range [...]float64{0.5 * w0, 0.7 * w0, w0, 1.4 * w0, 2 * w0} {
			r := or / (1 + w)
			far := math.Min(e.maxOffset, 1.5*w)
			for ring := range rings {
				off := far * float64(ring) / (rings - 1)
				for j := range max(1, 6*ring) {
					sn, co := math.Sincos(2 * math.Pi * float64(j) / float64(max(1, 6*ring)))
					g := rimGuess{bx: ox - off*co*r, by: oy - off*sn*r, br: r, dx: off * co, dy: off * sn, w: w}
					pool = append(pool, scoredGuess{g: g})
				}
			}
		}
	}
	m.scoreAll(pool, e)
	return distinct(pool, mostStarts/2)
}

// exits returns up to n places for the exit rim of g's outer and bore edge, looked
// for all over where the view may have put it.
func (m *regionMap) exits(g rimGuess, e expectation, n int) []scoredGuess {
	var v tally
	m.judge(&v, g, e, coarse, wholeHole)
	pool := make([]scoredGuess, 0, 600)
	for _, f := range [...]float64{0.1, 0.3, 0.5, 0.65, 0.8, 0.92} {
		g.er = e.minExit + (e.maxExit-e.minExit)*f
		for ring := range 7 {
			off := e.exitOffset * float64(ring) / 7
			for j := range 4*ring + 1 {
				sn, co := math.Sincos(2 * math.Pi * float64(j) / float64(4*ring+1))
				g.ex, g.ey = off*co, off*sn
				m.judge(&v, g, e, coarse, exitAlone)
				pool = append(pool, scoredGuess{g, v.total()})
			}
		}
	}
	rank(pool)
	pool = distinct(pool[:min(len(pool), 8*n)], 2*n)
	return distinct(m.climbExits(pool, e), n)
}

// climbExits brings places for the exit rim to where they stand out.
func (m *regionMap) climbExits(places []scoredGuess, e expectation) []scoredGuess {
	out := make([]scoredGuess, len(places))
	spreadEach(len(places), func(_, i int) {
		out[i].g, out[i].s = m.climb(places[i].g, e, exitClimb)
	})
	return out
}

// distinct returns the n best that are apart from each other, best first.
func distinct(pool []scoredGuess, n int) []scoredGuess {
	rank(pool)
	var out []scoredGuess
	for _, p := range pool {
		if len(out) < n && !slices.ContainsFunc(out, func(q scoredGuess) bool { return p.g.near(q.g) }) {
			out = append(out, p)
		}
	}
	return out
}

// climbing says how a climb steps: along each unknown, in bore radii, halved from
// one size down to the other when none helps.
type climbing struct {
	from, to float64
	every    int // one sector in so many is looked at
	exitOnly bool
}

// exitClimb is how places for the exit rim are brought to where they stand out.
var exitClimb = climbing{from: 0.02, to: 0.002, every: 1, exitOnly: true}

// firstExitStep is the first of climb's steps that moves the exit rim alone,
// firstOuterStep and lastOuterStep those that move the outer edge alone.
const firstOuterStep, lastOuterStep, firstExitStep = 3, 5, 7

// climb is a pattern search for the best guess near g.
func (m *regionMap) climb(g rimGuess, e expectation, c climbing) (rimGuess, float64) {
	var at, try tally
	m.judge(&at, g, e, c.every, wholeHole)
	best := at.total()
	first, last := 0, 9
	if c.exitOnly {
		first = firstExitStep
	}
	if g.er == 0 {
		last = firstExitStep - 1
	}
	for step := c.from; step >= c.to; step /= 2 {
		// Round and round until no unknown helps any more, each tried at this very
		// place.
		for k, left := first, last-first+1; left > 0; left-- {
			what := wholeHole
			switch {
			case k >= firstExitStep:
				what = exitAlone
			case k >= firstOuterStep && k <= lastOuterStep:
				what = outerAlone
			}
			for _, s := range [2]float64{step, -step} {
				t := g.stepped(k, s)
				try = at
				m.judge(&try, t, e, c.every, what)
				if v := try.total(); v < best {
					g, best, at = t, v, try
					left = last - first + 2
					break
				}
			}
			if k++; k > last {
				k = first
			}
		}
	}
	return g, best
}

// stepped returns g moved by s bore radii along unknown k.
func (g rimGuess) stepped(k int, s float64) rimGuess {
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
	return t
}

// near says that two guesses would climb to the same place.
func (g rimGuess) near(o rimGuess) bool {
	const d = 0.02
	return math.Abs(g.bx-o.bx) < d*g.br && math.Abs(g.by-o.by) < d*g.br && math.Abs(g.br-o.br) < d*g.br &&
		math.Abs(g.w-o.w) < d && math.Abs(g.dx-o.dx) < d && math.Abs(g.dy-o.dy) < d &&
		math.Abs(g.ex-o.ex) < d && math.Abs(g.ey-o.ey) < d && math.Abs(g.er-o.er) < d
}
