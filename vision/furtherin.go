package vision

import "slices"

// furtherIn takes what g has for the bore edge as the outer edge, and looks for the bore edge
// inside it. Where the wall and what is seen through the bore look alike, both together pass for
// one region, and "nothing, bore edge, exit rim" may explain a ring better than the "outer edge,
// bore edge" that anybody sees: the spare outer edge follows the marks on the face.
//
// A chamfer that looks like the face leaves the same picture, with the exit rim inside. So it says
// no unless both edges are plain, the chamfer is as wide as on the card, and the ring is explained
// but for less than what a plain rim is worth.
func (m *regionMap) furtherIn(g rimGuess, s *strip, e expectation) (scoredGuess, bool) {
	least := m.score(g, e, 1) + plainRim*sectors
	outer := rimGuess{bx: g.bx, by: g.by, br: g.br}
	pool := distinct(m.climbAll(m.bores([]rimGuess{outer}, e), e), mostStarts)
	for _, p := range slices.Clone(pool) {
		pool = append(pool, m.exits(p.g, e, 1)...)
	}
	best := scoredGuess{s: least}
	for _, p := range pool {
		p.g, p.s = m.climb(p.g, e, climbing{from: 0.008, to: 0.0008, every: 1})
		seen := m.evidence(p.g, s, e)
		if p.s < best.s && seen.fainter() >= plainRim && e.asOnCard(p.g) {
			best = p
		}
	}
	return best, best.s < least
}
