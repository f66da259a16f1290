package batch

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"

	"evenrim/model"
)

// PersonReading is one reading of a repeatability study: who read which part.
type PersonReading struct {
	Part, Person string
	D            model.Vec // mm
}

// StudyAxes analyses both axes of readings; see StudyOf.
func StudyAxes(readings []PersonReading, toleranceMM float64) (x, y Study, err error) {
	tx, ty := make([]Trial, len(readings)), make([]Trial, len(readings))
	for i, r := range readings {
		tx[i] = Trial{r.Part, r.Person, r.D.X}
		ty[i] = Trial{r.Part, r.Person, r.D.Y}
	}
	if x, err = StudyOf(tx, toleranceMM); err != nil {
		return x, y, err
	}
	y, err = StudyOf(ty, toleranceMM)
	return x, y, err
}

// StudyRowError says what is wrong with a row of a study's table.
type StudyRowError struct {
	Row      int // line in the file, from 1
	Sentence string
}

func (e *StudyRowError) Error() string { return fmt.Sprintf("row %d: %s", e.Row, e.Sentence) }

// maxStudyRows is more than anybody reads in a study.
const maxStudyRows = 100_000

// ParseStudy reads a table of finished readings for a repeatability study. The first line
// names the columns, in any order: part, person, and the two figures with their
// unit in the name (dx_mm and dy_mm, or _um, _thou, _in). Other columns are left out.
// Lines that begin with # are skipped; comma, semicolon or tab separate. Each row has
// one reading of a part by a person, the same number of readings in each pairing.
//
// The errors are sentences; those of single rows are *StudyRowError, joined.
func ParseStudy(data []byte) ([]PersonReading, error) {
	text, err := model.ListText(data)
	if err != nil {
		return nil, err
	}
	r := csv.NewReader(strings.NewReader(text))
	r.Comma = model.ListSeparator(firstLine(text))
	r.Comment, r.TrimLeadingSpace, r.FieldsPerRecord, r.LazyQuotes = '#', true, -1, true
	header, err := r.Read()
	if errors.Is(err, io.EOF) {
		return nil, errors.New("The table is empty: its first line names the columns part, person, dx_mm and dy_mm.")
	}
	if err != nil {
		return nil, fmt.Errorf("The table's first line cannot be read: %w", err)
	}
	c, err := studyColumns(header)
	if err != nil {
		return nil, err
	}
	var out []PersonReading
	var wrong []error
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		line, _ := r.FieldPos(0)
		if err != nil {
			return nil, fmt.Errorf("The table cannot be read further: %w", err)
		}
		if len(out)+len(wrong) == maxStudyRows {
			return nil, fmt.Errorf("The table has more than %d readings: is it the right file?", maxStudyRows)
		}
		reading, problem := c.row(cells)
		if problem != "" {
			wrong = append(wrong, &StudyRowError{line, problem})
			continue
		}
		out = append(out, reading)
	}
	if len(wrong) > 0 {
		return nil, errors.Join(wrong...)
	}
	return out, nil
}

// firstLine is the table's first line that is no comment.
func firstLine(text string) string {
	for line := range strings.Lines(text) {
		if strings.TrimSpace(line) != "" && !strings.HasPrefix(line, "#") {
			return line
		}
	}
	return ""
}

// column is where a length stands and in what unit.
type column struct {
	at   int
	unit string
}

type studyTable struct {
	part, person int
	x, y         column
}

func studyColumns(header []string) (studyTable, error) {
	t := studyTable{-1, -1, column{-1, ""}, column{-1, ""}}
	for i, name := range header {
		name = strings.ToLower(strings.TrimSpace(strings.TrimPrefix(name, "\ufeff")))
		switch name {
		case "part":
			t.part = i
		case "person", "operator":
			t.person = i
		}
		for _, unit := range []string{"mm", "um", "thou", "in"} {
			switch name {
			case "dx_" + unit:
				t.x = column{i, unit}
			case "dy_" + unit:
				t.y = column{i, unit}
			}
		}
	}
	var missing []string
	for _, c := range []struct {
		at   int
		name string
	}{{t.part, "part"}, {t.person, "person"}, {t.x.at, "dx_mm"}, {t.y.at, "dy_mm"}} {
		if c.at < 0 {
			missing = append(missing, c.name)
		}
	}
	if len(missing) > 0 {
		return t, fmt.Errorf("The table lacks the column %s: its first line names part, person, dx_mm and dy_mm (or _um, _thou, _in).", strings.Join(missing, ", "))
	}
	return t, nil
}

func (t studyTable) row(cells []string) (PersonReading, string) {
	cell := func(i int) string {
		if i < len(cells) {
			return strings.TrimSpace(cells[i])
		}
		return ""
	}
	r := PersonReading{Part: cell(t.part), Person: cell(t.person)}
	if r.Part == "" || r.Person == "" {
		return r, "it names no part or no person."
	}
	for _, v := range []struct {
		c  column
		to *float64
	}{{t.x, &r.D.X}, {t.y, &r.D.Y}} {
		text := cell(v.c.at)
		mm, err := model.ParseLength(text + v.c.unit)
		if err != nil || text == "" || !finite(mm) {
			return r, fmt.Sprintf("%q is no length in %s.", text, v.c.unit)
		}
		*v.to = mm
	}
	return r, ""
}
