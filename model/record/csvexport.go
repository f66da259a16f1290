package record

import (
	"context"
	"encoding/csv"
	"io"
	"math"
	"os"
	"strconv"
	"strings"
	"time"

	"evenrim/model"
)

// row is a reading on its way into or out of a table.
type row struct {
	Entry
	Reading *model.Reading
}

// csvColumns are a table's columns in their order: first those of a list of
// photos (so that the table is one, bare numbers being mm and degrees), then the
// results, their units in their names. EXCHANGE.md describes them.
var csvColumns = []struct {
	name  string
	write func(row) string
}{
	{"photo", func(r row) string { return plain(r.PhotoName) }},
	{"bore", func(r row) string { return figure(r.Reading.Job.BoreMM) }},
	{"chamfer", func(r row) string { return figureOrNone(r.Reading.Job.ChamferMM) }},
	{"angle", func(r row) string { return degrees(r.Reading.Job.HalfAngle) }},
	{"thickness", func(r row) string { return figureOrNone(r.Reading.Job.ThicknessMM) }},
	{"plus_x", func(r row) string { return degrees(r.Reading.Job.PlusX) }},
	{"tolerance", func(r row) string { return figure(r.Reading.Job.ToleranceMM) }},
	{"part", func(r row) string { return plain(r.Part) }},
	{"hole", func(r row) string { return plain(r.Hole) }},
	{"hole_x", func(r row) string { return ofVec(r.HoleAt, func(v model.Vec) float64 { return v.X }) }},
	{"hole_y", func(r row) string { return ofVec(r.HoleAt, func(v model.Vec) float64 { return v.Y }) }},
	{"turn", func(r row) string {
		if r.TurnRad == nil {
			return ""
		}
		return degrees(*r.TurnRad)
	}},
	{"batch", func(r row) string { return plain(r.Batch) }},
	{"note", func(r row) string { return plain(r.Note) }},

	{"made_at", func(r row) string { return r.Reading.MadeAt.UTC().Format(time.RFC3339Nano) }},
	{"dx_mm", func(r row) string { return figure(r.Reading.Mismatch.X) }},
	{"dy_mm", func(r row) string { return figure(r.Reading.Mismatch.Y) }},
	{"u95_mm", func(r row) string { return figure(r.Reading.U95MM) }},
	{"dx_thou", func(r row) string { return thou(r.Reading.Mismatch.X) }},
	{"dy_thou", func(r row) string { return thou(r.Reading.Mismatch.Y) }},
	{"u95_thou", func(r row) string { return thou(r.Reading.U95MM) }},
	{"cov_xx_mm2", func(r row) string { return figure(r.Reading.Cov.XX) }},
	{"cov_xy_mm2", func(r row) string { return figure(r.Reading.Cov.XY) }},
	{"cov_yy_mm2", func(r row) string { return figure(r.Reading.Cov.YY) }},
	{"width_mm", func(r row) string { return figure(r.Reading.WidthMM) }},
	{"width_u_mm", func(r row) string { return figure(r.Reading.WidthUMM) }},
	{"px_per_mm", func(r row) string { return figureOrNone(r.Reading.Camera.PxPerMM) }},
	{"verdict", func(r row) string { return plain(string(r.Reading.Verdict)) }},
	{"p_within", func(r row) string { return figure(r.Reading.PWithin) }},
	{"setup2_x_mm", func(r row) string { return figure(r.Reading.Correction.Setup2.X) }},
	{"setup2_y_mm", func(r row) string { return figure(r.Reading.Correction.Setup2.Y) }},

	{"job", func(r row) string { return plain(r.Reading.Job.Name) }},
	{"zone", func(r row) string { return plain(string(r.Reading.Job.Zone)) }},
	{"flip", func(r row) string { return plain(string(r.Reading.Job.Flip)) }},
	{"operator", func(r row) string { return plain(r.Operator) }},
	{"machine", func(r row) string { return plain(r.Machine) }},
	{"tags", func(r row) string { return plain(strings.Join(r.Tags, "; ")) }},
	{"version", func(r row) string { return plain(r.Version) }},
	{"photo_sha256", func(r row) string { return plain(r.Reading.Photo.SHA256) }},
	{"record", func(r row) string { return strconv.FormatInt(int64(r.ID), 10) }},
	{"replaced_by", func(r row) string {
		if r.ReplacedBy == 0 {
			return ""
		}
		return strconv.FormatInt(int64(r.ReplacedBy), 10)
	}},
	{"key", func(r row) string {
		if r.OriginKey != "" {
			return r.OriginKey
		}
		return r.Key
	}},
}

// ExportCSV writes the readings that fit q as a table, the first kept first: a
// header line, then one reading a line, UTF-8, decimal points, times in UTC. It
// returns how many were written.
func (s *Store) ExportCSV(ctx context.Context, to io.Writer, q Query) (int, error) {
	n, err := s.exportCSV(ctx, to, q)
	return n, explain("export readings", s.dir, err)
}

// ExportCSVFile is ExportCSV to a new file; it refuses to overwrite.
func (s *Store) ExportCSVFile(ctx context.Context, path string, q Query) (n int, err error) {
	err = writeNew(path, func(f *os.File) error { n, err = s.exportCSV(ctx, f, q); return err })
	return n, explain("export readings", path, err)
}

func (s *Store) exportCSV(ctx context.Context, to io.Writer, q Query) (int, error) {
	list, err := s.matching(ctx, q)
	if err != nil {
		return 0, err
	}
	w := csv.NewWriter(to)
	cells := make([]string, len(csvColumns))
	for i, c := range csvColumns {
		cells[i] = c.name
	}
	if err := w.Write(cells); err != nil {
		return 0, err
	}
	for n, id := range list {
		r, e, err := s.Get(ctx, id)
		if err != nil {
			return n, err
		}
		for i, c := range csvColumns {
			cells[i] = c.write(row{e, r})
		}
		if err := w.Write(cells); err != nil {
			return n, err
		}
	}
	w.Flush()
	return len(list), w.Error()
}

// figure writes f so that it reads back to the same number; none for NaN.
func figure(f float64) string {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return ""
	}
	return strconv.FormatFloat(f, 'g', -1, 64)
}

// figureOrNone leaves out a zero that means "not known".
func figureOrNone(f float64) string {
	if f == 0 {
		return ""
	}
	return figure(f)
}

// thou is for reading, and so to 0.001 thou (25 nm).
func thou(mm float64) string {
	if figure(mm) == "" {
		return ""
	}
	return strconv.FormatFloat(mm/model.MMPerInch*1000, 'f', 3, 64)
}

// degrees writes an angle to 1e-9 degrees, so that 45 is 45.
func degrees(rad float64) string {
	if figure(rad) == "" {
		return ""
	}
	return figure(math.Round(rad*180/math.Pi*1e9) / 1e9)
}

func ofVec(v *model.Vec, part func(model.Vec) float64) string {
	if v == nil {
		return ""
	}
	return figure(part(*v))
}

// plain is a text as one cell of one line can hold it. What a spreadsheet would
// take for a formula, or a list for a comment, gets an apostrophe in front, which
// ImportCSV takes off.
func plain(s string) string {
	s = strings.Join(strings.FieldsFunc(text(s), func(r rune) bool { return r == '\n' || r == '\r' || r == '\u2028' }), " ")
	if looksLikeFormula(s) {
		return "'" + s
	}
	return s
}

// unplain is the inverse of plain, but for line breaks.
func unplain(s string) string {
	if rest, ok := strings.CutPrefix(s, "'"); ok && looksLikeFormula(rest) {
		return rest
	}
	return s
}

func looksLikeFormula(s string) bool {
	if s == "" || !strings.ContainsRune("=+-@#\t'", rune(s[0])) {
		return false
	}
	if s[0] == '\'' { // so that unplain(plain(s)) == s for any s
		return looksLikeFormula(s[1:])
	}
	_, err := strconv.ParseFloat(s, 64) // a plain number is none
	return err != nil
}
