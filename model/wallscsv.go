package model

import (
	"encoding/csv"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
)

// WallRow is one line of a list of walls.
type WallRow struct {
	Row  int // line in the file, from 1
	Part string
	Wall Wall
	Seam *Seam // where the line gave a trace across the seam
	Note string
	Err  error // a *Refusal when the line is wrong; only Row and Part are then sure
}

// wallColumns are the known columns besides the readings.
var wallColumns = []string{"part", "wall", "at_x", "at_y", "normal_deg", "spacing", "resolution", "proud", "seen_from", "trace", "note"}

// heightColumn matches the columns of readings: height, heights, h1, height_2.
var heightColumn = regexp.MustCompile(`^h(eights?)?_?\d*$`)

// ParseWalls reads a list of walls: a header line that names the columns, in any
// order, separated by comma, semicolon or tab; lines that begin with # are
// skipped.
//
//	part        as in the list of photos
//	wall        its name
//	at_x, at_y  a point of the wall, where the readings' middle is (bare = mm)
//	normal_deg  direction of the outward normal, degrees counter-clockwise from +X
//	heights     the indicator's readings across the step, separated by spaces or
//	            semicolons, or one each in columns h1, h2, ...: + where setup 2's
//	            half stands proud. The last one's unit serves for all that have none.
//	spacing     distance from reading to reading along the wall, counter-clockwise
//	            round the part; empty = all at one place
//	resolution  one division of the indicator
//	proud       which half a + means: setup-2 (also when empty) or setup-1
//	seen_from   which setup's face lay up when at_x, at_y and normal_deg were
//	            written down: setup-2 (also when empty) or setup-1, seen mirrored
//	            by the flip
//	trace       travel:height pairs across the seam, from setup 1's half to setup
//	            2's, separated by spaces: gives the step instead of heights, and
//	            shows a burr
//	note        for yourself
//
// A bad line is in the result with its Err; the error is a *Refusal about the
// list as a whole.
func ParseWalls(data []byte, flip FlipAxis) ([]WallRow, error) {
	text, err := ListText(data)
	if err != nil {
		return nil, err
	}
	p := wallParser{flip: flip}
	var rows []WallRow
	for i, line := range strings.Split(text, "\n") {
		if skipped(line) {
			continue
		}
		if p.columns == nil {
			if err := p.header(line); err != nil {
				return nil, err
			}
			continue
		}
		rows = append(rows, p.row(i+1, line))
	}
	if len(rows) == 0 {
		return nil, Refuse(BadInput, "The list of walls is empty: its first line names the columns, part,wall,at_x,at_y,normal_deg,heights, and each further line is one wall.")
	}
	return rows, nil
}

type wallParser struct {
	flip      FlipAxis
	separator rune
	columns   []string // "" = not known, left out
}

func (p *wallParser) header(line string) error {
	p.separator = ListSeparator(line)
	cells, err := p.split(line)
	if err != nil {
		return Refuse(BadInput, "The first line of the list of walls cannot be read: it names the columns, part,wall,at_x,at_y,normal_deg,heights.")
	}
	for _, c := range cells {
		name := strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(strings.TrimSpace(c)))
		switch {
		case heightColumn.MatchString(name):
			name = "heights"
		case !slices.Contains(wallColumns, name):
			// A column left out by mistake could turn a sign: better asked.
			return Refuse(BadInput, fmt.Sprintf("The list of walls has a column %q that is not known: the columns are %s and heights.", clip(c), strings.Join(wallColumns, ", ")))
		case slices.Contains(p.columns, name):
			return Refuse(BadInput, fmt.Sprintf("The list of walls has two columns %q: leave one out.", name))
		}
		p.columns = append(p.columns, name)
	}
	for _, need := range []string{"at_x", "at_y", "normal_deg"} {
		if !slices.Contains(p.columns, need) {
			return Refuse(BadInput, fmt.Sprintf("The list of walls has no column %s: where a wall is and where it faces must be known.", need))
		}
	}
	if !slices.Contains(p.columns, "heights") && !slices.Contains(p.columns, "trace") {
		return Refuse(BadInput, "The list of walls has no column heights: it holds the indicator's readings.")
	}
	return nil
}

func (p *wallParser) split(line string) ([]string, error) {
	r := csv.NewReader(strings.NewReader(line))
	r.Comma, r.FieldsPerRecord, r.LazyQuotes = p.separator, -1, true
	r.TrimLeadingSpace = p.separator != '\t'
	return r.Read()
}

func (p *wallParser) row(number int, line string) WallRow {
	row := WallRow{Row: number}
	bad := func(format string, a ...any) WallRow {
		row.Err = Refuse(BadInput, fmt.Sprintf("Row %d of the list of walls: ", number)+fmt.Sprintf(format, a...))
		return row
	}
	cells, err := p.split(line)
	if err != nil {
		return bad("It cannot be read: check its quotation marks.")
	}
	value, heights := map[string]string{}, []string{}
	for i, c := range cells {
		c = strings.TrimSpace(c)
		switch {
		case i >= len(p.columns) && c != "":
			return bad("It has more cells than the first line has columns; put quotation marks round a cell with a %q in it.", string(p.separator))
		case i < len(p.columns) && p.columns[i] == "heights":
			heights = append(heights, strings.FieldsFunc(c, isGap)...)
		case i < len(p.columns):
			value[p.columns[i]] = c
		}
	}
	row.Part, row.Note = value["part"], value["note"]
	w := Wall{Name: value["wall"]}
	spacing := 0.0
	for _, f := range []struct {
		column string
		to     *float64
		parse  func(string) (float64, error)
		needed bool
	}{
		{"at_x", &w.At.X, ParseLength, true}, {"at_y", &w.At.Y, ParseLength, true},
		{"normal_deg", &w.NormalRad, ParseAngleDeg, true},
		{"spacing", &spacing, ParseLength, false}, {"resolution", &w.ResolutionMM, ParseLength, false},
	} {
		s := value[f.column]
		if s == "" {
			if f.needed {
				return bad("The column %s is empty: where the wall is and where it faces must be known.", f.column)
			}
			continue
		}
		if *f.to, err = f.parse(s); err != nil {
			return bad("In column %s, %s", f.column, err)
		}
	}
	if value["resolution"] != "" && w.ResolutionMM <= 0 {
		return bad("The resolution must be more than zero: it is one division of the indicator.")
	}
	w.StepMM, err = parseHeights(heights)
	if err != nil {
		return bad("In column heights, %s", err)
	}
	if s := value["trace"]; s != "" {
		if len(w.StepMM) > 0 {
			return bad("It has both heights and a trace: leave one out.")
		}
		seam, err := parseTrace(s, w.division())
		if err != nil {
			return bad("In column trace, %s", err)
		}
		row.Seam, w.StepMM = &seam, []float64{seam.StepMM}
	}
	if len(w.StepMM) == 0 {
		return bad("It has no indicator reading.")
	}
	for i := range w.StepMM {
		w.AlongMM = append(w.AlongMM, spacing*(float64(i)-float64(len(w.StepMM)-1)/2))
	}
	if spacing == 0 {
		w.AlongMM = nil
	}
	sign, ok := map[string]float64{"": 1, "setup-2": 1, "setup-1": -1}[strings.ReplaceAll(strings.ToLower(value["proud"]), " ", "-")]
	if !ok {
		return bad("The column proud is setup-2 or setup-1: the half that a + means.")
	}
	for i := range w.StepMM {
		w.StepMM[i] *= sign
	}
	switch strings.ReplaceAll(strings.ToLower(value["seen_from"]), " ", "-") {
	case "", "setup-2":
	case "setup-1":
		w = w.mirrored(p.flip)
	default:
		return bad("The column seen_from is setup-2 or setup-1: the setup whose face lay up.")
	}
	row.Wall = w
	return row
}

// mirrored turns a wall written down in setup 1's axes into setup 2's.
func (w Wall) mirrored(flip FlipAxis) Wall {
	n := Polar(1, w.NormalRad)
	if flip == FlipAboutX {
		w.At.Y, n.Y = -w.At.Y, -n.Y
	} else {
		w.At.X, n.X = -w.At.X, -n.X
	}
	w.NormalRad = n.Angle()
	// Counter-clockwise seen from one side is clockwise from the other.
	along := slices.Clone(w.AlongMM)
	for i := range along {
		along[i] = -along[i]
	}
	w.AlongMM = along
	return w
}

func isGap(r rune) bool { return r == ' ' || r == ';' || r == '\t' || r == '\u00a0' }

// ParseHeights reads indicator readings separated by spaces or semicolons, mm; the
// last one's unit serves for all that have none. Errors are sentences.
func ParseHeights(s string) ([]float64, error) { return parseHeights(strings.FieldsFunc(s, isGap)) }

// parseHeights reads lengths of which all but the last may lack the unit.
func parseHeights(words []string) ([]float64, error) {
	// "12 um" comes as two words.
	var joined []string
	for _, w := range words {
		number, _ := splitUnit(w)
		if number == "" && len(joined) > 0 {
			joined[len(joined)-1] += w
			continue
		}
		joined = append(joined, w)
	}
	if len(joined) == 0 {
		return nil, nil
	}
	_, last := splitUnit(joined[len(joined)-1])
	var out []float64
	for _, w := range joined {
		if _, unit := splitUnit(w); unit == "" {
			w += last
		}
		mm, err := ParseLength(w)
		if err != nil {
			return nil, err
		}
		if math.Abs(mm) > MaxToleranceMM {
			return nil, fmt.Errorf("%q is more than %g mm: check the unit (0.012mm, 0.5thou).", clip(w), MaxToleranceMM)
		}
		out = append(out, mm)
	}
	return out, nil
}

func parseTrace(s string, divisionMM float64) (Seam, error) {
	var travel, height []string
	for _, pair := range strings.FieldsFunc(s, isGap) {
		x, y, ok := strings.Cut(pair, ":")
		if !ok {
			return Seam{}, fmt.Errorf("%q is not a pair travel:height, for example 1.5mm:0.3thou.", clip(pair))
		}
		travel, height = append(travel, x), append(height, y)
	}
	h, err := parseHeights(height)
	if err != nil {
		return Seam{}, err
	}
	var trace []Vec
	for i, t := range travel {
		x, err := ParseLength(t)
		if err != nil {
			return Seam{}, err
		}
		if i >= len(h) {
			return Seam{}, fmt.Errorf("%q lacks a height.", clip(t))
		}
		trace = append(trace, Vec{x, h[i]})
	}
	seam, err := ReadSeam(trace, divisionMM)
	if err != nil {
		return Seam{}, fmt.Errorf("the trace has %d points: it takes 8 to %d, on both sides of the seam.", len(trace), maxSeam)
	}
	return seam, nil
}
