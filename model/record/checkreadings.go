package record

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"evenrim/model"
)

// checkedAtOnce is how many readings are asked for in one query: enough that asking
// costs little beside opening them, few enough that a progress bar moves.
const checkedAtOnce = 64

// finding is what is to be said of one checked thing; "" and "" of a sound one.
type finding struct{ fault, remark string }

func faulty(format string, a ...any) finding { return finding{fault: fmt.Sprintf(format, a...)} }

// checkReadings opens the readings from first to last and says of each what it found.
// After ctx's end it returns early.
func (s *Store) checkReadings(ctx context.Context, first, last ID) []finding {
	if ctx.Err() != nil {
		return nil
	}
	stored, err := s.stored(ctx, first, last)
	if err != nil || len(stored) != int(last-first)+1 {
		// One by one, so that a damaged page costs the readings on it and no others.
		return s.checkOneByOne(ctx, first, last)
	}
	found := make([]finding, len(stored))
	for i, r := range stored {
		reading, err := r.open()
		found[i] = judgeReading(r.ID, reading, r.Entry, err)
	}
	return found
}

func (s *Store) checkOneByOne(ctx context.Context, first, last ID) (found []finding) {
	for id := first; id <= last && ctx.Err() == nil; id++ {
		r, e, err := s.get(ctx, id)
		found = append(found, judgeReading(id, r, e, err))
	}
	return found
}

// judgeReading compares reading id with what the record says of it; err is what came
// of opening it.
func judgeReading(id ID, r *model.Reading, e Entry, err error) finding {
	switch {
	case errors.Is(err, ErrNewer):
		return finding{remark: fmt.Sprintf("Reading %d was made by a newer version of Evenrim and can be opened with that only.", id)}
	case err != nil:
		return faulty("Reading %d is damaged: %v.", id, err)
	case number(r.Mismatch.X) != number(e.Mismatch.X) && number(e.Mismatch.X) != nil || number(r.Mismatch.Y) != number(e.Mismatch.Y) && number(e.Mismatch.Y) != nil ||
		text(string(r.Verdict)) != string(e.Verdict) || text(r.Job.Name) != e.Job || r.MadeAt.UnixMicro() != e.MadeAt.UnixMicro() ||
		e.Source == FromPhoto && r.Photo.SHA256 != e.PhotoSHA256:
		return faulty("Reading %d says something else in the list than in itself.", id)
	}
	return finding{}
}

// storedReading is a reading as it lies in the database.
type storedReading struct {
	Entry
	body []byte
}

func (r storedReading) open() (*model.Reading, error) {
	doc, err := openDocument(r.ID, r.Key, r.body)
	if err != nil {
		return nil, err
	}
	return decodeReading(doc)
}

// stored returns what the database has of the readings from first to last, in order.
// A reading that lacks a row in any of its tables is left out.
func (s *Store) stored(ctx context.Context, first, last ID) ([]storedReading, error) {
	rows, err := s.read.QueryContext(ctx, `SELECT `+entryColumns+`, d.body FROM `+entryTables+`
		JOIN document d ON d.seq = f.seq WHERE f.seq BETWEEN ? AND ? ORDER BY f.seq`, first, last)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	out := make([]storedReading, 0, last-first+1)
	for rows.Next() {
		var r storedReading
		if r.Entry, err = scanEntry(withColumn{rows, &r.body}); err != nil {
			return nil, err
		}
		out = append(out, r)
	}
	return out, rows.Err()
}

// withColumn scans one more column, the last, into last.
type withColumn struct {
	*sql.Rows
	last any
}

func (w withColumn) Scan(into ...any) error { return w.Rows.Scan(append(into, w.last)...) }
