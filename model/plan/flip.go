package plan

import (
	"fmt"
	"math"

	"evenrim/model"
)

// Flip is a job that is turned over once: what is cut, how it is held, and how
// well each step of it repeats. Zero is no error, not a default: see Usual.
type Flip struct {
	LengthMM, WidthMM, ThicknessMM float64 // along X, Y, Z
	Axis                           model.FlipAxis
	Material                       Material
	ToleranceMM                    float64 // of the mismatch of holes, and of the step on walls
	Zone                           model.Zone
	Features                       []Feature

	ProbeSDMM float64 // standard deviation of one touch
	Touches   int     // averaged on each face; 0 = 1
	// ProbeDepthMM is how far below the face that lies up a face is touched.
	ProbeDepthMM float64
	// SameFaces: the same two faces of the part are touched in both setups.
	// Otherwise the ones on the same side of the machine, so that along the
	// mirrored axis part length and stylus radius come in.
	SameFaces bool
	// MilledFaces: the touched faces, and the one that lies down in setup 2, were
	// milled in setup 1 with everything else: only setup 2 is touched. SameFaces has
	// no meaning then.
	MilledFaces bool
	// FaceProudMM is how far they stand proud for the tool's deflection, the spring
	// pass included; Deflection1MM does not apply to them.
	FaceProudMM float64
	// FirstOnly: only the first part of a batch is touched, the others go against
	// jaw and stop on trust.
	FirstOnly bool

	RadiusMM float64 // limits (+/-) of the stylus's effective radius
	LengthOf float64 // limits (+/-) of the part's size between opposite faces
	FormMM   float64 // peak to valley of a reference face, finish included
	SeatMM   float64 // standard deviation of where a part comes to lie, reclamped
	LiftMM   float64 // most that the moving jaw lifts its side of the part
	// SquareMM is how far a reference face may be out over 100 mm of its height or,
	// where the flip puts the opposite face against the jaw, of its length.
	SquareMM float64
	JawMM    float64 // limits (+/-) of the fixed jaw's line against X over 100 mm
	DriftMM  float64 // limits (+/-) of the machine's drift from touching to cutting, an axis and setup
	WarmK    float64 // limits (+/-) of the part's change of temperature between setups
	// Deflection1 and 2 are how far the tool leans away from a wall in each setup.
	Deflection1MM, Deflection2MM float64
}

// deflectionShare is the standard uncertainty of a tool's deflection as a share of
// it (common practice, no source: wear and depth of cut change it by half).
const deflectionShare = 0.3

// Feature is a hole or a wall that both setups meet at.
type Feature struct {
	Name string
	At   model.Vec // from part zero, setup 2's axes
	// Wall says it is a wall milled half from each side; NormalRad is its outward
	// normal then.
	Wall      bool
	NormalRad float64
}

// Source is what an error comes from.
type Source int

const (
	Probe Source = iota
	Stylus
	Size
	Form
	Seat
	Lift
	Square
	Jaw
	Drift
	Warmth
	Deflection
	nSources
)

var sourceNames = [nSources]string{
	"Probe repeatability", "Stylus radius", "Size between the touched faces", "Form and finish of the reference faces",
	"Seat in the vise", "Jaw lift", "Faces out of square", "Fixed jaw out of line", "Machine drift",
	"Temperature of the part", "Tool deflection",
}

func (s Source) String() string { return sourceNames[s] }

// Halved is f with one source half as large.
func (f Flip) Halved(s Source) Flip {
	half := func(v ...*float64) {
		for _, p := range v {
			*p /= 2
		}
	}
	switch s {
	case Probe:
		half(&f.ProbeSDMM)
	case Stylus:
		half(&f.RadiusMM)
	case Size:
		half(&f.LengthOf)
	case Form:
		half(&f.FormMM)
	case Seat:
		half(&f.SeatMM)
	case Lift:
		half(&f.LiftMM)
	case Square:
		half(&f.SquareMM)
	case Jaw:
		half(&f.JawMM)
	case Drift:
		half(&f.DriftMM)
	case Warmth:
		half(&f.WarmK)
	case Deflection:
		half(&f.Deflection1MM, &f.Deflection2MM, &f.FaceProudMM)
	}
	return f
}

// only is f with every source but one taken out.
func (f Flip) only(s Source) Flip {
	g := f
	g.ProbeSDMM, g.RadiusMM, g.LengthOf, g.FormMM, g.SeatMM, g.LiftMM = 0, 0, 0, 0, 0, 0
	g.SquareMM, g.JawMM, g.DriftMM, g.WarmK, g.Deflection1MM, g.Deflection2MM = 0, 0, 0, 0, 0, 0
	g.FaceProudMM = 0
	switch s {
	case Probe:
		g.ProbeSDMM = f.ProbeSDMM
	case Stylus:
		g.RadiusMM = f.RadiusMM
	case Size:
		g.LengthOf = f.LengthOf
	case Form:
		g.FormMM = f.FormMM
	case Seat:
		g.SeatMM = f.SeatMM
	case Lift:
		g.LiftMM = f.LiftMM
	case Square:
		g.SquareMM = f.SquareMM
	case Jaw:
		g.JawMM = f.JawMM
	case Drift:
		g.DriftMM = f.DriftMM
	case Warmth:
		g.WarmK = f.WarmK
	case Deflection:
		g.Deflection1MM, g.Deflection2MM, g.FaceProudMM = f.Deflection1MM, f.Deflection2MM, f.FaceProudMM
	}
	return g
}

func (f Flip) touches() float64 { return float64(max(f.Touches, 1)) }

// mirrorsX says that the flip turns the part end for end.
func (f Flip) mirrorsX() bool { return f.Axis != model.FlipAboutX }

// depthOf is how far below setup 2's face the two cuts of a feature meet.
func (f Flip) depthOf(t Feature) float64 {
	if t.Wall {
		return f.ThicknessMM / 2
	}
	return 0
}

// InputError says which input is wrong and what to do.
type InputError struct{ Field, Sentence string }

func (e *InputError) Error() string { return e.Sentence }

func wrong(field, format string, a ...any) error {
	return &InputError{field, fmt.Sprintf(format, a...)}
}

// Most that is believed of an input: a slip of the unit is beyond it.
const (
	maxPartMM  = 2000.0
	maxErrorMM = 2.0
	maxWarmK   = 100.0
	maxTouches = 100
)

// Validate returns the first *InputError of f, or nil.
func (f Flip) Validate() error {
	for _, v := range []struct {
		field, name string
		mm, most    float64
		positive    bool
	}{
		{"length", "length", f.LengthMM, maxPartMM, true},
		{"width", "width", f.WidthMM, maxPartMM, true},
		{"thickness", "thickness", f.ThicknessMM, maxPartMM, true},
		{"tolerance", "tolerance", f.ToleranceMM, model.MaxToleranceMM, true},
		{"probe-depth", "probing depth", f.ProbeDepthMM, f.ThicknessMM, false},
		{"probe", "probe's repeatability", f.ProbeSDMM, maxErrorMM, false},
		{"radius", "stylus radius's limit", f.RadiusMM, maxErrorMM, false},
		{"size", "part's size limit", f.LengthOf, maxErrorMM, false},
		{"form", "reference face's form", f.FormMM, maxErrorMM, false},
		{"seat", "vise's repeatability", f.SeatMM, maxErrorMM, false},
		{"lift", "jaw lift", f.LiftMM, maxErrorMM, false},
		{"square", "squareness over 100 mm", f.SquareMM, maxErrorMM, false},
		{"jaw", "jaw's line over 100 mm", f.JawMM, maxErrorMM, false},
		{"drift", "machine's drift", f.DriftMM, maxErrorMM, false},
		{"deflection-1", "tool deflection of setup 1", f.Deflection1MM, maxErrorMM, false},
		{"face-proud", "milled faces' stand", f.FaceProudMM, maxErrorMM, false},
		{"deflection-2", "tool deflection of setup 2", f.Deflection2MM, maxErrorMM, false},
	} {
		switch {
		case math.IsNaN(v.mm) || v.mm < 0:
			return wrong(v.field, "The %s cannot be negative.", v.name)
		case v.positive && v.mm == 0:
			return wrong(v.field, "The %s must be more than zero: give it as on the drawing.", v.name)
		case v.mm > v.most:
			return wrong(v.field, "The %s is more than %.4g mm: check the unit (0.01 mm, 0.5 thou).", v.name, v.most)
		}
	}
	switch {
	case math.IsNaN(f.WarmK) || f.WarmK < 0 || f.WarmK > maxWarmK:
		return wrong("warm", "The change of temperature must be between 0 and %g K.", maxWarmK)
	case f.Touches < 0 || f.Touches > maxTouches:
		return wrong("touches", "Touches on each face: 1 to %d.", maxTouches)
	case f.Axis != model.FlipAboutX && f.Axis != model.FlipAboutY:
		return wrong("flip", "The part is turned over about X or about Y.")
	case len(f.Features) == 0:
		return wrong("features", "Name at least one hole or wall, for example: A 10 -20")
	}
	for _, t := range f.Features {
		if !t.At.IsFinite() || t.At.Norm() > 2*maxPartMM {
			return wrong("features", "Feature %s lies nowhere near the part: check its place.", t.Name)
		}
	}
	return nil
}
