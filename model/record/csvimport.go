package record

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"evenrim/model"
)

// TableWarning is in every reading that came from a table.
const TableWarning = "Taken over from a table: there is no photo and no traced rim behind these figures."

// ImportCSV adds the readings of a table: what ExportCSV wrote, or another
// program's with the same column names. Beside the columns of a list of photos
// (bore is needed) it needs made_at, dx and dy with their unit in the name
// (dx_mm, dx_um, dx_thou, dx_in), and the uncertainty: cov_xx_mm2, cov_xy_mm2,
// cov_yy_mm2, or u95 likewise. Other columns are left out with a note.
//
// Such a reading is kept as FromTable, marked by TableWarning; verdict and
// correction are computed anew. A row whose key is here already, or that is the
// same as one that was imported before, is not doubled. The error is about the
// table as a whole; bad rows are in the result, the good ones are kept.
func (s *Store) ImportCSV(ctx context.Context, from io.Reader) (ImportResult, error) {
	res, err := s.importCSV(ctx, from)
	return res, explain("import the table", s.dir, err)
}

func (s *Store) importCSV(ctx context.Context, from io.Reader) (res ImportResult, err error) {
	if s.write == nil {
		return res, s.change(ctx, nil)
	}
	data, err := io.ReadAll(io.LimitReader(from, model.MaxListBytes+1))
	if err != nil {
		return res, err
	}
	t, err := newTable(data)
	if err != nil {
		return res, err
	}
	res.Notes = t.notes
	for t.next() {
		if err := ctx.Err(); err != nil {
			return res, err
		}
		in, key, err := t.reading()
		if err != nil {
			res.bad(t.line, err)
			continue
		}
		if key != "" {
			known, err := idOf(ctx, s.read, `(key = ?1 OR origin_key = ?1)`, key)
			if err != nil {
				return res, err
			}
			if known != 0 {
				if err := s.countKnown(ctx, known, in.labels[0].Labels, &res); err != nil {
					return res, err
				}
				continue
			}
		}
		var added bool
		err = s.change(ctx, func(tx *sql.Tx) error { _, added, err = s.insert(ctx, tx, in); return err })
		switch {
		case err != nil:
			return res, err
		case added:
			res.Added++
		default:
			res.Known++
		}
	}
	return res, nil
}

// reading makes a reading of the current row. key is what the row says its key
// was where it came from.
func (t *table) reading() (in incoming, key string, err error) {
	if t.err != nil {
		return in, "", t.err
	}
	l, err := t.listRow()
	if err != nil {
		return in, "", err
	}
	r := &model.Reading{Photo: model.Photo{Name: t.cells["photo"]}, Job: l.Job, Version: t.cells["version"], Warnings: []string{TableWarning}}
	if sha := t.cells["photo_sha256"]; isHash(sha) {
		r.Photo.SHA256 = sha
	}
	r.Job.Name = t.cells["job"]
	if z := model.Zone(strings.ToLower(t.cells["zone"])); z != "" {
		r.Job.Zone = z
	}
	if f := model.FlipAxis(strings.ToLower(t.cells["flip"])); f != "" {
		r.Job.Flip = f
	}
	if err := r.Job.Validate(); err != nil {
		return in, "", refuse("%v", err)
	}
	if r.MadeAt, err = parseTime(t.cells["made_at"]); err != nil {
		return in, "", err
	}
	if err := t.results(r); err != nil {
		return in, "", err
	}
	doc, err := encodeReading(r)
	if err != nil {
		return in, "", err
	}
	labels := Labels{Part: l.Part, Hole: l.Hole, Batch: l.Batch, HoleAt: l.HoleAt, TurnRad: l.Turn, Note: l.Note,
		Operator: t.cells["operator"], Machine: t.cells["machine"], Tags: strings.Split(t.cells["tags"], ";")}
	in = incoming{reading: r, doc: doc, source: FromTable, labels: []LabelEntry{{Labels: labels}}}
	if key = t.cells["key"]; key != "" {
		if !isHash(key) {
			return in, "", refuse("Its key %.20q is none: leave the cell empty, or as it was exported.", key)
		}
		in.originKey = key
	}
	return in, key, nil
}

// listRow has the columns of a list of photos read by the reader of such lists.
func (t *table) listRow() (model.ListRow, error) {
	var header, cells []string
	for _, c := range listColumns {
		v := t.cells[c]
		if c == "photo" && v == "" {
			v = "-" // a list needs one, a table doesn't
		}
		header, cells = append(header, c), append(cells, v)
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.WriteAll([][]string{header, cells}) // into memory: cannot fail
	list, err := model.ParseList(b.Bytes(), "", model.JobCard{})
	if err != nil {
		return model.ListRow{}, err
	}
	l := list.Rows[0]
	l.Job = l.Job.WithDefaults()
	if l.Err != nil {
		// ParseList saw but one row: its number there says nothing.
		_, sentence, _ := strings.Cut(l.Err.Error(), ": ")
		return l, refuse("%s", sentence)
	}
	return l, nil
}

// length returns the result name in mm, from whichever unit the table has it in,
// mm first; ok is false when there is none.
func (t *table) length(name string) (mm float64, ok bool, err error) {
	for _, unit := range lengthSuffixes {
		column := name + "_" + unit
		v := t.cells[column]
		if v == "" {
			continue
		}
		f, err := t.number(column)
		if err != nil {
			return 0, false, err
		}
		if unit == "mm" {
			return f, true, nil
		}
		mm, err := model.ParseLength(strconv.FormatFloat(f, 'f', 12, 64) + unit)
		if err != nil {
			return 0, false, refuse("In column %s, %v", column, err)
		}
		return mm, true, nil
	}
	return math.NaN(), false, nil
}

// number returns the cell of column as a number; NaN when it is empty.
func (t *table) number(column string) (float64, error) {
	v := t.cells[column]
	if v == "" {
		return math.NaN(), nil
	}
	if t.separator != ',' && strings.Count(v, ",") == 1 && !strings.Contains(v, ".") {
		v = strings.Replace(v, ",", ".", 1)
	}
	f, err := strconv.ParseFloat(v, 64)
	if err != nil || math.IsNaN(f) || math.Abs(f) > 1e12 {
		return 0, refuse("In column %s, %.40q is not a number.", column, t.cells[column])
	}
	return f, nil
}

// results fills in what the row says was measured, and what follows from it.
func (t *table) results(r *model.Reading) (err error) {
	var ok [2]bool
	if r.Mismatch.X, ok[0], err = t.length("dx"); err != nil {
		return err
	}
	if r.Mismatch.Y, ok[1], err = t.length("dy"); err != nil {
		return err
	}
	if !ok[0] || !ok[1] {
		return refuse("The mismatch is missing: it needs both dx and dy.")
	}
	if d := r.Mismatch.Norm(); d > r.Job.BoreMM {
		return refuse("A mismatch of %.4g mm is more than the bore's diameter: check the unit of dx and dy.", d)
	}
	if err := t.uncertainty(r); err != nil {
		return err
	}
	if r.WidthMM, _, err = t.length("width"); err != nil {
		return err
	}
	if r.WidthUMM, _, err = t.length("width_u"); err != nil {
		return err
	}
	if px, err := t.number("px_per_mm"); err != nil {
		return err
	} else if !math.IsNaN(px) {
		r.Camera.PxPerMM = px
	}
	r.Verdict, r.PWithin = model.JudgePhoto(r.Mismatch, r.Cov, r.Job.ToleranceMM, r.Job.Zone)
	r.Correction = model.Correct(r.Mismatch, r.Job.Flip)
	if v := t.cells["verdict"]; v != "" && v != string(r.Verdict) {
		r.Warnings = append(r.Warnings, fmt.Sprintf("The table said %q; from its figures the verdict is %q.", v, r.Verdict))
	}
	return nil
}

func (t *table) uncertainty(r *model.Reading) error {
	var c [3]float64
	for i, name := range []string{"cov_xx_mm2", "cov_xy_mm2", "cov_yy_mm2"} {
		var err error
		if c[i], err = t.number(name); err != nil {
			return err
		}
	}
	u95, ok, err := t.length("u95")
	if err != nil {
		return err
	}
	if ok && u95 <= 0 {
		return refuse("The uncertainty u95 must be more than zero.")
	}
	switch r.Cov = (model.Sym2{XX: c[0], XY: c[1], YY: c[2]}); {
	case !math.IsNaN(c[0] + c[1] + c[2]):
		if !(r.Cov.XX > 0) || !(r.Cov.YY > 0) || r.Cov.Det() < 0 {
			return refuse("The three cov figures are not a covariance: check them and their unit, mm².")
		}
		r.U95MM = model.U95(r.Cov)
		if ok {
			r.U95MM = u95 // may rest on few degrees of freedom
		}
	case ok:
		sigma := u95 / model.CoverageFactor(0)
		r.Cov, r.U95MM = model.Sym2{XX: sigma * sigma, YY: sigma * sigma}, u95
		r.Warnings = append(r.Warnings, "The table gives one uncertainty for all directions.")
	default:
		return refuse("The uncertainty is missing: no figure is kept without one.")
	}
	return nil
}

func parseTime(s string) (time.Time, error) {
	for _, layout := range []string{time.RFC3339Nano, "2006-01-02T15:04:05", "2006-01-02 15:04:05", "2006-01-02 15:04", "2006-01-02"} {
		if t, err := time.Parse(layout, s); err == nil && t.Year() > 1900 {
			return t, nil
		}
	}
	return time.Time{}, refuse("Its date made_at, %.40q, cannot be read: write it as 2031-03-14 or 2031-03-14T09:26:53Z.", s)
}
