package practice

import (
	"math"

	"evenrim/model"
)

// Shot says what a synthetic photo shows: a plain hole under a plain camera. Who
// draws it (a port of the window) takes what isn't said from its own defaults.
// The same Shot gives the same picture.
type Shot struct {
	Seed              uint64 // of texture and noise
	WidthPx, HeightPx int
	PxPerMM           float64 // at the bore axis on the face

	Mismatch    model.Vec // mm, part axes
	BoreMM      float64   // diameter
	ChamferMM   float64   // true radial width
	NominalMM   float64   // width on the drawing
	ThicknessMM float64

	OffX, OffY   float64 // bore axis from the picture's centre, px
	PlusX        float64 // rad counter-clockwise on the screen from image-right
	TiltX, TiltY float64 // lean of the line of sight towards part +X, +Y, rad
	DistanceMM   float64 // hole to camera

	Light    Light
	LightRad float64 // where a one-sided light comes from, rad on the screen
	Backing  Backing
	Marks    float64 // rms slope of the tool marks
	MarksRad float64
	Grain    float64 // rms of the face's grain, of its level
	Flaws    []Flaw
}

// Light is how the part is lit.
type Light string

const (
	EvenLight Light = "ring" // from all round
	SideLight Light = "side" // one lamp from LightRad
)

// Backing is what lies under the bore.
type Backing string

const (
	DarkBacking  Backing = "dark"
	PaperBacking Backing = "paper"
)

// FlawKind is what else an edge or a face may show.
type FlawKind string

const (
	Burr  FlawKind = "burr"  // metal over the outer edge: it looks narrow there
	Gouge FlawKind = "gouge" // the outer edge broken away: it looks wide there
	Dirt  FlawKind = "dirt"  // grains and a smear
)

// Flaw is one of them. AtRad and WidthRad are its arc in part axes.
type Flaw struct {
	Kind            FlawKind
	AtRad, WidthRad float64
	SizeMM          float64
}

// Solid is the machined shape in s.
func (s Shot) Solid() model.Solid {
	return model.Solid{RadiusMM: s.BoreMM / 2, WidthMM: s.ChamferMM, ThicknessMM: s.ThicknessMM, HalfAngle: math.Pi / 4, Mismatch: s.Mismatch}
}

// Camera is the camera of s.
func (s Shot) Camera() model.Camera {
	cx, cy := float64(s.WidthPx-1)/2, float64(s.HeightPx-1)/2
	return model.Camera{
		CX: cx, CY: cy, U0: cx + s.OffX, V0: cy + s.OffY, PxPerMM: s.PxPerMM, InvDistPerMM: 1 / s.DistanceMM,
		SlopeX: math.Tan(s.TiltX), SlopeY: math.Tan(s.TiltY), PlusX: s.PlusX,
	}
}

// Job is what the drawing says of s, with a tolerance.
func (s Shot) Job(toleranceMM float64, inch bool) model.JobCard {
	return model.JobCard{BoreMM: s.BoreMM, ChamferMM: s.NominalMM, ThicknessMM: s.ThicknessMM, PlusX: s.PlusX, ToleranceMM: toleranceMM, ShowInch: inch}.WithDefaults()
}
