package record

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"sync"
	"time"

	"github.com/pressly/goose/v3"
	_ "modernc.org/sqlite" // the driver
)

//go:embed migrations/*.sql
var migrations embed.FS

// applicationID marks the database file as ours ("Evri").
const applicationID = 0x45767269

// busyMS is how long a write waits for another program's.
const busyMS = 15_000

// Store is an open record. It is safe for concurrent use.
type Store struct {
	dir      string
	read     *sql.DB // several connections, none of which can write
	readDSN  string  // of a connection like read's, that may write elsewhere
	write    *sql.DB // one connection; nil when the folder is read-only
	now      func() time.Time
	photosMu sync.Mutex
	// syncLater is for a folder that is being filled and that nobody knows of yet:
	// photos are not brought to the disk one by one, but with all the rest by syncBelow.
	syncLater bool
}

// Open opens the record in the data folder dir, which it makes when it isn't
// there, and brings an older one up to date. A folder that cannot be written is
// opened for reading: see ReadOnly.
//
// Errors are a *Problem: ErrNewer, ErrNotOurs, ErrDamaged, ErrDiskFull,
// ErrReadOnly (there is nothing to read and nothing can be made), ErrBusy.
func Open(ctx context.Context, dir string) (*Store, error) {
	s, err := open(ctx, dir)
	if err != nil {
		return nil, explain(opening, dir, err)
	}
	return s, nil
}

func open(ctx context.Context, dir string) (*Store, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	s := &Store{dir: dir, now: time.Now}
	err = s.openToWrite(ctx)
	if err != nil && kindOf(err) == ErrReadOnly {
		if ok, _ := exists(s.path(databaseName)); ok {
			err = s.openToRead(ctx, err)
		}
	}
	if err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

func (s *Store) openToWrite(ctx context.Context) error {
	if err := prepareFolder(s.dir); err != nil {
		return err
	}
	// Only one program at a time makes or migrates the database.
	unlock, err := lockFile(ctx, s.path(lockName))
	if err != nil {
		return err
	}
	defer unlock()
	s.removeLeftovers()
	s.write, err = sql.Open("sqlite", s.dsn("rw", "synchronous(FULL)", "foreign_keys(1)", "secure_delete(1)"))
	if err != nil {
		return err
	}
	s.write.SetMaxOpenConns(1)
	if err := s.identify(ctx, s.write); err != nil {
		return err
	}
	// Kept in the file, and so not asked for before the file is known to be ours.
	if _, err := s.write.ExecContext(ctx, `PRAGMA journal_mode = WAL`); err != nil {
		return err
	}
	if err := migrate(ctx, s.write); err != nil {
		return err
	}
	return s.openReaders("rw")
}

// openToRead opens a record that cannot be written, because of why.
func (s *Store) openToRead(ctx context.Context, why error) error {
	if s.write != nil {
		s.write.Close()
		s.write = nil
	}
	err := s.openReaders("ro")
	if err != nil {
		return err
	}
	err = s.identify(ctx, s.read)
	if err == nil {
		return nil
	}
	// SQLite reads a database in WAL mode only beside its side files, unless told
	// that nobody changes it. That is true of a folder we cannot write only as
	// far as we know, and wrong when a write-ahead file waits to be merged.
	if info, e := os.Stat(s.path(databaseName + "-wal")); e == nil && info.Size() > 0 {
		return problem(ErrReadOnly, errors.Join(why, err), "The record in %s was not closed properly and cannot be read without write access: open it once as its owner, or copy the whole folder to where you can write.", s.dir)
	}
	s.read.Close()
	if err := s.openReaders("ro", "immutable=1"); err != nil {
		return err
	}
	return s.identify(ctx, s.read)
}

func (s *Store) openReaders(mode string, extra ...string) (err error) {
	s.readDSN = s.dsn(mode, "foreign_keys(1)", "cache_size(-16000)")
	for _, e := range extra {
		s.readDSN += "&" + e
	}
	s.read, err = sql.Open("sqlite", s.readDSN+"&_pragma=query_only(1)")
	if err == nil {
		s.read.SetMaxOpenConns(4)
	}
	return err
}

func (s *Store) dsn(mode string, pragmas ...string) string {
	q := url.Values{"mode": {mode}, "_txlock": {"immediate"}, "_pragma": append([]string{fmt.Sprintf("busy_timeout(%d)", busyMS)}, pragmas...)}
	u := url.URL{Scheme: "file", Path: filepath.ToSlash(s.path(databaseName)), RawQuery: q.Encode()}
	return u.String()
}

func (s *Store) path(name string) string { return filepath.Join(s.dir, name) }

// identify refuses a database of another program or of a newer version of this.
func (s *Store) identify(ctx context.Context, db *sql.DB) error {
	var id, tables int64
	if err := db.QueryRowContext(ctx, `PRAGMA application_id`).Scan(&id); err != nil {
		return err
	}
	// goose's own tables come before our first migration sets the id.
	err := db.QueryRowContext(ctx, `SELECT count(*) FROM sqlite_schema WHERE name NOT LIKE 'goose_%' AND name NOT LIKE 'sqlite_%'`).Scan(&tables)
	if err != nil {
		return err
	}
	if id == 0 && tables == 0 && db == s.write {
		return nil
	}
	if id != applicationID {
		return problem(ErrNotOurs, nil, "%s is not a record of Evenrim. Name another folder with --data.", s.path(databaseName))
	}
	have, err := schemaVersion(ctx, db)
	if err != nil {
		return err
	}
	want := latestSchema()
	switch {
	case have > want:
		return problem(ErrNewer, nil, "The record in %s was made by a newer version of Evenrim: install that one to open it.", s.dir)
	case have < want && db == s.read:
		return problem(ErrReadOnly, nil, "The record in %s was made by an older version of Evenrim and cannot be brought up to date, because the folder cannot be written. Open it once with write access.", s.dir)
	}
	return nil
}

func schemaVersion(ctx context.Context, db *sql.DB) (v int64, err error) {
	err = db.QueryRowContext(ctx, `SELECT coalesce(max(version_id), 0) FROM goose_db_version WHERE is_applied`).Scan(&v)
	return v, err
}

func latestSchema() int64 {
	names, err := fs.Glob(migrations, "migrations/*.sql")
	if err != nil || len(names) == 0 {
		panic("record: no migrations embedded")
	}
	var v int64
	for _, n := range names {
		k, err := goose.NumericComponent(n)
		if err != nil {
			panic(err)
		}
		v = max(v, k)
	}
	return v
}

func migrate(ctx context.Context, db *sql.DB) error { return migrateTo(ctx, db, latestSchema()) }

func migrateTo(ctx context.Context, db *sql.DB, version int64) error {
	sub, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(goose.DialectSQLite3, db, sub, goose.WithDisableGlobalRegistry(true))
	if err != nil {
		return fmt.Errorf("migrations: %w", err)
	}
	if _, err := p.UpTo(ctx, version); err != nil {
		return fmt.Errorf("migrate to schema %d: %w", version, err)
	}
	return nil
}

// Dir is the data folder.
func (s *Store) Dir() string { return s.dir }

// ReadOnly tells that the record can be looked at but not added to.
func (s *Store) ReadOnly() bool { return s.write == nil }

// Close ends the use of the record.
func (s *Store) Close() error {
	var errs []error
	for _, db := range []*sql.DB{s.read, s.write} { // the writer last: it merges the write-ahead file
		if db != nil {
			errs = append(errs, db.Close())
		}
	}
	return explain("close the record", s.dir, errors.Join(errs...))
}

// change runs f in one transaction that takes the write lock at its start.
func (s *Store) change(ctx context.Context, f func(*sql.Tx) error) (err error) {
	if s.write == nil {
		return problem(ErrReadOnly, nil, "The record in %s can only be read: the folder cannot be written. Check its permissions, or name another with --data.", s.dir)
	}
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, ignoreDone(tx.Rollback()))
		}
	}()
	if err := f(tx); err != nil {
		return err
	}
	return tx.Commit()
}

// ignoreDone drops the complaint that a failed transaction is already over.
func ignoreDone(err error) error {
	if errors.Is(err, sql.ErrTxDone) {
		return nil
	}
	return err
}
