package record

import (
	"archive/zip"
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"time"

	"evenrim/model"
)

// exchangeFormat is the version of the exchange zip; see EXCHANGE.md.
const exchangeFormat = 1

const (
	exchangeKind = "evenrim-readings"
	exchangeName = "exchange.json"
	linesName    = "readings.jsonl"
)

// exchangeHead is the exchange zip's first file.
type exchangeHead struct {
	Format   int       `json:"format"`
	Kind     string    `json:"kind"`
	MadeAt   time.Time `json:"made_at"`
	Readings int       `json:"readings"`
}

// exchangeLine is one reading: a line of readings.jsonl.
type exchangeLine struct {
	Key       string          `json:"key"`
	Source    Source          `json:"source"`
	OriginKey string          `json:"origin_key,omitempty"`
	KeptAt    time.Time       `json:"kept_at"`
	Replaces  string          `json:"replaces,omitempty"` // a key
	Who       string          `json:"who,omitempty"`
	Why       string          `json:"why,omitempty"`
	Labels    []exchangeLabel `json:"labels"` // oldest first
	Document  json.RawMessage `json:"document"`
}

type exchangeLabel struct {
	At       time.Time `json:"at"`
	Who      string    `json:"who,omitempty"`
	Part     string    `json:"part,omitempty"`
	Hole     string    `json:"hole,omitempty"`
	HoleX    *float64  `json:"hole_x_mm,omitempty"`
	HoleY    *float64  `json:"hole_y_mm,omitempty"`
	Turn     *float64  `json:"turn_rad,omitempty"`
	Batch    string    `json:"batch,omitempty"`
	Note     string    `json:"note,omitempty"`
	Operator string    `json:"operator,omitempty"`
	Machine  string    `json:"machine,omitempty"`
	Tags     []string  `json:"tags,omitempty"`
}

// ExportZip writes the readings that fit q, the ones they correct, the turn sets made
// of them and all their photos to one new file that another record imports. It refuses to overwrite.
// It returns how many readings went out; a damaged or missing photo is an error.
func (s *Store) ExportZip(ctx context.Context, path string, q Query) (n int, err error) {
	err = writeNew(path, func(f *os.File) error { n, err = s.writeExchange(ctx, f, q); return err })
	return n, explain("export readings", path, err)
}

func (s *Store) writeExchange(ctx context.Context, to io.Writer, q Query) (int, error) {
	list, err := s.matching(ctx, q)
	if err != nil {
		return 0, err
	}
	if list, err = s.withCorrected(ctx, list); err != nil {
		return 0, err
	}
	z := newZip(to)
	head := exchangeHead{Format: exchangeFormat, Kind: exchangeKind, MadeAt: s.now().UTC(), Readings: len(list)}
	if err := z.addJSON(exchangeName, head); err != nil {
		return 0, err
	}
	w, err := z.CreateHeader(&zip.FileHeader{Name: linesName, Method: zip.Deflate})
	if err != nil {
		return 0, err
	}
	var photos []string
	keys := map[ID]string{}
	for _, id := range list {
		line, e, err := s.exchangeLine(ctx, id, keys)
		if err != nil {
			return 0, fmt.Errorf("reading %d: %w", id, err)
		}
		if e.PhotoSHA256 != "" {
			photos = append(photos, e.PhotoSHA256)
		}
		if _, err := w.Write(append(line, '\n')); err != nil {
			return 0, err
		}
	}
	if err := s.writeSets(ctx, z, list); err != nil {
		return 0, err
	}
	slices.Sort(photos)
	for _, sha := range slices.Compact(photos) {
		// Photo rather than the file: what is damaged must not go out.
		b, err := s.Photo(ctx, sha)
		if err != nil {
			return 0, err
		}
		w, err := z.CreateHeader(&zip.FileHeader{Name: photoEntry(sha), Method: zip.Store})
		if err == nil {
			_, err = w.Write(b)
		}
		if err != nil {
			return 0, err
		}
	}
	return len(list), z.Close()
}

func (s *Store) exchangeLine(ctx context.Context, id ID, keys map[ID]string) ([]byte, Entry, error) {
	e, err := scanEntry(s.read.QueryRowContext(ctx, `SELECT `+entryColumns+` FROM `+entryTables+` WHERE f.seq = ?`, id))
	if err != nil {
		return nil, Entry{}, err
	}
	doc, err := s.document(ctx, id, e.Key)
	if err != nil {
		return nil, Entry{}, err
	}
	keys[id] = e.Key
	line := exchangeLine{Key: e.Key, Source: e.Source, OriginKey: e.OriginKey, KeptAt: e.KeptAt, Replaces: keys[e.Replaces], Who: e.Who, Why: e.Why, Document: doc}
	labels, err := s.History(ctx, id)
	if err != nil {
		return nil, Entry{}, err
	}
	for _, l := range labels {
		x := exchangeLabel{At: l.At, Who: l.Who, Part: l.Part, Hole: l.Hole, Turn: l.TurnRad, Batch: l.Batch, Note: l.Note, Operator: l.Operator, Machine: l.Machine, Tags: l.Tags}
		if l.HoleAt != nil {
			x.HoleX, x.HoleY = &l.HoleAt.X, &l.HoleAt.Y
		}
		line.Labels = append(line.Labels, x)
	}
	// The document's bytes go through unchanged: encodeReading writes what
	// Marshal makes of them. Its hash is compared when it comes in again.
	b, err := json.Marshal(line)
	return b, e, err
}

// matching returns the readings that fit q, the first kept first; all of them
// when q.Limit is 0.
func (s *Store) matching(ctx context.Context, q Query) ([]ID, error) {
	w, args, ok, err := s.plan(ctx, q)
	if err != nil || !ok {
		return nil, err
	}
	limit := q.Limit
	if limit <= 0 {
		limit = math.MaxInt64
	}
	rows, err := s.read.QueryContext(ctx, `SELECT f.seq FROM `+w.tables+` WHERE `+w.where+` ORDER BY `+w.order+` DESC LIMIT ?`, append(args, limit)...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []ID
	for rows.Next() {
		var id ID
		if err := rows.Scan(&id); err != nil {
			return nil, err
		}
		out = append(out, id)
	}
	slices.Reverse(out)
	return out, rows.Err()
}

// withCorrected adds the readings that those of list correct, all the way down.
func (s *Store) withCorrected(ctx context.Context, list []ID) ([]ID, error) {
	in := map[ID]bool{}
	for _, id := range list {
		in[id] = true
	}
	for _, id := range list {
		for {
			err := s.read.QueryRowContext(ctx, `SELECT coalesce(replaces, 0) FROM reading WHERE seq = ?`, id).Scan(&id)
			if err != nil {
				return nil, err
			}
			if id == 0 || in[id] {
				break
			}
			in[id] = true
			list = append(list, id)
		}
	}
	slices.Sort(list)
	return list, nil
}

// ImportZip adds the readings of an exchange zip that aren't here yet, each with
// its photo, labels and place in a line of corrections. Every document and photo
// is compared with its hash. The error is about the file as a whole.
func (s *Store) ImportZip(ctx context.Context, path string) (ImportResult, error) {
	z, err := openZip(path)
	if err != nil {
		return ImportResult{}, explain("import readings", path, err)
	}
	defer z.Close()
	res, err := s.importZip(ctx, z)
	return res, explain("import readings", path, err)
}

func (s *Store) importZip(ctx context.Context, z *zipReader) (res ImportResult, err error) {
	if s.write == nil {
		return res, s.change(ctx, nil)
	}
	var head exchangeHead
	if err := z.readJSON(exchangeName, maxManifest, &head); err != nil || head.Kind != exchangeKind {
		if z.files[manifestName] != nil {
			return res, problem(ErrNotOurs, err, "%s is a backup of a whole record, not an export of readings: restore it into a new folder with evenrim records restore %s --data FOLDER.", z.path, z.path)
		}
		return res, problem(ErrNotOurs, err, "%s holds no readings of Evenrim.", z.path)
	}
	if head.Format > exchangeFormat {
		return res, problem(ErrNewer, nil, "%s was made by a newer version of Evenrim: install that one to import it.", z.path)
	}
	lines, err := z.open(linesName)
	if err != nil {
		return res, err
	}
	defer lines.Close()
	in := bufio.NewReaderSize(lines, 1<<20)
	rows := 0
	for row := 1; ; row++ {
		if err := ctx.Err(); err != nil {
			return res, err
		}
		line, err := readLine(in)
		if err != nil && err != io.EOF {
			return res, err
		}
		if len(bytes.TrimSpace(line)) > 0 {
			rows++
			if err := s.importLine(ctx, z, line, &res); err != nil {
				if stop := kindOf(err); stop == ErrDiskFull || stop == ErrReadOnly || stop == ErrBusy || ctx.Err() != nil || z.left < 0 {
					return res, err
				}
				res.bad(row, err)
			}
		}
		if err == io.EOF {
			break
		}
	}
	if rows != head.Readings {
		res.Notes = append(res.Notes, fmt.Sprintf("The file says it holds %d readings, and holds %d.", head.Readings, rows))
	}
	return res, s.importSets(ctx, z, &res)
}

// readLine returns the next line; io.EOF comes with the last.
func readLine(in *bufio.Reader) ([]byte, error) {
	var line []byte
	for {
		part, err := in.ReadSlice('\n')
		if line = append(line, part...); len(line) > maxDocument {
			return nil, refuse("A line of the file is longer than any reading: it is not read.")
		}
		if err != bufio.ErrBufferFull {
			return line, err
		}
	}
}

func (s *Store) importLine(ctx context.Context, z *zipReader, data []byte, res *ImportResult) error {
	var line exchangeLine
	if err := json.Unmarshal(data, &line); err != nil {
		return problem(ErrDamaged, err, "It is not a reading in JSON.")
	}
	if keyOf(line.Document) != line.Key {
		return problem(ErrDamaged, nil, "The reading does not match its key: it was changed after it was exported.")
	}
	r, err := decodeReading(line.Document)
	if errors.Is(err, ErrNewer) {
		return problem(ErrNewer, err, "The reading was made by a newer version of Evenrim: install that one to import it.")
	}
	if err != nil {
		return problem(ErrDamaged, err, "The reading is damaged.")
	}
	in := incoming{reading: r, doc: line.Document, source: line.Source, originKey: line.OriginKey}
	for _, l := range line.Labels {
		x := LabelEntry{At: l.At, Who: l.Who, Labels: Labels{Part: l.Part, Hole: l.Hole, TurnRad: l.Turn, Batch: l.Batch, Note: l.Note, Operator: l.Operator, Machine: l.Machine, Tags: l.Tags}}
		if l.HoleX != nil && l.HoleY != nil {
			x.HoleAt = &model.Vec{X: *l.HoleX, Y: *l.HoleY}
		}
		in.labels = append(in.labels, x)
	}
	if len(in.labels) == 0 {
		in.labels = []LabelEntry{{}}
	}
	labels := in.labels[len(in.labels)-1].Labels
	if known, err := idOf(ctx, s.read, `key = ?`, line.Key); err != nil || known != 0 {
		if err == nil {
			err = s.countKnown(ctx, known, labels, res)
		}
		return err
	}
	switch line.Source {
	case FromTable:
	case FromPhoto:
		if !isHash(r.Photo.SHA256) {
			return problem(ErrDamaged, nil, "The reading names no photo.")
		}
		err := z.withPhoto(r.Photo.SHA256, func(p io.Reader) (err error) { in.photoBytes, err = s.putPhoto(r.Photo.SHA256, p); return err })
		if err != nil {
			return err
		}
	default:
		return problem(ErrDamaged, nil, "The reading does not say where it came from.")
	}
	var known ID
	err = s.change(ctx, func(tx *sql.Tx) (err error) {
		// Asked again: another program may have taken the same file in meanwhile.
		if known, err = idOf(ctx, tx, `key = ?`, line.Key); err != nil || known != 0 {
			return err
		}
		if in.correction, err = correctionOf(ctx, tx, line); err != nil {
			return err
		}
		_, _, err = s.insert(ctx, tx, in)
		return err
	})
	switch {
	case err != nil:
		return err
	case known != 0:
		return s.countKnown(ctx, known, labels, res)
	}
	res.Added++
	return nil
}

// correctionOf finds the reading here that line corrects: the one it names, or
// the bare figures of itself that came before by a table. Where there are both it is the
// one it names; the figures give way all the same (migration 4).
func correctionOf(ctx context.Context, from rower, line exchangeLine) (*Correction, error) {
	if line.Replaces != "" {
		old, err := idOf(ctx, from, `key = ?`, line.Replaces)
		if err == nil && old == 0 {
			err = refuse("It corrects a reading that is neither in the file nor here.")
		}
		if line.Who == "" || line.Why == "" {
			err = problem(ErrDamaged, nil, "It is a correction and does not say by whom or why.")
		}
		return &Correction{Of: old, Who: line.Who, Why: line.Why}, err
	}
	thin, err := idOf(ctx, from, `origin_key = ? AND NOT EXISTS (SELECT 1 FROM reading n WHERE n.replaces = reading.seq)`, line.Key)
	if err != nil || thin == 0 {
		return nil, err
	}
	return &Correction{Of: thin, Who: "import", Why: "the whole reading arrived after its figures"}, nil
}

// rower is a database or a transaction in it.
type rower interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// idOf returns the reading for which the condition holds, 0 for none.
func idOf(ctx context.Context, from rower, where, key string) (id ID, err error) {
	err = from.QueryRowContext(ctx, `SELECT seq FROM reading WHERE `+where, key).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, nil
	}
	return id, err
}

func (s *Store) countKnown(ctx context.Context, id ID, l Labels, res *ImportResult) error {
	res.Known++
	here, err := s.History(ctx, id)
	if err == nil && len(here) > 0 && !sameLabels(here[len(here)-1].Labels, l.clean()) {
		res.OtherLabels++
	}
	return err
}

func sameLabels(a, b Labels) bool {
	samePtr := func(p, q *float64) bool { return p == nil && q == nil || p != nil && q != nil && *p == *q }
	sameVec := func(p, q *model.Vec) bool { return p == nil && q == nil || p != nil && q != nil && *p == *q }
	return a.Part == b.Part && a.Hole == b.Hole && a.Batch == b.Batch && a.Note == b.Note && a.Operator == b.Operator && a.Machine == b.Machine &&
		slices.Equal(a.Tags, b.Tags) && sameVec(a.HoleAt, b.HoleAt) && samePtr(a.TurnRad, b.TurnRad)
}
