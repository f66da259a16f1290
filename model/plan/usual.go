package plan

import "evenrim/model"

// Usual is a flip with the values that are common in a small shop, without a
// source: each is a start to be replaced by what one's own machine and vise do.
func Usual() Flip {
	return Flip{
		LengthMM: 80, WidthMM: 50, ThicknessMM: 12, Axis: model.FlipAboutY, Material: Materials[0],
		ToleranceMM: model.DefaultToleranceMM, Zone: model.RoundZone,
		ProbeSDMM: 0.003, Touches: 2, ProbeDepthMM: 4, SameFaces: true,
		RadiusMM: 0.005, LengthOf: 0.02, FormMM: 0.010, SeatMM: 0.005, LiftMM: 0.020, SquareMM: 0.020, JawMM: 0.010,
		DriftMM: 0.005, WarmK: 3, Deflection1MM: 0.010, Deflection2MM: 0.010,
	}
}

// UsualWhy says where a default comes from and how to find one's own value, by
// the names of InputError.
var UsualWhy = map[string]string{
	"probe":        "Common practice, no source: 0.001 to 0.005 mm. Touch one spot ten times; the standard deviation is yours.",
	"touches":      "Common practice: two on each face, averaged.",
	"probe-depth":  "How far below the face that lies up you touch.",
	"radius":       "Common practice, no source. Counts only where opposite faces are touched, or freshly milled ones.",
	"size":         "Calliper or micrometer across the faces. Counts only where opposite faces are touched.",
	"form":         "Common practice, no source: milled 0.005 to 0.02 mm, bright drawn 0.03, sawn 0.1 and more. A sawn edge is no reference.",
	"seat":         "Common practice, no source: 0.003 to 0.02 mm. Clamp one part ten times against an indicator.",
	"lift":         "Common practice, no source: 0 to 0.05 mm. Indicator on the part at the moving jaw while you tighten.",
	"square":       "Common practice, no source. Square and feeler, or indicator up the face.",
	"jaw":          "Common practice, no source. Indicate the fixed jaw along X. A flip doubles it.",
	"drift":        "Common practice, no source: cold spindle 0.005 to 0.02 mm in the first hour. Touch again after cutting; the difference is yours.",
	"warm":         "Common practice, no source: a part fresh from roughing is 2 to 10 K warmer.",
	"deflection-1": "Common practice, no source. Take a spring pass; half of what it still cuts is a fair guess. Walls only: a round hole keeps its axis.",
	"deflection-2": "As in setup 1. What differs between the setups makes the step.",
	"margin":       "Common practice, no source: what the jaws need to hold.",
	"tool":         "The cutter that goes round the part.",
	"stepdown":     "Depth of one pass round the part.",
	"over":         "Common practice, no source: stock left on each face of the bar.",
	"tabs":         "Common practice: three or four.",
	"proud":        "Common practice, no source: what a spring pass still takes off.",
	"fresh-form":   "Common practice, no source: a face milled in this very setup.",
}
