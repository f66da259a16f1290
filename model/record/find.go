package record

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode"

	"evenrim/model"
)

// Query says which readings to find; the zero value finds all that haven't been
// corrected. All that is said must hold. Names are compared without regard to
// ASCII case.
type Query struct {
	From, To          time.Time // MadeAt in [From, To); zero = open
	Job, Part, Batch  string
	Operator, Machine string
	Tag               string
	Verdict           model.Verdict
	// Text is words that all must begin a word of job, part, hole, batch, note,
	// operator, machine, tags, photo name or reason of correction.
	Text string
	// WithReplaced also finds readings that a later one corrects.
	WithReplaced bool
	// Before finds older ones than this (for the next page); 0 = from the newest.
	Before ID
	Limit  int // 0 = 200
}

// defaultLimit is a page.
const defaultLimit = 200

// Find returns the entries that fit q, the last kept first.
func (s *Store) Find(ctx context.Context, q Query) ([]Entry, error) {
	out, err := s.find(ctx, q)
	return out, explain("search the record", s.dir, err)
}

func (s *Store) find(ctx context.Context, q Query) ([]Entry, error) {
	from, args, ok, err := s.plan(ctx, q)
	if err != nil || !ok {
		return nil, err
	}
	limit := q.Limit
	if limit <= 0 {
		limit = defaultLimit
	}
	rows, err := s.read.QueryContext(ctx, `SELECT `+entryColumns+` FROM `+from.tables+` JOIN reading r ON r.seq = f.seq JOIN label l ON l.n = f.label
		WHERE `+from.where+` ORDER BY `+from.order+` DESC LIMIT ?`, append(args, limit)...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []Entry
	for rows.Next() {
		e, err := scanEntry(rows)
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, rows.Err()
}

// Count returns how many readings fit q, whatever its Before and Limit.
func (s *Store) Count(ctx context.Context, q Query) (n int, err error) {
	q.Before = 0
	from, args, ok, err := s.plan(ctx, q)
	if err == nil && ok {
		err = s.read.QueryRowContext(ctx, `SELECT count(*) FROM `+from.tables+` WHERE `+from.where, args...).Scan(&n)
	}
	return n, explain("count readings", s.dir, err)
}

// Last returns the n readings kept last, corrected ones left out, the newest
// first.
func (s *Store) Last(ctx context.Context, n int) ([]Entry, error) {
	if n <= 0 {
		return nil, nil
	}
	return s.Find(ctx, Query{Limit: n})
}

// Value is a name in use and how many readings carry it.
type Value struct {
	Name  string
	Count int
}

// Field is a label that readings can be grouped by.
type Field string

const (
	JobField      Field = "job"
	PartField     Field = "part"
	BatchField    Field = "batch"
	OperatorField Field = "operator"
	MachineField  Field = "machine"
	VerdictField  Field = "verdict"
)

// Values returns the names in use for f, sorted, readings that were corrected
// left out.
func (s *Store) Values(ctx context.Context, f Field) ([]Value, error) {
	switch f {
	case JobField, PartField, BatchField, OperatorField, MachineField, VerdictField:
	default:
		panic("record: no field " + string(f))
	}
	out, err := s.values(ctx, `SELECT `+string(f)+`, count(*) FROM finder WHERE `+string(f)+` <> '' AND replaced_by IS NULL GROUP BY 1 ORDER BY 1`)
	return out, explain("list the names in use", s.dir, err)
}

// values runs a query for names and how often each stands.
func (s *Store) values(ctx context.Context, query string) (out []Value, err error) {
	rows, err := s.read.QueryContext(ctx, query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var v Value
		if err := rows.Scan(&v.Name, &v.Count); err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, rows.Err()
}

// walk is the FROM, WHERE and ORDER BY of a search.
type walk struct{ tables, where, order string }

// plan writes the search. ok is false when nothing can fit. Which index to walk is
// chosen here rather than by SQLite, which without statistics may walk a
// verdict's index for a batch of three: a single name has its own index; several,
// or a name and words, meet in the full-text index.
func (s *Store) plan(ctx context.Context, q Query) (w walk, args []any, ok bool, err error) {
	w = walk{tables: "finder f", order: "f.seq"}
	var where []string
	add := func(cond string, a ...any) { where, args = append(where, cond), append(args, a...) }
	text := matchExpression(q.Text)
	if strings.TrimSpace(q.Text) != "" && text == "" {
		return w, nil, false, nil // nothing but punctuation, which no word begins with
	}
	names := q.names()
	switch {
	case text != "" || len(names) > 1:
		w.tables, w.order = "words w CROSS JOIN finder f ON f.seq = w.rowid", "w.rowid"
		var match []string
		if text != "" {
			match = append(match, "{text} : ("+text+")")
		}
		for _, n := range names {
			match = append(match, "{keys} : "+n.key())
		}
		add("w.words MATCH ?", strings.Join(match, " AND "))
	case len(names) == 1 && names[0].field == tagField:
		w.tables, w.order = "tagged t CROSS JOIN finder f ON f.seq = t.seq", "t.seq"
		add("t.tag = ?", q.Tag)
	case len(names) == 1:
		add("f."+names[0].field+" = ?", names[0].value)
	}
	if !q.WithReplaced {
		add("f.replaced_by IS NULL")
	}
	lo, hi, ok, err := s.bounds(ctx, q)
	if err != nil || !ok {
		return w, nil, false, err
	}
	if !q.From.IsZero() { // the + keeps SQLite from walking by date
		add("+f.made_at >= ?", q.From.UnixMicro())
	}
	if !q.To.IsZero() {
		add("+f.made_at < ?", q.To.UnixMicro())
	}
	add(w.order+" BETWEEN ? AND ?", lo, hi)
	w.where = strings.Join(where, " AND ")
	return w, args, true, nil
}

const tagField = "tag"

// name is a field that must have a value.
type name struct{ field, value string }

func (q Query) names() (out []name) {
	for _, n := range []name{{"part", q.Part}, {"batch", q.Batch}, {tagField, q.Tag}, {"job", q.Job}, {"operator", q.Operator}, {"machine", q.Machine}, {"verdict", string(q.Verdict)}} {
		if n.value != "" {
			out = append(out, n)
		}
	}
	return out
}

// key is the word that stands for n in the full-text index: see the view wording.
func (n name) key() string {
	folded := strings.Map(func(r rune) rune { // ASCII only, as SQLite's NOCASE and lower do
		if r >= 'A' && r <= 'Z' {
			r += 'a' - 'A'
		}
		return r
	}, text(n.value))
	return fmt.Sprintf(`"ϙ%s%X"`, n.field, folded)
}

// bounds returns the IDs between which all readings of q's dates lie. Dates
// mostly follow the order of keeping, so this narrows the walk.
func (s *Store) bounds(ctx context.Context, q Query) (lo, hi int64, ok bool, err error) {
	lo, hi = 1, 1<<62
	if !q.From.IsZero() || !q.To.IsZero() {
		from, to := int64(-1<<62), int64(1<<62)
		if !q.From.IsZero() {
			from = q.From.UnixMicro()
		}
		if !q.To.IsZero() {
			to = q.To.UnixMicro()
		}
		var a, b sql.NullInt64
		err := s.read.QueryRowContext(ctx, `SELECT min(seq), max(seq) FROM finder INDEXED BY finder_made_at WHERE made_at >= ? AND made_at < ?`, from, to).Scan(&a, &b)
		if errors.Is(err, sql.ErrNoRows) || err == nil && !a.Valid {
			return 0, 0, false, nil
		}
		if err != nil {
			return 0, 0, false, err
		}
		lo, hi = a.Int64, b.Int64
	}
	if q.Before > 0 {
		hi = min(hi, int64(q.Before)-1)
	}
	return lo, hi, lo <= hi, nil
}

// matchExpression turns what a person typed into an FTS5 expression: each word
// must begin a word of the text. It is "" when s has no letter or digit.
func matchExpression(s string) string {
	// The same cut as FTS5's unicode61 makes: letters and digits, and what
	// combines with them, are words, all else parts them.
	words := strings.FieldsFunc(s, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsNumber(r) && !unicode.IsMark(r) && !unicode.Is(unicode.Co, r)
	})
	for i, w := range words {
		words[i] = `"` + w + `"*`
	}
	return strings.Join(words, " ")
}
