package model

import (
	"math"
	"time"
)

// Reading is one photo's mismatch with its uncertainty, inputs and evidence. It
// is never changed after it was made.
type Reading struct {
	Photo Photo
	Job   JobCard // with defaults filled in
	Trace Trace

	Mismatch          Vec     // mm, setup 2 axes
	Cov               Sym2    // mm², the whole budget
	U95MM             float64 // larger half axis of the 95 % region
	WidthMM, WidthUMM float64 // true chamfer width and its standard uncertainty
	Camera            Camera  // as fitted; Camera.PxPerMM is the scale at the hole
	View              View
	Outer, Bore       RimShape
	Exit              *RimShape // nil where it wasn't seen
	VanishedRad       float64   // arc over which the chamfer never touched the rim
	Damage            []Damage
	Curve             []CurvePoint // width round the hole, for the unrolled rim
	Budget            []BudgetLine

	Verdict    Verdict
	PWithin    float64 // probability that the mismatch lies inside the zone
	Correction Correction
	Warnings   []string

	Seconds float64 // time the whole reading took
	Version string  // of the program
	MadeAt  time.Time
}

// Photo says which picture a reading came from.
type Photo struct {
	Name              string // as the user named it
	SHA256            string // of the file's bytes, hex
	WidthPx, HeightPx int    // upright
	Orientation       int    // EXIF tag that was applied, 1 = none
}

// View is the direction from the hole to the camera.
type View struct {
	// A point h below the face appears shifted by (h SlopeX, h SlopeY) on it.
	SlopeX, SlopeY   float64
	SlopeUX, SlopeUY float64 // standard uncertainties
	How              ViewSource
}

// ViewSource is how the view direction was found; values of the JSON contract.
type ViewSource string

const (
	FromExitRim    ViewSource = "exit-rim"
	FromFlattening ViewSource = "flattening"
	FromTurnSet    ViewSource = "turn-set"
	Assumed        ViewSource = "assumed"
)

// SameHole says that both were read from the same hole in the same picture: the same part
// read again. A picture may show several holes, and a person may point out another.
func (r *Reading) SameHole(o *Reading) bool {
	apart := math.Hypot(r.Outer.CX-o.Outer.CX, r.Outer.CY-o.Outer.CY)
	return r.Photo.SHA256 != "" && r.Photo.SHA256 == o.Photo.SHA256 && apart < math.Min(r.Outer.B, o.Outer.B)
}

// RimShape is the ellipse that best follows a rim in the photo, px.
type RimShape struct {
	CX, CY, A, B float64 // A >= B: half axes
	AngleRad     float64 // of A, counter-clockwise on the screen from image-right
	RMSPx        float64 // of the points that were used, about the fitted model
	ArcRad       float64 // how much of the rim the used points cover
}

// DamageKind says to which side an arc departs from its rim.
type DamageKind string

const (
	Outward DamageKind = "outward"
	Inward  DamageKind = "inward"
)

// Damage is an arc of a rim that doesn't belong; it has not pulled the reading.
type Damage struct {
	AtRad, WidthRad float64 // part axes
	Kind            DamageKind
	Rim             string // "outer" or "bore"
	PeakMM          float64
}

// CurvePoint is the chamfer's width at one direction from the bore axis.
type CurvePoint struct {
	AngleRad float64 // part axes
	WidthMM  float64 // as measured, reduced to straight above
	SigmaMM  float64
	FitMM    float64 // the fitted wave there
	Used     bool
}

// BudgetLine is one source of uncertainty of the mismatch (JCGM 100).
type BudgetLine struct {
	Source       string
	Value        string  // of the input, in words with its unit
	Distribution string  // "normal", "rectangular", "t"
	U            float64 // standard uncertainty of the input, in Unit
	Unit         string
	Cov          Sym2    // contribution to the mismatch, mm²
	DOF          float64 // degrees of freedom; 0 = infinite
	Why          string  // reason for the figure, one sentence
	// Follows says what the error stays with from photo to photo, for the most part (see
	// Share); "" counts as FollowsPhoto.
	Follows Follows
}

// The sources of a reading's budget: BudgetLine.Source.
const (
	SourcePoints    = "edge points"            // noise of the traced points
	SourceLight     = "edges under this light" // what the light shifts one-sidedly
	SourceView      = "view direction"
	SourceDistance  = "camera distance"
	SourceBore      = "bore diameter"
	SourceThickness = "thickness"
	SourceHalfAngle = "chamfer half-angle"
	SourcePlusX     = "direction of +X"
	SourceWidth     = "chamfer width" // where it isn't the job card's
)

// Verdict is one of ISO 14253-1's three cases.
type Verdict string

const (
	Conforms       Verdict = "conforms"
	DoesNotConform Verdict = "does not conform"
	Undecided      Verdict = "undecided"
)

// Correction is what to add to a work offset, mm, in the named setup's axes.
type Correction struct{ Setup2, Setup1 Vec }
