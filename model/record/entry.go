package record

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"evenrim/model"
)

// ID numbers the readings of one data folder in the order of keeping, from 1.
type ID int64

// Source is where a kept reading came from.
type Source string

const (
	FromPhoto Source = "photo" // read from a photo that is kept with it
	FromTable Source = "table" // taken over from a table: figures without evidence
)

// Labels are what a shop writes about a reading. They are added to it, never
// changed: see Store.Label.
type Labels struct {
	Part, Hole, Batch string
	HoleAt            *model.Vec // mm, where the hole is on the part; nil = not said
	TurnRad           *float64   // turn of the part in a turn set; nil = in none
	Note              string
	Operator, Machine string
	Tags              []string // without order or doubles
}

// clean returns l without needless white space, its tags sorted and without
// doubles.
func (l Labels) clean() Labels {
	for _, p := range []*string{&l.Part, &l.Hole, &l.Batch, &l.Note, &l.Operator, &l.Machine} {
		*p = strings.ToValidUTF8(strings.TrimSpace(*p), "\uFFFD")
	}
	var tags []string
	for _, t := range l.Tags {
		if t = strings.ToValidUTF8(strings.TrimSpace(t), "\uFFFD"); t != "" {
			tags = append(tags, t)
		}
	}
	slices.Sort(tags)
	l.Tags = slices.Compact(tags)
	return l
}

// LabelEntry is one of the Labels that a reading has had.
type LabelEntry struct {
	Labels
	At  time.Time
	Who string
}

// Correction says why a reading takes the place of another.
type Correction struct {
	Of       ID
	Who, Why string // both needed
}

// Entry is what the record says of a kept reading, without its evidence. A
// number that the reading doesn't have is NaN.
type Entry struct {
	ID     ID
	Key    string // SHA-256 of the reading's document: the same in every record
	Source Source
	// OriginKey is the Key a FromTable reading had in the record its table was
	// written from; "" when it came from elsewhere.
	OriginKey         string
	KeptAt, MadeAt    time.Time
	Version           string // of the program that made the reading
	PhotoName         string
	PhotoSHA256       string // "" without a photo
	Job               string
	BoreMM            float64
	ToleranceMM       float64
	Mismatch          model.Vec
	Cov               model.Sym2
	U95MM             float64
	WidthMM, WidthUMM float64
	PxPerMM           float64
	Verdict           model.Verdict
	PWithin           float64

	Labels // the last
	// Replaces is the reading this one corrects (0 = none), by Who because of
	// Why; ReplacedBy is the one that corrects this (0 = none).
	Replaces, ReplacedBy ID
	Who, Why             string
	// First is the reading that this one corrects in the end, by way of others; its own
	// ID when it corrects none. It tells where the part stands in the order of making.
	First ID
}

// entryColumns go with scanEntry.
const entryColumns = `r.seq, r.key, r.source, coalesce(r.origin_key, ''), r.kept_at, r.made_at, r.version, r.photo_name,
	coalesce(r.photo_sha256, ''), r.job, r.bore_mm, r.tolerance_mm, r.dx_mm, r.dy_mm, r.cov_xx_mm2, r.cov_xy_mm2, r.cov_yy_mm2,
	r.u95_mm, r.width_mm, r.width_u_mm, r.px_per_mm, r.verdict, r.p_within,
	coalesce(r.replaces, 0), coalesce(f.replaced_by, 0), coalesce(r.who, ''), coalesce(r.why, ''),
	l.part, l.hole, l.batch, l.hole_x_mm, l.hole_y_mm, l.turn_rad, l.note, l.operator, l.machine, l.tags,
	CASE WHEN r.replaces IS NULL THEN r.seq ELSE
	  (WITH RECURSIVE way (at) AS (SELECT r.replaces UNION ALL SELECT o.replaces FROM way JOIN reading o ON o.seq = way.at WHERE o.replaces IS NOT NULL)
	   SELECT min(at) FROM way) END`

// entryTables joins what entryColumns names; f leads.
const entryTables = `finder f JOIN reading r ON r.seq = f.seq JOIN label l ON l.n = f.label`

type scanner interface{ Scan(...any) error }

func scanEntry(row scanner) (Entry, error) {
	var e Entry
	var kept, made int64
	var hx, hy, turn sql.NullFloat64
	var tags string
	n := nanScanner{}
	err := row.Scan(&e.ID, &e.Key, &e.Source, &e.OriginKey, &kept, &made, &e.Version, &e.PhotoName,
		&e.PhotoSHA256, &e.Job, n.into(&e.BoreMM), n.into(&e.ToleranceMM), n.into(&e.Mismatch.X), n.into(&e.Mismatch.Y),
		n.into(&e.Cov.XX), n.into(&e.Cov.XY), n.into(&e.Cov.YY),
		n.into(&e.U95MM), n.into(&e.WidthMM), n.into(&e.WidthUMM), n.into(&e.PxPerMM), &e.Verdict, n.into(&e.PWithin),
		&e.Replaces, &e.ReplacedBy, &e.Who, &e.Why,
		&e.Part, &e.Hole, &e.Batch, &hx, &hy, &turn, &e.Note, &e.Operator, &e.Machine, &tags, &e.First)
	if err != nil {
		return Entry{}, err
	}
	e.KeptAt, e.MadeAt = time.UnixMicro(kept).UTC(), time.UnixMicro(made).UTC()
	return e, e.setLabels(hx, hy, turn, tags)
}

func (l *Labels) setLabels(hx, hy, turn sql.NullFloat64, tags string) error {
	if hx.Valid && hy.Valid {
		l.HoleAt = &model.Vec{X: hx.Float64, Y: hy.Float64}
	}
	if turn.Valid {
		l.TurnRad = &turn.Float64
	}
	if err := json.Unmarshal([]byte(tags), &l.Tags); err != nil {
		return fmt.Errorf("tags: %w: %w", ErrDamaged, err)
	}
	if len(l.Tags) == 0 {
		l.Tags = nil
	}
	return nil
}

// nanScanner reads NULL as NaN, as SQLite writes NaN as NULL.
type nanScanner struct{}

func (nanScanner) into(f *float64) sql.Scanner { return (*nanFloat)(f) }

type nanFloat float64

func (f *nanFloat) Scan(v any) error {
	switch x := v.(type) {
	case nil:
		*f = nanFloat(math.NaN())
	case float64:
		*f = nanFloat(x)
	case int64:
		*f = nanFloat(x)
	default:
		return fmt.Errorf("%w: %T where a number belongs", ErrDamaged, v)
	}
	return nil
}

// number is f for a column: NULL unless it is finite.
func number(f float64) any {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return nil
	}
	return f
}
