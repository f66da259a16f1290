package practice

import "slices"

// Cause is what a practice photo shows, the one thing a person has to tell apart
// from the others.
type Cause string

const (
	Agree    Cause = "agree"    // the setups agree, nothing pretends otherwise
	Apart    Cause = "apart"    // setup 2 landed off setup 1
	Tilted   Cause = "tilted"   // the setups agree, the camera leans
	OneSided Cause = "onesided" // the setups agree, the light comes from one side
	Damaged  Cause = "damaged"  // the setups agree, burr, gouge or dirt at the rim
	ToolSet  Cause = "toolset"  // the chamfer tool's length or diameter is set wrong
)

// Causes lists them in the order they are offered.
var Causes = []Cause{Agree, Apart, Tilted, OneSided, Damaged, ToolSet}

// causeWords are each cause's name and the sign to tell it by.
var causeWords = map[Cause][2]string{
	Agree:    {"The setups agree", "The chamfer is the same width all round, and the width on the drawing."},
	Apart:    {"The setups are apart", "Wide on one side, narrow right opposite, and a smooth change between: one slow wave."},
	Tilted:   {"The camera leans", "The bore's wall shows on one side only: you look down it at a slant, and the deeper bore edge slides under the outer one."},
	OneSided: {"Light from one side", "Half of the chamfer is bright and half dark. A bright band looks wider than a dark one; the edges themselves are even."},
	Damaged:  {"Burr, gouge or dirt", "It is off over a short arc only; the rest of the rim is even, and nothing answers it on the opposite side."},
	ToolSet:  {"Chamfer tool set wrong", "Even all round, but wider or narrower than the drawing: width, not mismatch."},
}

// Words names the cause as a person would.
func (c Cause) Words() string { return causeWords[c][0] }

// Sign says what to tell the cause by.
func (c Cause) Sign() string { return causeWords[c][1] }

// Known reports whether c is one of Causes.
func (c Cause) Known() bool { return slices.Contains(Causes, c) }
