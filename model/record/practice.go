package record

import (
	"context"
	"database/sql"
	"encoding/json"
	"time"
)

// Exercise is one thing a person did in practice. Body is the trainer's own
// JSON, which the record doesn't look into.
type Exercise struct {
	At   time.Time
	Kind string
	Body json.RawMessage
}

// KeepExercise adds to a person's progress (a nickname suffices).
func (s *Store) KeepExercise(ctx context.Context, person, kind string, body json.RawMessage) error {
	return explain("keep the exercise", s.dir, s.change(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO practice (person, at, kind, body) VALUES (?, ?, ?, ?)`, person, s.now().UnixMicro(), kind, string(body))
		return err
	}))
}

// Exercises returns a person's progress, the oldest first.
func (s *Store) Exercises(ctx context.Context, person string) ([]Exercise, error) {
	out, err := func() (out []Exercise, err error) {
		rows, err := s.read.QueryContext(ctx, `SELECT at, kind, body FROM practice WHERE person = ? ORDER BY n`, person)
		if err != nil {
			return nil, err
		}
		defer rows.Close()
		for rows.Next() {
			var e Exercise
			var at int64
			var body string
			if err := rows.Scan(&at, &e.Kind, &body); err != nil {
				return nil, err
			}
			e.At, e.Body = time.UnixMicro(at).UTC(), json.RawMessage(body)
			out = append(out, e)
		}
		return out, rows.Err()
	}()
	return out, explain("read the exercises", s.dir, err)
}

// People returns who has exercises in the record.
func (s *Store) People(ctx context.Context) ([]Value, error) {
	out, err := s.values(ctx, `SELECT person, count(*) FROM practice GROUP BY 1 ORDER BY 1`)
	return out, explain("list the people", s.dir, err)
}

// ForgetPerson deletes a person's exercises, on request, so that they can't be
// read from the file either.
func (s *Store) ForgetPerson(ctx context.Context, person string) error {
	err := s.change(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM practice WHERE person = ?`, person) // overwritten: secure_delete
		return err
	})
	if err == nil {
		_, err = s.write.ExecContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`)
	}
	return explain("forget the person", s.dir, err)
}
