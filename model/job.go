package model

import (
	"fmt"
	"math"
)

// JobCard is what the drawing and the setup say about a hole. The zero value of
// an optional field is its default.
type JobCard struct {
	Name        string
	BoreMM      float64 // diameter; required
	ChamferMM   float64 // nominal radial width; 0 = not known
	HalfAngle   float64 // rad from the bore axis; 0 = 45 degrees
	ThicknessMM float64 // 0 = not known: the exit rim then gives a direction only
	PlusX       float64 // rad counter-clockwise on the screen from image-right to setup 2's +X
	ToleranceMM float64 // radius of the round zone, half side of the square one; 0 = 0.001 in
	Zone        Zone
	Flip        FlipAxis
	ShowInch    bool // the units to show; stored values are mm all the same
}

// Zone is the shape of the tolerance zone of the mismatch.
type Zone string

const (
	RoundZone  Zone = "round" // |d| <= tolerance; also the zero value's meaning
	SquareZone Zone = "square"
)

// FlipAxis is the machine axis the part was turned over about between setups.
type FlipAxis string

const (
	FlipAboutY FlipAxis = "about-y" // end for end: X mirrored; also the zero value's meaning
	FlipAboutX FlipAxis = "about-x"
)

// DefaultToleranceMM is 0.001 in.
const DefaultToleranceMM = 0.0254

// WithDefaults returns j with every optional zero replaced by its default,
// except ChamferMM and ThicknessMM, where zero means "not known".
func (j JobCard) WithDefaults() JobCard {
	if j.HalfAngle == 0 {
		j.HalfAngle = math.Pi / 4
	}
	if j.ToleranceMM == 0 {
		j.ToleranceMM = DefaultToleranceMM
	}
	if j.Zone == "" {
		j.Zone = RoundZone
	}
	if j.Flip == "" {
		j.Flip = FlipAboutY
	}
	return j
}

// FieldError says which field of a job card is wrong and what to do.
type FieldError struct{ Field, Sentence string }

func (e *FieldError) Error() string { return e.Sentence }

// Limits of a job card: wide enough for any hole under a camera, narrow enough
// to catch a slip of the unit.
const (
	MinBoreMM, MaxBoreMM        = 0.2, 500.0
	MaxThicknessMM              = 1000.0
	MaxToleranceMM              = 10.0
	minHalfAngle, maxHalfAngle  = 5 * math.Pi / 180, 85 * math.Pi / 180
	minChamferMM, minPositiveMM = 0.005, 0.0001
)

// Validate returns the first *FieldError of j, or nil. It is to be called on a
// card with its defaults filled in.
func (j JobCard) Validate() error {
	bad := func(field, format string, a ...any) error {
		return &FieldError{field, fmt.Sprintf(format, a...)}
	}
	switch {
	case j.BoreMM == 0:
		return bad("bore", "The bore diameter is missing: give it as on the drawing, for example 10mm or 0.5in.")
	case !finite(j.BoreMM) || j.BoreMM <= 0:
		return bad("bore", "The bore diameter must be more than zero: give it as on the drawing, for example 10mm or 0.5in.")
	case j.BoreMM < MinBoreMM || j.BoreMM > MaxBoreMM:
		return bad("bore", "A bore of %.4g mm is outside %g to %g mm: check the unit (10mm, 0.5in).", j.BoreMM, MinBoreMM, MaxBoreMM)
	case !finite(j.ChamferMM) || j.ChamferMM < 0:
		return bad("chamfer", "The chamfer width cannot be negative: give the nominal radial width, for example 0.25mm or 10thou.")
	case j.ChamferMM > 0 && j.ChamferMM < minChamferMM:
		return bad("chamfer", "A chamfer of %.4g mm is too narrow to be one: check the unit (0.25mm, 10thou).", j.ChamferMM)
	case j.ChamferMM >= j.BoreMM/2:
		return bad("chamfer", "The chamfer (%.4g mm wide) is as wide as the bore's radius (%.4g mm): check both, the width is radial and on one side.", j.ChamferMM, j.BoreMM/2)
	case !finite(j.HalfAngle) || j.HalfAngle < minHalfAngle || j.HalfAngle > maxHalfAngle:
		return bad("angle", "The half-angle must be between 5 and 85 degrees from the bore axis; the usual chamfer has 45.")
	case !finite(j.ThicknessMM) || j.ThicknessMM < 0 || j.ThicknessMM > MaxThicknessMM:
		return bad("thickness", "The thickness must be between 0 and %g mm; leave it out if it is not known.", MaxThicknessMM)
	case !finite(j.PlusX):
		return bad("plus-x", "The direction of +X must be a number of degrees, counter-clockwise from image-right.")
	case !finite(j.ToleranceMM) || j.ToleranceMM < minPositiveMM || j.ToleranceMM > MaxToleranceMM:
		return bad("tolerance", "The tolerance must be between 0.0001 and %g mm: check the unit (0.025mm, 0.001in).", MaxToleranceMM)
	case j.Zone != RoundZone && j.Zone != SquareZone:
		return bad("zone", "The tolerance zone is %q or %q.", RoundZone, SquareZone)
	case j.Flip != FlipAboutX && j.Flip != FlipAboutY:
		return bad("flip", "The flip axis is %q or %q.", FlipAboutY, FlipAboutX)
	}
	return nil
}
