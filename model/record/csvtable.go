package record

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"evenrim/model"
)

// table reads a table line by line, as model.ParseList does: a cell cannot go on
// over the end of its line, so that a forgotten quotation mark costs one row.
type table struct {
	lines     []string
	line      int // of the current row, from 1
	separator rune
	columns   []string
	cells     map[string]string // of the current row
	err       error             // of the current row
	notes     []string
}

// listColumns are those that model.ParseList reads; not photo first, as a name may
// begin with the # of a comment.
var listColumns = []string{"bore", "photo", "chamfer", "angle", "thickness", "plus_x", "tolerance", "part", "hole", "hole_x", "hole_y", "turn", "batch", "note"}

// lengthResults are the results that may come in any unit of length.
var lengthResults = []string{"dx", "dy", "u95", "width", "width_u"}

var lengthSuffixes = []string{"mm", "um", "in", "thou"}

func newTable(data []byte) (*table, error) {
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	switch {
	case len(data) > model.MaxListBytes:
		return nil, refuse("The table has more than %d MB: is it the right file? Split it if it is.", model.MaxListBytes>>20)
	case !utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0:
		return nil, refuse("The table is not plain text: save it from the spreadsheet as CSV in UTF-8.")
	}
	t := &table{lines: strings.Split(strings.ReplaceAll(strings.ReplaceAll(string(data), "\r\n", "\n"), "\r", "\n"), "\n")}
	for t.line < len(t.lines) && blank(t.lines[t.line]) {
		t.line++
	}
	if t.line == len(t.lines) {
		return nil, refuse("The table is empty: its first line names the columns.")
	}
	header := t.lines[t.line]
	t.line++
	t.separator = ','
	for _, r := range ";\t" {
		if strings.Count(header, string(r)) > strings.Count(header, string(t.separator)) {
			t.separator = r
		}
	}
	names, err := t.split(header)
	if err != nil {
		return nil, refuse("The table's first line cannot be read: it names the columns.")
	}
	for _, n := range names {
		n = strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(strings.TrimSpace(n)))
		if n != "" && slices.Contains(t.columns, n) {
			return nil, refuse("The table has two columns %q: leave one out.", n)
		}
		if n != "" && !t.known(n) {
			t.notes = append(t.notes, fmt.Sprintf("The table's column %.40q is not known and is left out.", n))
		}
		t.columns = append(t.columns, n)
	}
	return t, t.complete()
}

func (t *table) known(name string) bool {
	for _, c := range csvColumns {
		if c.name == name {
			return true
		}
	}
	for _, r := range lengthResults {
		if rest, ok := strings.CutPrefix(name, r+"_"); ok && slices.Contains(lengthSuffixes, rest) {
			return true
		}
	}
	return false
}

// complete refuses a table that can hold no reading.
func (t *table) complete() error {
	has := func(names ...string) bool {
		return slices.ContainsFunc(names, func(n string) bool { return slices.Contains(t.columns, n) })
	}
	inUnits := func(n string) []string { return []string{n + "_mm", n + "_um", n + "_in", n + "_thou"} }
	switch {
	case !has("bore"):
		return refuse("The table has no column bore: the bore diameter of each reading, in mm or with its unit.")
	case !has("made_at"):
		return refuse("The table has no column made_at: the date or time of each reading, such as 2031-03-14 or 2031-03-14T09:26:53Z.")
	case !has(inUnits("dx")...) || !has(inUnits("dy")...):
		return refuse("The table has no columns dx_mm and dy_mm (or dx_um, dx_thou, dx_in and the same for dy): the mismatch of each reading.")
	case !has(inUnits("u95")...) && !(has("cov_xx_mm2") && has("cov_xy_mm2") && has("cov_yy_mm2")):
		return refuse("The table says no uncertainty: it needs a column u95_mm (or u95_um, u95_thou, u95_in), or cov_xx_mm2, cov_xy_mm2 and cov_yy_mm2.")
	}
	return nil
}

func blank(line string) bool {
	line = strings.TrimSpace(line)
	return strings.Trim(line, ",;\t ") == "" || strings.HasPrefix(line, "#")
}

func (t *table) split(line string) ([]string, error) {
	r := csv.NewReader(strings.NewReader(line))
	r.Comma, r.FieldsPerRecord = t.separator, -1
	return r.Read()
}

// next goes to the next row that holds something.
func (t *table) next() bool {
	for ; t.line < len(t.lines); t.line++ {
		line := t.lines[t.line]
		if blank(line) {
			continue
		}
		t.line++
		t.cells, t.err = map[string]string{}, nil
		cells, err := t.split(line)
		if err != nil {
			t.err = refuse("A quotation mark is not closed on the same line; write it twice to mean the character itself.")
		}
		for i, c := range cells {
			c = unplain(strings.TrimSpace(c))
			if i < len(t.columns) {
				t.cells[t.columns[i]] = c
			} else if c != "" {
				t.err = refuse("It has more cells than the first line has columns; put quotation marks round a cell with a %q in it.", string(t.separator))
			}
		}
		return true
	}
	return false
}
