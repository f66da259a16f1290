package state

// FieldHelp says what a field of the job card means.
func FieldHelp(f Field) Explanation {
	e, ok := fieldHelp[f]
	if !ok {
		return Explanation{}
	}
	return e
}

var fieldHelp = map[Field]Explanation{
	Bore: {Title: "Bore, diameter", Drawing: "edges", Words: []string{
		"The diameter of the through-hole as on the drawing, or better as measured. It sets the scale of the photo: the one thing that no reading can do without.",
		"Type it as you would say it: 10, 10mm, 0.5in, 500 thou. A bare number counts in the unit shown."}},
	Chamfer: {Title: "Chamfer width, radial", Drawing: "edges", Words: []string{
		"The nominal width of the edge break on one side, seen from straight above. It helps to find the right edges and may be well off: the real width is a result.",
		"Leave it empty when it is not known."}},
	Angle: {Title: "Half-angle", Drawing: "edges", Words: []string{
		"The chamfer's angle from the bore's axis, 45 degrees for the usual 90 degree tool. It tells how deep the bore edge lies below the face."}},
	Thickness: {Title: "Thickness", Drawing: "leaning-view", Words: []string{
		"How thick the part is along the bore. With it the exit rim shows how much the camera leans, to about a hundredth of a degree. Without it the exit rim gives the direction only.",
		"White paper or a light under the part makes the exit rim stand out."}},
	Tolerance: {Title: "Tolerance of mismatch", Drawing: "wide", Words: []string{
		"How far the two setups may lie apart. Round zone: the distance in any direction, a radius. Square zone: X and Y each, plus or minus.",
		"Empty means 0.001 in (0.0254 mm)."}},
	PlusX: {Title: "+X in the photo", Drawing: "plus-x", Words: []string{
		"Which way setup 2's +X points in the photo, in degrees counter-clockwise from image-right. Drag the arrow on the photo; near a straight edge of the part it snaps along it.",
		"+Y is a quarter turn counter-clockwise from +X. Drawn by hand the arrow is good to about a degree, which is in the uncertainty."}},
	ZoneField: {Title: "Zone", Drawing: "wide", Words: []string{"Round: the mismatch may lie anywhere within a circle. Square: X and Y are judged each for itself."}},
	FlipField: {Title: "Part turned over", Drawing: "flip-about-y", Words: []string{
		"The machine axis that the part was turned over about between setup 1 and setup 2. Over about Y (end for end) X is mirrored; over about X, Y is.",
		"It only matters for correcting in setup 1."}},
	CardName: {Title: "Name of the card", Words: []string{"What the card is kept under, for example the part's name. A card of the same name is replaced."}},
}

// Term is a word of the trade as this program uses it.
type Term struct{ Word, Meaning, Drawing string }

// Glossary is every word with one meaning each.
var Glossary = []Term{
	{"setup 1, setup 2", "The two clampings. The photo shows the face that lay up in setup 2. Blue is setup 1, orange is setup 2, everywhere.", "two-setups"},
	{"bore", "The through-hole cut in setup 1.", "edges"},
	{"chamfer", "The edge break cut round it in setup 2.", "edges"},
	{"outer edge, bore edge, exit rim", "Chamfer meets face; chamfer meets bore wall; the far end of the bore. Each of the three is a rim.", "edges"},
	{"width", "The chamfer's radial width as seen from straight above.", "even"},
	{"mismatch", "The chamfer's axis less the bore's axis, in setup 2's X and Y: where setup 2 landed.", "wide"},
	{"vanished chamfer", "Further off than the chamfer is wide, the tool never touched one side.", "gone"},
	{"unrolled rim", "The ring round the hole laid out as a straight strip. Even: a parallel band. Mismatch: one slow wave.", "burr-gouge-dirt"},
	{"turn set", "Photos of one hole with the part turned under a fixed camera and light. What camera and light have wrong in all of them drops out.", "turn-set"},
	{"view, tilt", "How far the camera looks off the bore's axis. The exit rim shows it.", "leaning-view"},
	{"flip axis", "The machine axis that the part was turned over about between the setups.", "flip-about-y"},
	{"+X", "Setup 2's +X as it lies in the photo.", "plus-x"},
	{"step", "How far setup 2's half of a wall stands proud (+) or shy (−) of setup 1's half.", "step"},
	{"reading", "One photo's mismatch with its uncertainty, inputs and evidence. It is never changed; a later one may take its place.", ""},
	{"verdict", "Conforms, does not conform, or undecided: whether the tolerance holds with all of the uncertainty.", ""},
	{"job card", "What the drawing says: bore, chamfer, thickness, tolerance, flip axis, units.", ""},
	{"work offset", "The machine position of part zero.", "pick-up"},
}

// Keys are all keys of the bench that are not in a menu, with what they do.
var Keys = [][2]string{
	{"O", "open a photo"}, {"J", "job card"}, {"K", "kept readings"}, {"H", "show the hole"}, {"R", "rims on or off"},
	{"U", "mm or inch"}, {"G", "help the finder"}, {"T", "turn set"}, {"0 or F", "whole photo"}, {"1", "one to one"}, {"1 to 9", "where several places look like the hole: take that one"}, {"+ and −", "closer, further"},
	{"Page Up, Page Down", "photo before, next photo"}, {"Esc", "close a dialog, leave a field, lay the tool down, stop reading"},
	{"arrows", "move the photo, once it has the focus"}, {"Tab", "next field or button"}, {"Space, Return", "press it; in a field of the job card Return goes to the next"}, {"F1", "in a field of the job card what it means, elsewhere this list"}, {"?", "this list"},
}

// PageKeys are those of the other pages.
var PageKeys = []struct {
	Page string
	Keys [][2]string
}{
	{"Part", [][2]string{{"O", "open a list"}, {"H", "add a hole"}, {"W", "add a wall"}, {"S", "save"}, {"P", "report"}, {"U", "mm or inch"},
		{"1 to 4", "holes, walls, the part; in a narrow window the drawing"}, {"up and down", "row before, next row"}}},
	{"Batches", [][2]string{{"1 to 6", "the leaves"}, {"/", "search"}, {"F", "narrow the search"}, {"U", "mm or inch"}, {"B, Space", "on Photos: blink, and blink once by hand"},
		{"R", "on Photos: rims on or off"}, {"Page Up, Page Down", "on Photos: part before, next part"}}},
	{"Apprentice", [][2]string{{"1 to 5", "its five parts"}, {"U", "mm or inch"}, {"arrows", "the clock's hand; in the eye test the answer; next lesson, lesson before"}, {"0", "even all round"},
		{"+ and −", "how far off"}, {"Y, N, ?", "conforms, does not conform, can't tell"}, {"A to F", "what is seen"}, {"Return", "show what is so, then the next photo"}, {"R", "rims of a live picture on or off"}}},
	{"Planner", [][2]string{{"1 to 4", "the four questions"}, {"Page Up, Page Down", "question before, next question"}, {"U", "mm or inch"}, {"P", "setup sheet"}}},
	{"Live camera", [][2]string{{"K, Return", "keep this picture"}, {"S", "keep the steadiest of the last second"}, {"F, Space", "hold, go on; at a film's end: play it again"}, {"H", "close-up, whole picture"},
		{"0 to 9", "a camera by its number"}, {"V", "a video file"}, {"U", "mm or inch"}, {"Esc", "back to the bench"}}},
}
