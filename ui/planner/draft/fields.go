// Package draft is the Planner page without the window: its fields with their
// defaults and sources, what was typed, and the plans made from it. The command
// line uses it too. Nothing here is safe for concurrent use; a plan, once made,
// belongs to whoever got it.
package draft

import (
	"evenrim/model"
	"evenrim/model/plan"
)

// Section is one question of the page.
type Section string

const (
	Flip    Section = "flip"
	Chamfer Section = "chamfer"
	Photo   Section = "photo"
	PickUp  Section = "pick-up"
)

// Sections lists them in order.
var Sections = []Section{Flip, Chamfer, Photo, PickUp}

// Title is the question a section answers; Short its tab.
func (s Section) Title() string {
	return map[Section]string{Flip: "Will this flip hold the tolerance?", Chamfer: "Which chamfer shows it?",
		Photo: "How to photograph", PickUp: "Pick up again"}[s]
}

// Short is the section's name on its tab.
func (s Section) Short() string {
	return map[Section]string{Flip: "Will it hold?", Chamfer: "Which chamfer?", Photo: "How to photograph", PickUp: "Pick up again"}[s]
}

// Kind is what a field holds.
type Kind int

const (
	Length Kind = iota
	Number      // bare, with Suffix
	Choice
	Lines // several lines of text
	Pair  // two coordinates
)

// Field is one input of a section.
type Field struct {
	Key, Name  string
	Kind       Kind
	Group      string  // heading above the first of its fields
	MM         float64 // default of a Length; below zero = empty
	Text       string  // default of the other kinds
	Suffix     string
	Options    []string
	Why        string // where the default comes from, or what to enter
	Empty      string // what an empty field means; "" = it must not be empty
	Coordinate bool   // may be negative
	Example    bool   // the default is an example: what counts stands on the drawing, or was touched
}

// Says is what stands below the field: where its value comes from, or what to enter.
func (f Field) Says(own bool) string {
	switch {
	case f.Example && !own && f.Why == fromDrawing:
		return "An example: type yours from the drawing."
	case f.Example && !own:
		return f.Why + " An example: type yours."
	case own && f.Kind != Choice && f.Kind != Lines:
		return "Your figure. " + f.Why
	}
	return f.Why
}

const (
	aboutY, aboutX   = "About Y", "About X"
	sameFaces        = "The same two"
	otherFaces       = "The opposite ones"
	eachPart         = "Each part"
	firstPart        = "The first only"
	roundZone        = "Round"
	squareZone       = "Square"
	evenLight        = "From all sides"
	sideLight        = "From one side"
	ballCentre       = "Ball's centre"
	contactPoint     = "Point of contact"
	ownCamera        = "Own figures"
	untestedPerson   = "Nobody tested"
	fromDrawing      = "From the drawing." // of an example: what it is to be replaced by
	typicalCamera    = "Typical, no source: see your data sheet."
	featuresFallback = "A 10 -10\nB 70 -40\nwall right 80 -25"
)

func materialNames() (out []string) {
	for _, m := range plan.Materials {
		out = append(out, m.Name)
	}
	return out
}

func cameraNames() (out []string) {
	for _, c := range plan.Cameras {
		out = append(out, c.Name)
	}
	return append(out, ownCamera)
}

func sideNames() (out []string) {
	for _, s := range plan.Sides {
		out = append(out, string(s))
	}
	return out
}

// Fields are a section's inputs in order. Fields of the same key are the same
// input, wherever they stand.
func Fields(s Section) []Field {
	u, c := plan.Usual(), plan.UsualCarrier()
	why := func(key string) string { return plan.UsualWhy[key] }
	length := func(group, key, name string, mm float64) Field {
		return Field{Key: key, Name: name, Group: group, MM: mm, Why: why(key)}
	}
	number := func(group, key, name, text, suffix string) Field {
		return Field{Key: key, Name: name, Kind: Number, Group: group, Text: text, Suffix: suffix, Why: why(key)}
	}
	choice := func(group, key, name string, why string, options ...string) Field {
		return Field{Key: key, Name: name, Kind: Choice, Group: group, Text: options[0], Options: options, Why: why}
	}
	tolerance := length("The job", "tolerance", "Tolerance of mismatch", u.ToleranceMM)
	tolerance.Why = "0.001 in unless the drawing says otherwise: radius of a round zone, half side of a square one."
	bore := length("The job", "bore", "Bore, diameter", 10)
	bore.Why, bore.Example = fromDrawing, true
	camera := []Field{
		choice("The camera", "camera", "Camera", "Typical ones, no source. Any figure below can be changed.", cameraNames()...),
		number("The camera", "pixels", "Pixels of the photo", "", ""),
		number("The camera", "field", "Angle of view across", "", "°"),
		number("The camera", "sensor", "Sensor, width", "", "mm"),
		number("The camera", "lens", "Lens, focal length", "", "mm"),
		number("The camera", "nearest", "Focuses no nearer than", "", "mm"),
	}
	for i := 1; i < len(camera); i++ {
		camera[i].Why = typicalCamera
		camera[i].Empty = "as camera"
	}
	camera[1].Why = "Width x height. " + typicalCamera
	camera[4].Why = "As engraved, not \"equivalent\". With it, sensor and lens count instead of the angle."
	light := choice("The photo", "light", "Light", "Ring, dome or overcast window overhead: from all sides.", evenLight, sideLight)
	switch s {
	case Flip:
		features := Field{Key: "features", Name: "Holes and walls", Kind: Lines, Group: "The job", Text: featuresFallback, Example: true,
			Why: "One a line: name X Y for a hole, wall SIDE X Y for a wall milled half from each side. From part zero: left rear corner of the face up in setup 2, so Y is negative."}
		warm := number("Heat and load", "warm", "Part warmer or colder, ±", "3", "K")
		touches := number("Touching off", "touches", "Touches on each face", "2", "")
		fs := []Field{
			{Key: "length", Name: "Length, X", Group: "The job", MM: u.LengthMM, Why: fromDrawing, Example: true},
			{Key: "width", Name: "Width, Y", Group: "The job", MM: u.WidthMM, Why: fromDrawing, Example: true},
			{Key: "thickness", Name: "Thickness, Z", Group: "The job", MM: u.ThicknessMM, Why: fromDrawing, Example: true},
			choice("The job", "flip", "Turned over", "About Y: end for end. About X: front to rear.", aboutY, aboutX),
			tolerance,
			choice("The job", "zone", "Zone", "As the drawing says.", roundZone, squareZone),
			choice("The job", "material", "Material", plan.Materials[0].Source, materialNames()...),
			features,
			length("Touching off", "probe", "Probe repeats to, 1 sd", u.ProbeSDMM), touches,
			length("Touching off", "form", "Form and finish of faces", u.FormMM),
			choice("Touching off", "faces", "Faces touched in setup 2", "The same two faces of the part, or what lies on the same side of the machine after the flip.", sameFaces, otherFaces),
			choice("Touching off", "every", "Touched on", "The first only: the others go against jaw and stop on trust.", eachPart, firstPart),
			length("Touching off", "probe-depth", "Touched below the top", u.ProbeDepthMM),
			length("Touching off", "radius", "Stylus radius known to ±", u.RadiusMM),
			length("Touching off", "size", "Part's size known to ±", u.LengthOf),
			length("Touching off", "drift", "Machine drifts up to ±", u.DriftMM),
			length("The vise", "seat", "Seat repeats to, 1 sd", u.SeatMM),
			length("The vise", "lift", "Jaw lifts up to", u.LiftMM),
			length("The vise", "square", "Faces square to, in 100 mm", u.SquareMM),
			length("The vise", "jaw", "Jaw in line to ±, in 100 mm", u.JawMM),
			warm,
			length("Heat and load", "deflection-1", "Tool leans, setup 1", u.Deflection1MM),
			length("Heat and load", "deflection-2", "Tool leans, setup 2", u.Deflection2MM),
			length("Sacrificial carrier, to compare", "margin", "Frame round the part", c.MarginMM),
			length("Sacrificial carrier, to compare", "tool", "Cutter", c.ToolMM),
			length("Sacrificial carrier, to compare", "stepdown", "Depth of a pass", c.StepdownMM),
			length("Sacrificial carrier, to compare", "over", "Stock on each face", c.OverMM),
			number("Sacrificial carrier, to compare", "tabs", "Tabs", "4", ""),
			length("Sacrificial carrier, to compare", "fresh-form", "Form of fresh faces", c.FreshFormMM),
			length("Sacrificial carrier, to compare", "proud", "Fresh faces stand proud", c.ProudMM),
		}
		return fs
	case Chamfer:
		person := Field{Key: "person", Name: "Whose eye", Kind: Choice, Group: "The eye", Text: untestedPerson, Options: []string{untestedPerson}, Why: "Measured on the Apprentice page."}
		share := number("The eye", "eye", "Catches, share of chamfer", "8", "%")
		share.Why = "A start, no source (4 to 16 %), until a person was tested."
		return append([]Field{tolerance, bore, person, share, light}, camera...)
	case Photo:
		chamfer := length("The job", "chamfer", "Chamfer width, radial", 0.3)
		chamfer.Why, chamfer.Example = fromDrawing, true
		angle := number("The job", "angle", "Half-angle from the axis", "45", "°")
		angle.Why, angle.Example = fromDrawing, true
		distance := length("The photo", "distance", "Distance, lens to part", -1)
		distance.Why, distance.Empty = "Leave empty to be told.", "to be told"
		goal := length("The photo", "goal", "Uncertainty wanted, 95 %", -1)
		goal.Why, goal.Empty = "Empty: a quarter of the tolerance (four to one, from memory of MIL-STD-45662A).", "a quarter"
		thick := Field{Key: "thickness", Name: "Thickness, Z", Group: "The job", MM: u.ThicknessMM, Why: fromDrawing, Example: true}
		return append([]Field{bore, chamfer, angle, thick, tolerance, light, distance, goal}, camera...)
	}
	at := func(group, key, name string, mm float64, why string) Field {
		return Field{Key: key, Name: name, Group: group, MM: mm, Coordinate: true, Why: why, Example: true}
	}
	touched := func(group, key, text string) Field {
		return Field{Key: key, Name: "Touched at, machine X Y", Kind: Lines, Group: group, Text: text, Example: true, Why: "One touch a line. Two or more, far apart, on the longer face."}
	}
	sides := sideNames()
	side := func(group, key, text string) Field {
		return Field{Key: key, Name: "Looks", Kind: Choice, Group: group, Text: text, Options: sides, Why: "As seen from above, on the drawing."}
	}
	return []Field{
		side("Face A, finished", "a-side", string(plan.Rear)),
		at("Face A, finished", "a-at", "Its X or Y on the drawing", 40, "X of a left or right face, Y of a front or rear one."),
		touched("Face A, finished", "a-touches", "105 242.051\n130 242.098\n155 242.152"),
		side("Face B, finished", "b-side", string(plan.Left)),
		at("Face B, finished", "b-at", "Its X or Y on the drawing", 0, "As for A."),
		touched("Face B, finished", "b-touches", "97.991 210\n97.948 230"),
		choice("How it was touched", "included", "The numbers are the", "Ball's centre: the radius is added here. Point of contact: the control has done it.", ballCentre, contactPoint),
		{Key: "stylus", Name: "Ball, diameter", Group: "How it was touched", MM: 4, Why: "Of the stylus that touched: as measured, or as stamped on it."},
		length("How it was touched", "probe", "Probe repeats to, 1 sd", u.ProbeSDMM),
		length("How it was touched", "form", "Form and finish of faces", u.FormMM),
		length("How it was touched", "radius", "Stylus radius known to ±", u.RadiusMM),
		{Key: "face", Name: "Faces' place known to ±", Group: "How it was touched", MM: 0.01, Why: "Common practice, no source: measure the part across them."},
		{Key: "new", Name: "New feature, X Y on the drawing", Kind: Pair, Group: "What comes next", Text: "45 12", Why: fromDrawing, Example: true},
		side("What comes next", "check-side", string(plan.Right)),
		at("What comes next", "check-at", "Check face's X or Y", 60, "A third finished face, to verify on before cutting."),
		at("What comes next", "check-along", "Touched how far along", 20, "Along the other axis of the drawing."),
	}
}

// zoneOf, axisOf: choices as the model has them.
func zoneOf(text string) model.Zone {
	if text == squareZone {
		return model.SquareZone
	}
	return model.RoundZone
}

func axisOf(text string) model.FlipAxis {
	if text == aboutX {
		return model.FlipAboutX
	}
	return model.FlipAboutY
}
