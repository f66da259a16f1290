package drawing

import (
	"evenrim/model/chart"

	"gonum.org/v1/plot/vg/draw"
)

// Drawing explains one thing.
type Drawing struct {
	Name    string // stable, for links: "two-setups"
	Title   string // a few words
	Caption string // one or two sentences to stand below it, or to be read aloud
	paint   func(*sketch)
}

// Aspect is every drawing's width over its height.
const Aspect = boxW / boxH

// Figure is the drawing in a style.
func (d Drawing) Figure(s chart.Style) chart.Figure { return figure{d, s} }

type figure struct {
	d Drawing
	s chart.Style
}

func (f figure) Draw(c draw.Canvas) {
	k := newSketch(c, f.s)
	f.d.paint(k)
}

// All are the drawings in the order in which they are learnt.
func All() []Drawing {
	return []Drawing{
		{"two-setups", "Two setups", "Setup 1 cuts the bore from above. The part is turned over, and setup 2 cuts the chamfer round the bore from the other side. Where the two clampings don't agree, the chamfer sits off the bore.", twoSetups},
		{"edges", "Three rims", "The chamfer meets the face at the outer edge and the bore's wall at the bore edge, a little deeper. The exit rim is the far end of the bore.", edges},
		{"even", "Even all round", "The same width everywhere: setup 2 landed on setup 1. Unrolled, the rim is a parallel band.", even},
		{"wide", "Wide at 2 o'clock", "Wide on one side and narrow on the other: setup 2 landed towards the wide side, by half of widest less narrowest. Unrolled, the rim is one slow wave.", wide},
		{"gone", "Gone on one side", "Further off than the chamfer is wide, the tool never touched one side: the outer edge ends on the bore edge. The mismatch is then larger than the width.", gone},
		{"flip-about-y", "Turned over end for end", "The part is turned over about Y: its X is mirrored between the setups, its Y is not.", flipAboutY},
		{"flip-about-x", "Turned over sideways", "The part is turned over about X: its Y is mirrored between the setups, its X is not.", flipAboutX},
		{"plus-x", "+X in the photo", "Draw the arrow the way setup 2's +X points in the photo. +Y is a quarter turn counter-clockwise from it.", plusX},
		{"turn-set", "Turn set", "The camera stays, the part is turned by half a turn. The mismatch turns with the part; what the camera has wrong does not, and drops out.", turnSet},
		{"leaning-view", "A leaning view", "The bore edge lies deeper than the outer edge, so a camera that leans sees the rims shifted. The exit rim, far deeper, shows how much it leans.", leaningView},
		{"step", "A step at a wall", "A wall milled half from each side: setup 2's half stands proud (+) or shy (−) of setup 1's. An indicator run over it reads the step.", step},
		{"size-or-mismatch", "Mismatch or size", "Opposite walls, one proud and one shy: mismatch. Both proud or both shy by the same: a difference in size, not in place.", sizeOrMismatch},
		{"one-sided-light", "One lamp, or light all round", "Under one lamp half of an even chamfer is bright and half is dark, and the bright half looks wider. Light from all round shows the edges as they are.", oneSidedLight},
		{"burr-gouge-dirt", "Slow wave or short bump", "Unrolled, a mismatch is one slow wave in one turn. A burr, dirt or a gouge is short, and nothing answers it on the opposite side.", flaws},
		{"rotation", "Shifted or turned", "Shifted, all holes are off the same way. Turned, each is off its own way, at right angles to the line from the centre, the further out the more.", rotation},
		{"pick-up", "The same faces", "Touch off on the same two finished faces in both setups, and know which of them the flip has mirrored.", pickUp},
		{"sawn-edge", "A sawn edge is no reference", "Two touches on a sawn edge give two zeros, several thou apart. On a face that setup 1 cut they give one.", sawnEdge},
		{"hands-off", "Turning, stopped", "While anything turns: hands, sleeves and rags stay away. Once it has stopped: a brush, then look.", handsOff},
	}
}

// Get returns the drawing of that name.
func Get(name string) (Drawing, bool) {
	for _, d := range All() {
		if d.Name == name {
			return d, true
		}
	}
	return Drawing{}, false
}
