package state

import (
	"math"

	"evenrim/ui/port"
)

// snapRad is how near to a straight edge of the part, or square to it, a dragged
// +X snaps: more than a hand's error, less than a wish for another direction.
const snapRad = 2.5 * math.Pi / 180

// SawEdges notes the straight edges that were found in a photo.
func (b *Bench) SawEdges(id int, edges []port.StraightEdge) {
	if p := b.Photo(id); p != nil {
		p.Edges, p.EdgesKnown = edges, true
	}
}

// Snapped is +X as dragged, or along or square to a straight edge of the part when
// it comes near one.
func (p *Photo) Snapped(rad float64) float64 {
	if s, off, ok := p.nearest(rad); ok && math.Abs(off) <= snapRad {
		return s
	}
	return rad
}

// SnapPlusX turns +X of the photo shown along or square to its nearest straight
// edge; ok is false where no edge was found.
func (b *Bench) SnapPlusX() (e Effects, ok bool) {
	p := b.Selected()
	if p == nil {
		return e, false
	}
	s, _, ok := p.nearest(p.Card.PlusX)
	if !ok {
		return e, false
	}
	b.Pause()
	e = b.TurnPlusX(s)
	b.Pause()
	return e, true
}

// nearest is the direction along or square to an edge that is nearest to rad, and
// how far off it is.
func (p *Photo) nearest(rad float64) (snapped, off float64, ok bool) {
	for _, e := range p.Edges {
		o := math.Remainder(e.AngleRad-rad, math.Pi/2)
		if !ok || math.Abs(o) < math.Abs(off) {
			snapped, off, ok = math.Remainder(rad+o, 2*math.Pi), o, true
		}
	}
	return snapped, off, ok
}

// EdgeOfPlusX is the edge that +X lies along or square to, if any.
func (p *Photo) EdgeOfPlusX() (port.StraightEdge, bool) {
	for _, e := range p.Edges {
		if math.Abs(math.Remainder(e.AngleRad-p.Card.PlusX, math.Pi/2)) < 1e-6 {
			return e, true
		}
	}
	return port.StraightEdge{}, false
}

// ChooseForTurns takes the photo shown as the turn set's next.
func (b *Bench) ChooseForTurns() (e Effects) {
	p := b.Selected()
	if !b.CanChooseForTurns() {
		return e
	}
	before := p.Card
	b.joinTurn(p)
	card := p.Card
	p.Card = before
	e.give(p, card, true)
	b.Form = FormOf(p.Card)
	b.Form.Units = b.Units
	b.joinTurns()
	return e
}

// CanChooseForTurns says whether the photo shown can be the turn set's next.
func (b *Bench) CanChooseForTurns() bool {
	p, t := b.Selected(), b.Turns
	if p == nil || t == nil || t.next() >= t.N {
		return false
	}
	for _, id := range t.Photos {
		if id == p.ID {
			return false
		}
	}
	return true
}
