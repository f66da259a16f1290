package record

import (
	"archive/zip"
	"compress/flate"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"time"
)

// backupFormat is the version of a backup's layout; see EXCHANGE.md.
const backupFormat = 1

const (
	manifestName = "backup.json"
	maxManifest  = 1 << 20
	// maxMissing is for a backup's manifest, which names every photo that was gone.
	maxMissing = 80 * maxEntries
)

// manifest is the first file of a backup.
type manifest struct {
	Format   int       `json:"format"`
	Kind     string    `json:"kind"` // backupKind
	MadeAt   time.Time `json:"made_at"`
	Database string    `json:"database_sha256"`
	Readings int       `json:"readings"`
	Photos   int       `json:"photos"`
	// Missing are photos that were gone or damaged when the backup was made.
	Missing []string `json:"missing_photos,omitempty"`
}

const backupKind = "evenrim-backup"

// BackupResult says what went into a backup or came out of it.
type BackupResult struct {
	Readings, Photos int
	Bytes            int64 // of the file
	// Missing are the hashes of photos that could not be saved because they are
	// gone or damaged.
	Missing []string
	// Damaged are the hashes of photos that came out of a backup damaged, or not at
	// all: they were not restored, and all the rest was.
	Damaged []string
}

// Backup writes the whole record, as it is at this moment, to one new file (a
// zip of the database and the photos). Other programs may go on writing
// meanwhile. It refuses to overwrite a file and to save a damaged database
// (ErrDamaged), though not one whose photos alone are damaged; a backup that fails
// leaves none.
func (s *Store) Backup(ctx context.Context, path string) (BackupResult, error) {
	res, err := s.backup(ctx, path)
	return res, explain("write the backup", path, err)
}

func (s *Store) backup(ctx context.Context, path string) (res BackupResult, err error) {
	// The copy beside it is opened by an address, which knows no folder in which one stands.
	if path, err = filepath.Abs(path); err != nil {
		return res, err
	}
	err = writeNew(path, func(f *os.File) error {
		res, err = s.writeBackup(ctx, f, filepath.Dir(path))
		if err != nil {
			return err
		}
		res.Bytes, err = f.Seek(0, io.SeekCurrent)
		return err
	})
	return res, err
}

// writeNew makes the file path by write, whole or not at all, and private. It
// refuses to overwrite.
func writeNew(path string, write func(*os.File) error) error {
	if there, err := exists(path); err != nil {
		return err
	} else if there {
		return refuse("%s is there already: choose another name, nothing is overwritten.", path)
	}
	tmp, err := os.CreateTemp(filepath.Dir(path), ".evenrim-*")
	if err != nil {
		return err
	}
	defer func() {
		tmp.Close()
		os.Remove(tmp.Name())
	}()
	if err := write(tmp); err != nil {
		return err
	}
	if err := tmp.Sync(); err != nil {
		return err
	}
	if err := tmp.Close(); err != nil {
		return err
	}
	// A link, unlike a rename, fails when somebody made the file meanwhile; where
	// the filesystem has no links, the check above must do.
	if err := os.Link(tmp.Name(), path); errors.Is(err, fs.ErrExist) {
		return refuse("%s is there already: choose another name, nothing is overwritten.", path)
	} else if err != nil {
		if err := os.Rename(tmp.Name(), path); err != nil {
			return err
		}
	}
	return syncFolder(filepath.Dir(path))
}

func (s *Store) writeBackup(ctx context.Context, to io.Writer, tmpDir string) (res BackupResult, err error) {
	copied, err := s.copyDatabase(ctx, tmpDir)
	if err != nil {
		return res, err
	}
	defer os.RemoveAll(filepath.Dir(copied))
	db, err := sql.Open("sqlite", (&Store{dir: filepath.Dir(copied)}).dsn("ro", "query_only(1)"))
	if err != nil {
		return res, err
	}
	defer db.Close()
	if res.Readings, err = checkCopy(ctx, db, filepath.Dir(copied)); err != nil {
		return res, err
	}
	photos, err := column(ctx, db, `SELECT sha256 FROM photo ORDER BY sha256`)
	if err != nil {
		return res, err
	}
	var good []string
	for _, sha := range photos { // before anything is written, so that the manifest can say it
		if err := ctx.Err(); err != nil {
			return res, err
		}
		if _, err := hashFile(s.photoPath(sha), sha); err != nil {
			res.Missing = append(res.Missing, sha)
		} else {
			good = append(good, sha)
		}
	}
	res.Photos = len(good)
	sum, err := hashOf(copied)
	if err != nil {
		return res, err
	}
	z := newZip(to)
	m := manifest{Format: backupFormat, Kind: backupKind, MadeAt: s.now().UTC(), Database: sum, Readings: res.Readings, Photos: res.Photos, Missing: res.Missing}
	if err := z.addJSON(manifestName, m); err != nil {
		return res, err
	}
	if err := z.addFile(databaseName, copied, zip.Deflate); err != nil {
		return res, err
	}
	for _, sha := range good {
		if err := ctx.Err(); err != nil {
			return res, err
		}
		if err := z.addFile(photoEntry(sha), s.photoPath(sha), zip.Store); err != nil {
			return res, err
		}
	}
	return res, z.Close()
}

// checkCopy looks through the copied database db in dir, photos left out, and
// returns the number of its readings. A copy of a damaged record is made without a
// word from SQLite, could not be restored, and would in time take the place of the
// backups that are still good: ErrDamaged.
func checkCopy(ctx context.Context, db *sql.DB, dir string) (readings int, err error) {
	photos, err := column(ctx, db, `SELECT sha256 FROM photo`)
	if err != nil {
		return 0, err
	}
	elsewhere := map[string]bool{}
	for _, sha := range photos {
		elsewhere[sha] = true
	}
	copied := &Store{dir: dir, read: db}
	copied.readDSN = copied.dsn("ro", "query_only(1)")
	report, err := copied.check(ctx, nil, elsewhere)
	if err != nil {
		return 0, err
	}
	if !report.Sound() {
		return 0, problem(ErrDamaged, nil, "No backup was written, as it would be damaged too: %s Keep the backups that are there, and restore the last one into a new folder.", report.Faults[0])
	}
	return report.Readings, nil
}

// copyDatabase writes a consistent copy of the database, all in one file, into a
// new private folder below dir.
func (s *Store) copyDatabase(ctx context.Context, dir string) (string, error) {
	tmp, err := os.MkdirTemp(dir, ".evenrim-*")
	if err != nil {
		return "", err
	}
	path := filepath.Join(tmp, databaseName)
	// A connection of its own, as the readers' may not write even elsewhere, and
	// the writer's is for the readings that come in meanwhile.
	db, err := sql.Open("sqlite", s.readDSN)
	if err == nil {
		_, err = db.ExecContext(ctx, `VACUUM INTO ?`, path)
		err = errors.Join(err, db.Close())
	}
	if err == nil {
		err = os.Chmod(path, 0o600)
	}
	if err != nil {
		os.RemoveAll(tmp)
		return "", err
	}
	return path, nil
}

func column(ctx context.Context, db *sql.DB, query string, args ...any) (out []string, err error) {
	rows, err := db.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, rows.Err()
}

// Restore unpacks the backup at path into the data folder dir, which must not be
// there yet or be empty. Everything is compared with its hash before the folder
// gets its name: a damaged database or a foreign file leaves nothing behind, a damaged
// photo is named and left out.
func Restore(ctx context.Context, path, dir string) (BackupResult, error) {
	res, err := restore(ctx, path, dir)
	// The backup was read by then: what fails is writing.
	return res, explain("restore the backup "+filepath.Base(path), dir, err)
}

func restore(ctx context.Context, path, dir string) (res BackupResult, err error) {
	dir, err = filepath.Abs(dir)
	if err != nil {
		return res, err
	}
	list, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return res, err
	}
	if len(list) > 0 {
		return res, refuse("%s is not empty: a backup is restored into a new folder only, so that nothing is overwritten. Name one with --data.", dir)
	}
	z, err := openZip(path)
	if err != nil {
		return res, explain("read the backup", path, err)
	}
	defer z.Close()
	var m manifest
	if err := z.readJSON(manifestName, maxManifest+maxMissing, &m); err != nil || m.Kind != backupKind {
		return res, problem(ErrNotOurs, err, "%s is not a backup of Evenrim.", path)
	}
	if m.Format > backupFormat {
		return res, problem(ErrNewer, nil, "%s was made by a newer version of Evenrim: install that one to restore it.", path)
	}
	if err := os.MkdirAll(filepath.Dir(dir), 0o700); err != nil {
		return res, err
	}
	tmp, err := os.MkdirTemp(filepath.Dir(dir), ".evenrim-restore-*") // mode 0700
	if err != nil {
		return res, err
	}
	defer os.RemoveAll(tmp) // gone already after the rename
	res, err = unpackBackup(ctx, z, m, tmp)
	if err != nil {
		return res, err
	}
	if info, err := os.Stat(path); err == nil {
		res.Bytes = info.Size()
	}
	if err := os.Remove(dir); err != nil && !errors.Is(err, fs.ErrNotExist) { // an empty folder
		return res, err
	}
	if err := os.Rename(tmp, dir); err != nil {
		return res, err
	}
	return res, syncFolder(filepath.Dir(dir))
}

func unpackBackup(ctx context.Context, z *zipReader, m manifest, dir string) (res BackupResult, err error) {
	if err := os.Mkdir(filepath.Join(dir, photosName), 0o700); err != nil {
		return res, err
	}
	database := filepath.Join(dir, databaseName)
	if err := z.extract(databaseName, database); err != nil {
		return res, err
	}
	if sum, err := hashOf(database); err != nil || sum != m.Database {
		return res, problem(ErrDamaged, err, "The backup is damaged: its database does not match its SHA-256. Copy it again from where it was made, or restore an older one.")
	}
	s, err := open(ctx, dir)
	if err != nil {
		return res, err
	}
	defer s.Close()
	s.syncLater = true
	missing := map[string]bool{}
	for _, sha := range m.Missing {
		missing[sha] = true
	}
	seen := maps.Clone(missing)
	photos, err := column(ctx, s.read, `SELECT sha256 FROM photo ORDER BY sha256`)
	if err != nil {
		return res, err
	}
	for _, sha := range photos {
		if err := ctx.Err(); err != nil {
			return res, err
		}
		if missing[sha] {
			res.Missing = append(res.Missing, sha)
			continue
		}
		if err := z.withPhoto(sha, func(r io.Reader) error { _, err := s.putPhoto(sha, r); return err }); errors.Is(err, ErrDamaged) {
			res.Damaged = append(res.Damaged, sha)
			seen[sha] = true // told already; the readings made of it are sound
			continue
		} else if err != nil {
			return res, err
		}
		seen[sha] = true // its hash was compared while it was written
		res.Photos++
	}
	report, err := s.check(ctx, nil, seen)
	if err != nil {
		return res, err
	}
	res.Readings = report.Readings
	if !report.Sound() {
		return res, problem(ErrDamaged, nil, "The backup is damaged: %s Copy it again from where it was made, or restore an older one.", report.Faults[0])
	}
	if err := s.Close(); err != nil {
		return res, err
	}
	return res, syncBelow(dir)
}

// photoEntry is a photo's name in a zip.
func photoEntry(sha string) string { return photosName + "/" + sha }

// zipWriter writes entries that are the same for the same contents.
type zipWriter struct{ *zip.Writer }

func newZip(w io.Writer) zipWriter {
	z := zip.NewWriter(w)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.BestSpeed) })
	return zipWriter{z}
}

func (z zipWriter) addJSON(name string, v any) error {
	w, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate})
	if err != nil {
		return err
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

func (z zipWriter) addFile(name, path string, method uint16) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	w, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: method})
	if err == nil {
		_, err = io.Copy(w, f)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}
