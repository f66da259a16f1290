package record

import (
	"context"
	"database/sql"

	"evenrim/model"
)

// WhyAgain is the reason of a correction that came of reading a photo again.
const WhyAgain = "the same photo, read again"

// KeepInPlace keeps r as Keep does. Where a reading of the same hole in the same picture
// is in the record already, that is the same part read again and no other part: r is then
// a Correction of it by who, and takes over from its labels what l leaves empty. of is the
// reading whose place r took, 0 = none.
//
// It returns the errors of Keep.
func (s *Store) KeepInPlace(ctx context.Context, r *model.Reading, photo []byte, l Labels, who string) (id, of ID, err error) {
	return s.keepPhoto(ctx, r, photo, func(tx *sql.Tx, doc []byte) (Labels, *Correction, error) {
		old, err := s.readBefore(ctx, tx, r, keyOf(doc))
		if err != nil || old == nil {
			return l, nil, err
		}
		return l.over(old.Labels), &Correction{Of: old.ID, Who: who, Why: WhyAgain}, nil
	})
}

// readBefore is the last reading of the hole that r is of, from the same picture; nil when
// there is none or r itself, by its key, is in the record.
func (s *Store) readBefore(ctx context.Context, tx *sql.Tx, r *model.Reading, key string) (*Entry, error) {
	rows, err := tx.QueryContext(ctx, `SELECT `+entryColumns+` FROM `+entryTables+` WHERE r.photo_sha256 = ? ORDER BY r.seq DESC`, r.Photo.SHA256)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var there []Entry
	for rows.Next() {
		e, err := scanEntry(rows)
		if err != nil {
			return nil, err
		}
		if e.Key == key {
			return nil, nil
		}
		if e.ReplacedBy == 0 {
			there = append(there, e)
		}
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	for i, e := range there {
		// One that can't be opened hinders nobody from keeping another.
		if o, _, err := s.get(ctx, e.ID); err == nil && r.SameHole(o) {
			return &there[i], nil
		}
	}
	return nil, nil
}

// OfPhoto returns the last reading kept of the picture whose file has this SHA-256, of
// whichever hole in it; id is 0 when there is none.
func (s *Store) OfPhoto(ctx context.Context, sha string) (id ID, err error) {
	err = s.read.QueryRowContext(ctx, `SELECT coalesce(max(r.seq), 0) FROM reading r JOIN finder f ON f.seq = r.seq
		WHERE r.photo_sha256 = ? AND f.replaced_by IS NULL`, sha).Scan(&id)
	return id, explain("look a photo up", s.dir, err)
}

// over is l, with what it leaves empty taken from old.
func (l Labels) over(old Labels) Labels {
	for _, f := range []struct{ to, from *string }{{&l.Part, &old.Part}, {&l.Hole, &old.Hole}, {&l.Batch, &old.Batch},
		{&l.Note, &old.Note}, {&l.Operator, &old.Operator}, {&l.Machine, &old.Machine}} {
		if *f.to == "" {
			*f.to = *f.from
		}
	}
	if l.HoleAt == nil {
		l.HoleAt = old.HoleAt
	}
	if l.TurnRad == nil {
		l.TurnRad = old.TurnRad
	}
	if len(l.Tags) == 0 {
		l.Tags = old.Tags
	}
	return l
}
