package record

import (
	"os"
	"path/filepath"
	"testing"
	"time"
)

// backupLimit is how long each of check, backup and restore may take with
// manyReadings, photos being small: the rest is reading and hashing the photos' bytes.
const backupLimit = time.Minute

// TestBackupIsFastAtAHundredThousand holds the limit; it runs with EVENRIM_LONG=1.
func TestBackupIsFastAtAHundredThousand(t *testing.T) {
	if os.Getenv("EVENRIM_LONG") != "1" {
		t.Skip("takes minutes: set EVENRIM_LONG=1")
	}
	s := bigRecord(t, manyReadings)
	for i := range manyReadings {
		photo := bigRecordPhoto(i)
		path := s.photoPath(HashPhoto(photo))
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, photo, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	took := func(what string, do func() error) {
		start := time.Now()
		if err := do(); err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		d := time.Since(start)
		if d > backupLimit {
			t.Errorf("%s: %v, want at most %v", what, d, backupLimit)
		}
		t.Logf("%-8s %.1f s", what, d.Seconds())
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "b.zip")
	took("check", func() error {
		r, err := s.Check(t.Context(), nil)
		if err == nil && (!r.Sound() || r.Readings != manyReadings || r.Photos != manyReadings) {
			t.Errorf("check: %d readings, %d photos, %v", r.Readings, r.Photos, r.Faults)
		}
		return err
	})
	took("backup", func() error {
		r, err := s.Backup(t.Context(), file)
		if r.Readings != manyReadings || r.Photos != manyReadings {
			t.Errorf("backup: %+v", r)
		}
		return err
	})
	took("restore", func() error {
		r, err := Restore(t.Context(), file, filepath.Join(dir, "back"))
		if r.Readings != manyReadings || r.Photos != manyReadings {
			t.Errorf("restore: %+v", r)
		}
		return err
	})
}

// A record that has lost all its photos is still worth a backup, and the list of what
// is missing is then long.
func TestBackupOfManyLostPhotosIsRestored(t *testing.T) {
	const n = 20_000
	s := openNew(t)
	const lost = `INSERT INTO photo (sha256, bytes, kept_at)
		WITH RECURSIVE k(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM k WHERE i < ?) SELECT printf('%064x', i), 1, 0 FROM k`
	if _, err := s.write.Exec(lost, n); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "b.zip")
	if res, err := s.Backup(t.Context(), file); err != nil || len(res.Missing) != n {
		t.Fatalf("Backup = %d missing, %v", len(res.Missing), err)
	}
	if res, err := Restore(t.Context(), file, filepath.Join(t.TempDir(), "back")); err != nil || len(res.Missing) != n {
		t.Fatalf("Restore = %d missing, %v", len(res.Missing), err)
	}
}
