package model

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"
)

// MaxListBytes is the largest list that is read: some hundred thousand photos.
const MaxListBytes = 32 << 20

// ListRow is one photo of a list with its own job card and what else the list
// says of it.
type ListRow struct {
	Row   int    // line in the file, from 1
	Photo string // as it stands in the list
	Path  string // Photo, relative to the list's folder
	Job   JobCard
	Part  string
	Hole  string
	// HoleAt is where the hole is on the part, mm; nil when the list doesn't say.
	HoleAt *Vec
	// Turn is how far the part was turned counter-clockwise, seen from above, since
	// its first photo, rad; nil when the photo belongs to no turn set.
	Turn        *float64
	Batch, Note string
	// Err is a *Refusal when the row is wrong; only Row and Photo are then sure.
	Err error
}

// List is a file of photos to read.
type List struct {
	Rows  []ListRow
	Notes []string // about the file as a whole, as sentences
}

// listColumns are the known columns and what each does to a row.
var listColumns = map[string]func(*ListRow, string) error{
	"photo":     func(r *ListRow, s string) error { return nil }, // set before all others
	"bore":      func(r *ListRow, s string) error { return setLength(&r.Job.BoreMM, s) },
	"chamfer":   func(r *ListRow, s string) error { return setLength(&r.Job.ChamferMM, s) },
	"angle":     func(r *ListRow, s string) error { return setHalfAngle(&r.Job.HalfAngle, s) },
	"thickness": func(r *ListRow, s string) error { return setLength(&r.Job.ThicknessMM, s) },
	"plus_x":    func(r *ListRow, s string) error { return setAngle(&r.Job.PlusX, s) },
	"tolerance": func(r *ListRow, s string) error { return setTolerance(&r.Job.ToleranceMM, s) },
	"part":      func(r *ListRow, s string) error { r.Part = s; return nil },
	"hole":      func(r *ListRow, s string) error { r.Hole = s; return nil },
	"hole_x":    func(r *ListRow, s string) error { return setLength(&r.place().X, s) },
	"hole_y":    func(r *ListRow, s string) error { return setLength(&r.place().Y, s) },
	"turn":      func(r *ListRow, s string) error { r.Turn = new(float64); return setAngle(r.Turn, s) },
	"batch":     func(r *ListRow, s string) error { r.Batch = s; return nil },
	"note":      func(r *ListRow, s string) error { r.Note = s; return nil },
}

func (r *ListRow) place() *Vec {
	if r.HoleAt == nil {
		r.HoleAt = &Vec{}
	}
	return r.HoleAt
}

func setLength(mm *float64, s string) (err error) { *mm, err = ParseLength(s); return err }
func setAngle(rad *float64, s string) (err error) { *rad, err = ParseAngleDeg(s); return err }

// setTolerance refuses a zero, which JobCard would take for "the usual".
func setTolerance(mm *float64, s string) error {
	err := setLength(mm, s)
	if err == nil && *mm <= 0 {
		err = errors.New("The tolerance must be more than zero: leave the cell empty for the usual 0.001in.")
	}
	return err
}

func setHalfAngle(rad *float64, s string) error {
	err := setAngle(rad, s)
	if err == nil && *rad == 0 {
		err = errors.New("The half-angle cannot be zero: leave the cell empty for the usual 45.")
	}
	return err
}

// ParseList reads a list of photos: text with a header line that names the
// columns
//
//	photo,bore,chamfer,angle,thickness,plus_x,tolerance,part,hole,hole_x,hole_y,turn,batch,note
//
// in any order, all but photo optional; separated by comma, semicolon or tab
// (told from the header); UTF-8 with or without a byte order mark. Lengths and
// angles are as ParseLength and ParseAngleDeg take them. Empty lines and lines
// that begin with # are skipped. dir is the list's folder. An empty or missing
// cell has its value from defaults.
//
// A bad row is in the result, with its Err; the error is a *Refusal about the
// file as a whole.
func ParseList(data []byte, dir string, defaults JobCard) (List, error) {
	text, err := ListText(data)
	if err != nil {
		return List{}, err
	}
	lines := strings.Split(text, "\n")
	at := 0
	for at < len(lines) && skipped(lines[at]) {
		at++
	}
	if at == len(lines) {
		return List{}, Refuse(BadInput, "The list is empty: its first line names the columns, photo,bore,chamfer and so on, and each further line is one photo.")
	}
	p := listParser{dir: dir, defaults: defaults, separator: ListSeparator(lines[at])}
	if err := p.header(lines[at]); err != nil {
		return List{}, err
	}
	for at++; at < len(lines); at++ {
		if skipped(lines[at]) {
			continue
		}
		cells, err := p.split(lines[at])
		p.list.Rows = append(p.list.Rows, p.row(at+1, cells, err))
	}
	if len(p.list.Rows) == 0 {
		return List{}, Refuse(BadInput, "The list names no photo: write one photo a line below the header.")
	}
	return p.list, nil
}

// ListText returns a list in CSV as UTF-8 with plain line ends.
func ListText(data []byte) (string, error) {
	switch {
	case len(data) > MaxListBytes:
		return "", Refuse(TooLarge, fmt.Sprintf("The list has more than %d MB: is it the right file? Split it if it is.", MaxListBytes>>20))
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}), bytes.HasPrefix(data, []byte{0xfe, 0xff}), bytes.IndexByte(data, 0) >= 0:
		return "", Refuse(BadInput, "The list is not plain text: save it from the spreadsheet as CSV in UTF-8.")
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	text := string(data)
	if !utf8.Valid(data) {
		// Spreadsheets still write Windows' Western code page, whose letters and µ
		// have the code points of Latin-1.
		r := make([]rune, len(data))
		for i, b := range data {
			r[i] = rune(b)
		}
		text = string(r)
	}
	return strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n"), nil
}

func skipped(line string) bool {
	line = strings.TrimSpace(line)
	return strings.Trim(line, ",;\t ") == "" || strings.HasPrefix(line, "#")
}

// ListSeparator is what separates the cells of a list with this first line.
func ListSeparator(header string) rune {
	best := ','
	for _, r := range ";\t" {
		if strings.Count(header, string(r)) > strings.Count(header, string(best)) {
			best = r
		}
	}
	return best
}

type listParser struct {
	dir       string
	defaults  JobCard
	separator rune
	columns   []string // "" = not known, left out
	list      List
}

func (p *listParser) header(line string) error {
	cells, err := p.split(line)
	if err != nil {
		return Refuse(BadInput, "The list's first line cannot be read: it names the columns, photo,bore,chamfer and so on.")
	}
	for _, c := range cells {
		name := strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(strings.TrimSpace(c)))
		if _, known := listColumns[name]; !known {
			if near := nearestColumn(name); near != "" {
				return Refuse(BadInput, fmt.Sprintf("The list has a column %q: write %s if that is meant.", clip(c), near))
			}
			if name != "" {
				p.list.Notes = append(p.list.Notes, fmt.Sprintf("The list's column %q is not known and is left out.", clip(c)))
			}
			name = ""
		}
		if name != "" && slices.Contains(p.columns, name) {
			return Refuse(BadInput, fmt.Sprintf("The list has two columns %q: leave one out.", name))
		}
		p.columns = append(p.columns, name)
	}
	if !slices.Contains(p.columns, "photo") {
		return Refuse(BadInput, "The list has no column photo: its first line names the columns, photo,bore,chamfer and so on.")
	}
	return nil
}

// nearestColumn returns the known column that name is a slip of: left out
// silently, a tolerance would be judged by another one. Of several as near it is the
// first by name, so that the same list has the same answer.
func nearestColumn(name string) string {
	best, least := "", 0
	for _, known := range slices.Sorted(maps.Keys(listColumns)) {
		if len(known) <= 3 || len(name) <= 3 {
			continue
		}
		if d := editDistance(name, known); d <= 1+len(known)/8 && (best == "" || d < least) {
			best, least = known, d
		}
	}
	return best
}

// editDistance counts the letters to insert, delete or change (Levenshtein).
func editDistance(a, b string) int {
	if len(a) > 30 {
		return len(a)
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := diagonal
			if a[i] != b[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}

// split cuts a line into cells. A quoted cell cannot go on over the line's end: a
// forgotten quotation mark would swallow the rows after it without a word.
func (p *listParser) split(line string) ([]string, error) {
	cells, err := p.csv(line, false)
	if errors.Is(err, csv.ErrBareQuote) {
		// 0.5" for half an inch is no quotation.
		return p.csv(line, true)
	}
	return cells, err
}

func (p *listParser) csv(line string, lazy bool) ([]string, error) {
	r := csv.NewReader(strings.NewReader(line))
	r.Comma, r.FieldsPerRecord, r.LazyQuotes = p.separator, -1, lazy
	r.TrimLeadingSpace = p.separator != '\t'
	return r.Read()
}

// row makes a row of its cells.
func (p *listParser) row(number int, cells []string, err error) ListRow {
	row := ListRow{Row: number, Job: p.defaults}
	bad := func(format string, a ...any) ListRow {
		row.Err = Refuse(BadInput, fmt.Sprintf("Row %d of the list: ", number)+fmt.Sprintf(format, a...))
		return row
	}
	if err != nil {
		return bad("A quotation mark is not closed on the same line; write it twice to mean the character itself.")
	}
	value := map[string]string{}
	var surplus bool
	for i, c := range cells {
		c = strings.TrimSpace(c)
		switch {
		case i >= len(p.columns):
			surplus = surplus || c != ""
		case p.columns[i] != "":
			value[p.columns[i]] = c
		}
	}
	row.Photo = value["photo"]
	switch {
	case surplus:
		return bad("It has more cells than the first line has columns; put quotation marks round a cell with a %q in it.", string(p.separator))
	case row.Photo == "":
		return bad("The photo's file name is missing.")
	case (value["hole_x"] == "") != (value["hole_y"] == ""):
		return bad("Give both hole_x and hole_y, or neither.")
	}
	row.Path = joinPhoto(p.dir, row.Photo)
	for _, name := range p.columns {
		if s := value[name]; name != "" && s != "" {
			if err := listColumns[name](&row, s); err != nil {
				return bad("In column %s, %s", name, err)
			}
		}
	}
	if err := row.Job.WithDefaults().Validate(); err != nil {
		return bad("%s", err)
	}
	return row
}

// joinPhoto also takes the path separators of the other kind of computer.
func joinPhoto(dir, photo string) string {
	photo = filepath.FromSlash(photo)
	if filepath.Separator == '/' {
		photo = strings.ReplaceAll(photo, `\`, "/")
	}
	if filepath.IsAbs(photo) {
		return photo
	}
	return filepath.Join(dir, photo)
}
