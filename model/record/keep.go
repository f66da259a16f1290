package record

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"evenrim/model"
)

// Keep adds r and its photo (the bytes of the file that was read) with the
// labels l. It returns after both are on the disk. A reading that is already
// there is not doubled: its ID is returned, and l is left out.
//
// Errors are a *Problem: ErrRefused (no reading, or the photo isn't the one of
// r.Photo.SHA256), ErrDiskFull, ErrReadOnly, ErrBusy; nothing of r is then to be
// found in the record.
func (s *Store) Keep(ctx context.Context, r *model.Reading, photo []byte, l Labels) (ID, error) {
	id, _, err := s.keepPhoto(ctx, r, photo, func(*sql.Tx, []byte) (Labels, *Correction, error) { return l, nil, nil })
	return id, err
}

// Correct adds r in place of the reading c.Of, which stays as it is and is shown
// as corrected. It returns the errors of Keep, and ErrRefused when c.Of has been
// corrected already or c doesn't say who and why, ErrNotFound without c.Of.
func (s *Store) Correct(ctx context.Context, r *model.Reading, photo []byte, l Labels, c Correction) (ID, error) {
	c.Who, c.Why = strings.TrimSpace(c.Who), strings.TrimSpace(c.Why)
	if c.Who == "" || c.Why == "" {
		return 0, refuse("A correction needs a name and a reason: say who corrects the reading and why.")
	}
	id, _, err := s.keepPhoto(ctx, r, photo, func(*sql.Tx, []byte) (Labels, *Correction, error) { return l, &c, nil })
	return id, err
}

// keepPhoto keeps r under the labels, and in the place of the reading, that as says once
// nobody else can write; of is that reading, 0 = none.
func (s *Store) keepPhoto(ctx context.Context, r *model.Reading, photo []byte, as func(tx *sql.Tx, doc []byte) (Labels, *Correction, error)) (id, of ID, err error) {
	id, err = func() (ID, error) {
		if r == nil {
			return 0, refuse("There is no reading to keep.")
		}
		if s.write == nil {
			return 0, s.change(ctx, nil)
		}
		if got := HashPhoto(photo); got != r.Photo.SHA256 {
			return 0, refuse("The photo of %q is not the one the reading was made from (SHA-256 %.12s..., not %.12s...): read it again.", r.Photo.Name, got, r.Photo.SHA256)
		}
		doc, err := encodeReading(r)
		if err != nil {
			return 0, err
		}
		if _, err := s.putPhoto(r.Photo.SHA256, photoReader(photo)); err != nil {
			return 0, err
		}
		var id ID
		err = s.change(ctx, func(tx *sql.Tx) error {
			l, c, err := as(tx, doc)
			if err != nil {
				return err
			}
			if c != nil {
				of = c.Of
			}
			id, _, err = s.insert(ctx, tx, incoming{reading: r, doc: doc, source: FromPhoto, photoBytes: int64(len(photo)), labels: []LabelEntry{{Labels: l}}, correction: c})
			return err
		})
		return id, err
	}()
	if err != nil {
		return 0, 0, explain("keep the reading", s.dir, err)
	}
	return id, of, nil
}

// incoming is a reading on its way into the database, its photo being whole on
// the disk already.
type incoming struct {
	reading    *model.Reading
	doc        []byte
	source     Source
	originKey  string
	photoBytes int64
	labels     []LabelEntry // at least one; a zero time is now
	correction *Correction
}

func keyOf(doc []byte) string {
	sum := sha256.Sum256(doc)
	return hex.EncodeToString(sum[:])
}

// insert adds in, unless its document is there already; added tells which.
func (s *Store) insert(ctx context.Context, tx *sql.Tx, in incoming) (id ID, added bool, err error) {
	r, key, now := in.reading, keyOf(in.doc), s.now()
	switch err := tx.QueryRowContext(ctx, `SELECT seq FROM reading WHERE key = ?`, key).Scan(&id); {
	case err == nil && in.correction != nil:
		return 0, false, refuse("That reading is in the record already, as reading %d: a correction must be a reading of its own.", id)
	case err == nil:
		return id, false, nil
	case !errors.Is(err, sql.ErrNoRows):
		return 0, false, err
	}
	if err := tx.QueryRowContext(ctx, `SELECT coalesce(max(seq), 0) + 1 FROM reading`).Scan(&id); err != nil {
		return 0, false, err
	}
	var sha, origin, replaces, who, why any
	if in.source == FromPhoto {
		sha = r.Photo.SHA256
		_, err := tx.ExecContext(ctx, `INSERT INTO photo (sha256, bytes, kept_at) VALUES (?, ?, ?) ON CONFLICT DO NOTHING`, sha, in.photoBytes, now.UnixMicro())
		if err != nil {
			return 0, false, err
		}
	}
	if in.originKey != "" {
		origin = in.originKey
	}
	if c := in.correction; c != nil {
		if err := mayReplace(ctx, tx, c.Of); err != nil {
			return 0, false, err
		}
		replaces, who, why = c.Of, c.Who, c.Why
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO reading (seq, key, source, origin_key, kept_at, made_at, version, photo_name, photo_sha256, job,
		bore_mm, tolerance_mm, dx_mm, dy_mm, cov_xx_mm2, cov_xy_mm2, cov_yy_mm2, u95_mm, width_mm, width_u_mm, px_per_mm,
		verdict, p_within, replaces, who, why) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)`,
		id, key, in.source, origin, now.UnixMicro(), r.MadeAt.UnixMicro(), text(r.Version), text(r.Photo.Name), sha, text(r.Job.Name),
		number(r.Job.BoreMM), number(r.Job.ToleranceMM), number(r.Mismatch.X), number(r.Mismatch.Y),
		number(r.Cov.XX), number(r.Cov.XY), number(r.Cov.YY), number(r.U95MM), number(r.WidthMM), number(r.WidthUMM), number(r.Camera.PxPerMM),
		text(string(r.Verdict)), number(r.PWithin), replaces, who, why)
	if err != nil {
		return 0, false, err
	}
	body, err := squeeze(in.doc)
	if err != nil {
		return 0, false, err
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO document (seq, format, body) VALUES (?, ?, ?)`, id, DocumentFormat, body); err != nil {
		return 0, false, err
	}
	for _, l := range in.labels {
		if l.At.IsZero() {
			l.At = now
		}
		if err := insertLabel(ctx, tx, id, l); err != nil {
			return 0, false, err
		}
	}
	return id, true, nil
}

// text is a string as a column can hold it; the document has it byte for byte.
func text(s string) string {
	return strings.ReplaceAll(strings.ToValidUTF8(s, "\uFFFD"), "\x00", "\uFFFD")
}

func mayReplace(ctx context.Context, tx *sql.Tx, old ID) error {
	var by sql.NullInt64
	err := tx.QueryRowContext(ctx, `SELECT replaced_by FROM finder WHERE seq = ?`, old).Scan(&by)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return problem(ErrNotFound, nil, "There is no reading %d to correct.", old)
	case err != nil:
		return err
	case by.Valid:
		return refuse("Reading %d has been corrected already, by reading %d: correct that one.", old, by.Int64)
	}
	return nil
}

// Label adds l to the labels of reading id, written by who; they count from now
// on, and the ones before stay in its History.
func (s *Store) Label(ctx context.Context, id ID, who string, l Labels) error {
	return explain("label the reading", s.dir, s.change(ctx, func(tx *sql.Tx) error {
		var n int
		if err := tx.QueryRowContext(ctx, `SELECT count(*) FROM reading WHERE seq = ?`, id).Scan(&n); err != nil {
			return err
		}
		if n == 0 {
			return problem(ErrNotFound, nil, "There is no reading %d to label.", id)
		}
		return insertLabel(ctx, tx, id, LabelEntry{Labels: l, At: s.now(), Who: who})
	}))
}

func insertLabel(ctx context.Context, tx *sql.Tx, id ID, e LabelEntry) error {
	l := e.Labels.clean()
	tags, err := json.Marshal(append([]string{}, l.Tags...)) // [] rather than null
	if err != nil {
		return err
	}
	var hx, hy, turn any
	if l.HoleAt != nil {
		hx, hy = number(l.HoleAt.X), number(l.HoleAt.Y)
	}
	if l.TurnRad != nil {
		turn = number(*l.TurnRad)
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO label (seq, at, who, part, hole, batch, hole_x_mm, hole_y_mm, turn_rad, note, operator, machine, tags)
		VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?)`, id, e.At.UnixMicro(), text(strings.TrimSpace(e.Who)), text(l.Part), text(l.Hole), text(l.Batch), hx, hy, turn,
		text(l.Note), text(l.Operator), text(l.Machine), string(tags))
	return err
}

// Get returns the reading id exactly as it was kept, and what the record says of
// it. Errors: ErrNotFound, ErrDamaged, ErrNewer.
func (s *Store) Get(ctx context.Context, id ID) (*model.Reading, Entry, error) {
	r, e, err := s.get(ctx, id)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, Entry{}, problem(ErrNotFound, nil, "There is no reading %d in %s.", id, s.dir)
	}
	if errors.Is(err, ErrNewer) {
		return nil, Entry{}, problem(ErrNewer, err, "Reading %d was made by a newer version of Evenrim: install that one to open it.", id)
	}
	if errors.Is(err, ErrDamaged) {
		return nil, Entry{}, problem(ErrDamaged, err, "Reading %d in %s is damaged: run \"evenrim records check\", and restore the last backup into a new folder.", id, s.dir)
	}
	return r, e, explain("open the reading", s.dir, err)
}

func (s *Store) get(ctx context.Context, id ID) (*model.Reading, Entry, error) {
	e, err := scanEntry(s.read.QueryRowContext(ctx, `SELECT `+entryColumns+` FROM `+entryTables+` WHERE f.seq = ?`, id))
	if err != nil {
		return nil, Entry{}, err
	}
	doc, err := s.document(ctx, id, e.Key)
	if err != nil {
		return nil, Entry{}, err
	}
	r, err := decodeReading(doc)
	return r, e, err
}

// document returns the JSON document of reading id after comparing its hash with
// key.
func (s *Store) document(ctx context.Context, id ID, key string) ([]byte, error) {
	var body []byte
	if err := s.read.QueryRowContext(ctx, `SELECT body FROM document WHERE seq = ?`, id).Scan(&body); err != nil {
		return nil, err
	}
	return openDocument(id, key, body)
}

// openDocument is document for the body that the database has.
func openDocument(id ID, key string, body []byte) ([]byte, error) {
	doc, err := unsqueeze(body)
	if err != nil {
		return nil, fmt.Errorf("record: document %d: %w: %w", id, ErrDamaged, err)
	}
	if keyOf(doc) != key {
		return nil, fmt.Errorf("record: document %d does not match its key: %w", id, ErrDamaged)
	}
	return doc, nil
}

// History returns all labels that reading id has had, the oldest first.
func (s *Store) History(ctx context.Context, id ID) ([]LabelEntry, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT at, who, part, hole, batch, hole_x_mm, hole_y_mm, turn_rad, note, operator, machine, tags
		FROM label WHERE seq = ? ORDER BY n`, id)
	if err != nil {
		return nil, explain("read the labels", s.dir, err)
	}
	defer rows.Close()
	var out []LabelEntry
	for rows.Next() {
		var e LabelEntry
		var at int64
		var hx, hy, turn sql.NullFloat64
		var tags string
		err := rows.Scan(&at, &e.Who, &e.Part, &e.Hole, &e.Batch, &hx, &hy, &turn, &e.Note, &e.Operator, &e.Machine, &tags)
		if err == nil {
			err = e.setLabels(hx, hy, turn, tags)
		}
		if err != nil {
			return nil, explain("read the labels", s.dir, err)
		}
		e.At = time.UnixMicro(at).UTC()
		out = append(out, e)
	}
	return out, explain("read the labels", s.dir, rows.Err())
}

// maxDocument bounds a document: some hundred times a large reading's.
const maxDocument = 256 << 20

func squeeze(doc []byte) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestSpeed)
	if err != nil {
		return nil, err
	}
	if _, err := z.Write(doc); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func unsqueeze(body []byte) ([]byte, error) {
	z, err := gzip.NewReader(bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	doc, err := io.ReadAll(io.LimitReader(z, maxDocument+1))
	if err == nil && len(doc) > maxDocument {
		err = errors.New("document too large")
	}
	return doc, err
}
