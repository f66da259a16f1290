package record

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"strings"
)

// Report is what Check found.
type Report struct {
	Readings, Photos int
	// Faults are sentences, the worst first: something that was kept is damaged
	// or gone.
	Faults []string
	// Remarks are sentences on what is odd but harms nothing.
	Remarks []string
}

// Sound tells that everything that was kept is there, whole.
func (r Report) Sound() bool { return len(r.Faults) == 0 }

func (r *Report) fault(format string, a ...any) {
	r.Faults = append(r.Faults, fmt.Sprintf(format, a...))
}

// Check reads the whole record: the database's own structure, every reading's
// document against its hash, its columns and what this program can open, the
// search tables against what they are made from, and every photo against its
// hash. progress, if not nil, is told how many of the record's things are done.
//
// The error says only that checking itself failed; what is wrong with the record
// is in the Report.
func (s *Store) Check(ctx context.Context, progress func(done, total int)) (Report, error) {
	return s.check(ctx, progress, nil)
}

// check is Check but for photos that have been seen to: whole, known to be gone, or
// looked at elsewhere.
func (s *Store) check(ctx context.Context, progress func(done, total int), seen map[string]bool) (Report, error) {
	// A connection of its own: SQLite's full-text index takes what another
	// connection has added since for damage when asked through one that has
	// searched before.
	db, err := sql.Open("sqlite", s.readDSN)
	if err != nil {
		return Report{}, explain(checking, s.dir, err)
	}
	defer db.Close()
	c := &checker{s: s, db: db, progress: progress, seen: seen}
	for _, step := range []func(context.Context) error{c.database, c.readings, c.turnSets, c.search, c.photos} {
		if err := step(ctx); err != nil {
			if k := kindOf(err); k != ErrDamaged && k != ErrNotOurs && !errors.Is(err, ErrDamaged) {
				return c.Report, explain(checking, s.dir, err)
			}
			c.fault("The database is damaged: %v.", err)
		}
	}
	c.permissions()
	return c.Report, nil
}

type checker struct {
	Report
	s           *Store
	db          *sql.DB
	progress    func(done, total int)
	seen        map[string]bool
	done, total int
}

func (c *checker) take(f finding) {
	if f.fault != "" {
		c.Faults = append(c.Faults, f.fault)
	}
	if f.remark != "" {
		c.Remarks = append(c.Remarks, f.remark)
	}
}

func (c *checker) step() {
	c.done++
	if c.progress != nil {
		c.progress(c.done, c.total)
	}
}

// database asks SQLite.
func (c *checker) database(ctx context.Context) error {
	err := c.db.QueryRowContext(ctx, `SELECT (SELECT count(*) FROM reading), (SELECT count(*) FROM photo)`).Scan(&c.Readings, &c.Photos)
	if err != nil {
		return err
	}
	c.total = c.Readings + c.Photos
	for _, q := range []struct{ pragma, words string }{{"integrity_check(20)", "The database is damaged: %s."}, {"foreign_key_check", "The database points to something that is gone: %s."}} {
		rows, err := c.db.QueryContext(ctx, `PRAGMA `+q.pragma)
		if err != nil {
			return err
		}
		for rows.Next() {
			cols, err := rows.Columns()
			if err != nil {
				return errors.Join(err, rows.Close())
			}
			cells := make([]any, len(cols))
			for i := range cells {
				cells[i] = new(any)
			}
			if err := rows.Scan(cells...); err != nil {
				return errors.Join(err, rows.Close())
			}
			var words []string
			for _, p := range cells {
				words = append(words, fmt.Sprint(*p.(*any)))
			}
			if line := strings.Join(words, " "); line != "ok" {
				c.fault(q.words, strings.ReplaceAll(line, "\n", " "))
			}
		}
		if err := errors.Join(rows.Err(), rows.Close()); err != nil {
			return err
		}
	}
	return nil
}

// readings opens every reading.
func (c *checker) readings(ctx context.Context) error {
	var last ID
	if err := c.s.read.QueryRowContext(ctx, `SELECT coalesce(max(seq), 0) FROM reading`).Scan(&last); err != nil {
		return err
	}
	if int64(last) != int64(c.Readings) {
		c.fault("The readings are numbered up to %d, but there are %d: some are gone.", last, c.Readings)
	}
	firsts := func(yield func(ID) bool) {
		for id := ID(1); id <= last && yield(id); id += checkedAtOnce {
		}
	}
	abreast(firsts, func(first ID) []finding {
		return c.s.checkReadings(ctx, first, min(first+checkedAtOnce-1, last))
	}, func(found []finding) {
		for _, f := range found {
			c.step()
			c.take(f)
		}
	})
	return ctx.Err()
}

// turnSets opens every turn set and compares its readings with those it was joined
// from.
func (c *checker) turnSets(ctx context.Context) error {
	list, err := column(ctx, c.s.read, `SELECT n FROM turn_set ORDER BY n`)
	if err != nil {
		return err
	}
	for i, n := range list {
		if err := ctx.Err(); err != nil {
			return err
		}
		id := SetID(i + 1)
		if n != fmt.Sprint(id) {
			c.fault("The turn sets are numbered up to %s, but there are %d: some are gone.", list[len(list)-1], len(list))
			return nil
		}
		j, e, err := c.s.turnSet(ctx, id)
		switch {
		case errors.Is(err, ErrNewer):
			c.Remarks = append(c.Remarks, fmt.Sprintf("Turn set T%d was made by a newer version of Evenrim and can be opened with that only.", id))
		case err != nil:
			c.fault("Turn set T%d is damaged: %v.", id, err)
		case number(j.Set.Mismatch.X) != number(e.Mismatch.X) || number(j.Set.Mismatch.Y) != number(e.Mismatch.Y) || text(string(j.Verdict)) != string(e.Verdict):
			c.fault("Turn set T%d says something else in the list than in itself.", id)
		case len(e.Members) != len(j.Set.Turns):
			c.fault("Turn set T%d was joined from %d readings, of which %d are there.", id, len(j.Set.Turns), len(e.Members))
		}
	}
	return nil
}

// search compares the derived tables with what they are derived from.
func (c *checker) search(ctx context.Context) error {
	const should = `SELECT r.seq, l.n, r.made_at, r.verdict, r.job, l.part, l.batch, l.operator, l.machine, coalesce((SELECT n.seq FROM reading n WHERE n.replaces = r.seq),
			(SELECT w.seq FROM reading w WHERE w.key = r.origin_key AND w.source = 'photo' AND w.seq > r.seq))
		FROM reading r JOIN label l ON l.n = (SELECT max(n) FROM label WHERE seq = r.seq)`
	const does = `SELECT seq, label, made_at, verdict, job, part, batch, operator, machine, replaced_by FROM finder`
	var wrong int
	err := c.s.read.QueryRowContext(ctx, `SELECT count(*) FROM (SELECT * FROM (`+should+` EXCEPT `+does+`) UNION ALL SELECT * FROM (`+does+` EXCEPT `+should+`))`).Scan(&wrong)
	if err != nil {
		return err
	}
	var words int
	err = c.s.read.QueryRowContext(ctx, `SELECT count(*) FROM wording g LEFT JOIN words w ON w.rowid = g.seq WHERE w.text IS NOT g.text OR w.keys IS NOT g.keys`).Scan(&words)
	if err != nil {
		return err
	}
	if wrong > 0 || words > 0 {
		c.fault("The search tables do not agree with the readings: a search may miss some.")
	}
	return nil
}

// photos reads every photo.
func (c *checker) photos(ctx context.Context) error {
	known := map[string]bool{}
	rows, err := c.s.read.QueryContext(ctx, `SELECT sha256 FROM photo`)
	if err != nil {
		return err
	}
	for rows.Next() {
		var sha string
		if err := rows.Scan(&sha); err != nil {
			return errors.Join(err, rows.Close())
		}
		known[sha] = true
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return err
	}
	abreast(maps.Keys(known), func(sha string) finding {
		if c.seen[sha] || ctx.Err() != nil {
			return finding{}
		}
		switch _, err := hashFile(c.s.photoPath(sha), sha); {
		case errors.Is(err, fs.ErrNotExist):
			return faulty("The photo %.12s... is gone: restore it from a backup.", sha)
		case errors.Is(err, ErrDamaged):
			return faulty("The photo %.12s... has changed on the disk: restore it from a backup.", sha)
		case err != nil:
			return faulty("The photo %.12s... cannot be read: %v.", sha, err)
		}
		return finding{}
	}, func(f finding) {
		c.step()
		c.take(f)
	})
	if err := ctx.Err(); err != nil {
		return err
	}
	return c.strays(known)
}

// strays counts photo files that no reading needs: remains of a program that was
// killed or met a full disk.
func (c *checker) strays(known map[string]bool) error {
	n := 0
	err := filepath.WalkDir(c.s.path(photosName), func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && !known[d.Name()] {
			n++
		}
		return err
	})
	if n > 0 {
		c.Remarks = append(c.Remarks, fmt.Sprintf("%d photo files belong to no reading; they are the remains of readings that were not kept, and harm nothing.", n))
	}
	if errors.Is(err, fs.ErrNotExist) {
		return nil // every photo has been reported gone already
	}
	return err
}

func (c *checker) permissions() {
	if info, err := os.Stat(c.s.path(databaseName)); err == nil && info.Mode().Perm()&0o077 != 0 {
		c.Remarks = append(c.Remarks, fmt.Sprintf("%s can be read by other users of this computer (mode %o).", c.s.path(databaseName), info.Mode().Perm()))
	}
}
