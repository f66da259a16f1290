package record

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"time"

	"evenrim/model"
)

// SetID numbers the turn sets of one data folder in the order of keeping, from 1.
type SetID int64

// SetEntry is what the record says of a kept turn set, without its evidence. A number
// that the set doesn't have is NaN.
type SetEntry struct {
	ID             SetID
	Key            string // SHA-256 of the set's document: the same in every record
	KeptAt, MadeAt time.Time
	Version        string // of the program that joined it
	Job            string
	Mismatch       model.Vec
	Cov            model.Sym2
	U95MM          float64
	Verdict        model.Verdict
	PWithin        float64
	Members        []ID // the readings it was joined from, in the order of the turn
	// Photo, Part and Hole are those of its first reading, by their last labels.
	Photo, Part, Hole string
	// Outdated says that a reading of the set has been corrected since.
	Outdated bool
}

// setDocument is what a turn set is stored as; see encodeReading.
type setDocument struct {
	Members []string // keys of the readings, in the order of the turn
	Joined  model.Joined
}

const setKind = "turn_set"

// KeepTurnSet adds what the kept readings members say together, in the order of the
// turn. It returns after it is on the disk. A set that is already there is not doubled.
//
// Errors are a *Problem: ErrRefused (members don't fit j), ErrNotFound (a member is not
// in the record), ErrDiskFull, ErrReadOnly, ErrBusy.
func (s *Store) KeepTurnSet(ctx context.Context, j *model.Joined, members []ID) (SetID, error) {
	id, err := func() (SetID, error) {
		if j == nil || len(members) < 2 || len(members) != len(j.Set.Turns) {
			return 0, refuse("A turn set is kept with the two or more readings it was joined from.")
		}
		doc := setDocument{Joined: *j}
		for _, m := range members {
			var key string
			err := s.read.QueryRowContext(ctx, `SELECT key FROM reading WHERE seq = ?`, m).Scan(&key)
			if errors.Is(err, sql.ErrNoRows) {
				return 0, problem(ErrNotFound, nil, "There is no reading %d: keep the photos' readings before their turn set.", m)
			}
			if err != nil {
				return 0, err
			}
			if slices.Contains(doc.Members, key) {
				return 0, refuse("Reading %d is in the turn set twice.", m)
			}
			doc.Members = append(doc.Members, key)
		}
		body, err := encodeDocument(setKind, &doc)
		if err != nil {
			return 0, err
		}
		var id SetID
		err = s.change(ctx, func(tx *sql.Tx) error {
			id, _, err = s.insertSet(ctx, tx, body, j, members)
			return err
		})
		return id, err
	}()
	if err != nil {
		return 0, explain("keep the turn set", s.dir, err)
	}
	return id, nil
}

// insertSet adds a set, unless its document is there already; added tells which.
func (s *Store) insertSet(ctx context.Context, tx *sql.Tx, doc []byte, j *model.Joined, members []ID) (id SetID, added bool, err error) {
	key := keyOf(doc)
	switch err := tx.QueryRowContext(ctx, `SELECT n FROM turn_set WHERE key = ?`, key).Scan(&id); {
	case err == nil:
		return id, false, nil
	case !errors.Is(err, sql.ErrNoRows):
		return 0, false, err
	}
	body, err := squeeze(doc)
	if err != nil {
		return 0, false, err
	}
	if err := tx.QueryRowContext(ctx, `SELECT coalesce(max(n), 0) + 1 FROM turn_set`).Scan(&id); err != nil {
		return 0, false, err
	}
	t := j.Set
	_, err = tx.ExecContext(ctx, `INSERT INTO turn_set (n, key, kept_at, made_at, version, job, dx_mm, dy_mm, cov_xx_mm2, cov_xy_mm2, cov_yy_mm2,
		u95_mm, verdict, p_within, format, body) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)`,
		id, key, s.now().UnixMicro(), j.MadeAt.UnixMicro(), text(j.Version), text(j.Job.Name), number(t.Mismatch.X), number(t.Mismatch.Y),
		number(t.Cov.XX), number(t.Cov.XY), number(t.Cov.YY), number(t.U95MM), text(string(j.Verdict)), number(j.PWithin), DocumentFormat, body)
	if err != nil {
		return 0, false, err
	}
	for i, m := range members {
		if _, err := tx.ExecContext(ctx, `INSERT INTO turn_member (n, place, seq) VALUES (?, ?, ?)`, id, i+1, m); err != nil {
			return 0, false, err
		}
	}
	return id, true, nil
}

// TurnSets returns the sets kept last, the newest first; limit 0 = all.
func (s *Store) TurnSets(ctx context.Context, limit int) ([]SetEntry, error) {
	if limit <= 0 {
		limit = -1
	}
	out, err := s.setEntries(ctx, `ORDER BY t.n DESC LIMIT ?`, limit)
	return out, explain("list the turn sets", s.dir, err)
}

// TurnSet returns the set id exactly as it was kept, and what the record says of it.
// Errors: ErrNotFound, ErrDamaged, ErrNewer.
func (s *Store) TurnSet(ctx context.Context, id SetID) (*model.Joined, SetEntry, error) {
	j, e, err := s.turnSet(ctx, id)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		err = problem(ErrNotFound, nil, "There is no turn set T%d in %s.", id, s.dir)
	case errors.Is(err, ErrNewer):
		err = problem(ErrNewer, err, "Turn set T%d was made by a newer version of Evenrim: install that one to open it.", id)
	case errors.Is(err, ErrDamaged):
		err = problem(ErrDamaged, err, "Turn set T%d in %s is damaged: run \"evenrim records check\", and restore the last backup into a new folder.", id, s.dir)
	}
	if err != nil {
		return nil, SetEntry{}, explain("open the turn set", s.dir, err)
	}
	return j, e, nil
}

func (s *Store) turnSet(ctx context.Context, id SetID) (*model.Joined, SetEntry, error) {
	list, err := s.setEntries(ctx, `WHERE t.n = ?`, id)
	if err != nil {
		return nil, SetEntry{}, err
	}
	if len(list) == 0 {
		return nil, SetEntry{}, sql.ErrNoRows
	}
	doc, err := s.setBytes(ctx, list[0])
	if err != nil {
		return nil, SetEntry{}, err
	}
	var d setDocument
	if err := decodeDocument(doc, setKind, &d); err != nil {
		return nil, SetEntry{}, err
	}
	return &d.Joined, list[0], nil
}

// setBytes is a set's document after comparing its hash with the set's key.
func (s *Store) setBytes(ctx context.Context, e SetEntry) ([]byte, error) {
	var body []byte
	if err := s.read.QueryRowContext(ctx, `SELECT body FROM turn_set WHERE n = ?`, e.ID).Scan(&body); err != nil {
		return nil, err
	}
	doc, err := unsqueeze(body)
	if err != nil {
		return nil, fmt.Errorf("record: turn set %d: %w: %w", e.ID, ErrDamaged, err)
	}
	if keyOf(doc) != e.Key {
		return nil, fmt.Errorf("record: turn set %d does not match its key: %w", e.ID, ErrDamaged)
	}
	return doc, nil
}

func (s *Store) setEntries(ctx context.Context, rest string, args ...any) ([]SetEntry, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT t.n, t.key, t.kept_at, t.made_at, t.version, t.job, t.dx_mm, t.dy_mm,
		t.cov_xx_mm2, t.cov_xy_mm2, t.cov_yy_mm2, t.u95_mm, t.verdict, t.p_within, r.photo_name, l.part, l.hole,
		EXISTS (SELECT 1 FROM turn_member o JOIN finder g ON g.seq = o.seq WHERE o.n = t.n AND g.replaced_by IS NOT NULL)
		FROM turn_set t JOIN turn_member m ON m.n = t.n AND m.place = 1 JOIN reading r ON r.seq = m.seq
		JOIN finder f ON f.seq = m.seq JOIN label l ON l.n = f.label `+rest, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []SetEntry
	n := nanScanner{}
	for rows.Next() {
		var e SetEntry
		var kept, made int64
		if err := rows.Scan(&e.ID, &e.Key, &kept, &made, &e.Version, &e.Job, n.into(&e.Mismatch.X), n.into(&e.Mismatch.Y),
			n.into(&e.Cov.XX), n.into(&e.Cov.XY), n.into(&e.Cov.YY), n.into(&e.U95MM), &e.Verdict, n.into(&e.PWithin),
			&e.Photo, &e.Part, &e.Hole, &e.Outdated); err != nil {
			return nil, err
		}
		e.KeptAt, e.MadeAt = time.UnixMicro(kept).UTC(), time.UnixMicro(made).UTC()
		out = append(out, e)
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	for i := range out {
		if out[i].Members, err = s.membersOf(ctx, out[i].ID); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (s *Store) membersOf(ctx context.Context, id SetID) ([]ID, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT seq FROM turn_member WHERE n = ? ORDER BY place`, id)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []ID
	for rows.Next() {
		var m ID
		if err := rows.Scan(&m); err != nil {
			return nil, err
		}
		out = append(out, m)
	}
	return out, rows.Err()
}
