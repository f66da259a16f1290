package record

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestBackupAndRestore(t *testing.T) {
	s := openNew(t)
	for i := range 12 {
		keepSample(t, s, uint64(i), Labels{Batch: "b", Note: "größer"})
	}
	if err := s.Label(t.Context(), 3, "Ash", Labels{Batch: "c"}); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "shop.evenrim-backup.zip")
	res, err := s.Backup(t.Context(), file)
	if err != nil || res.Readings != 12 || res.Photos != 12 || len(res.Missing) != 0 {
		t.Fatalf("Backup = %+v, %v", res, err)
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 || info.Size() != res.Bytes {
		t.Errorf("backup file: %v, %v, want mode 600 and %d bytes", info, err, res.Bytes)
	}
	if left, _ := filepath.Glob(filepath.Join(filepath.Dir(file), ".evenrim-*")); len(left) != 0 {
		t.Errorf("left behind: %v", left)
	}
	if _, err := s.Backup(t.Context(), file); !errors.Is(err, ErrRefused) {
		t.Errorf("second backup to one name: %v, want ErrRefused", err)
	}

	dir := filepath.Join(t.TempDir(), "new", "place")
	back, err := Restore(t.Context(), file, dir)
	if err != nil || back.Readings != 12 || back.Photos != 12 {
		t.Fatalf("Restore = %+v, %v", back, err)
	}
	if info, err := os.Stat(dir); err != nil || info.Mode().Perm() != 0o700 {
		t.Errorf("restored folder: %v, %v, want mode 700", info, err)
	}
	r := openAt(t, dir)
	mustBeSound(t, r)
	a, err := s.Find(t.Context(), Query{})
	if err != nil {
		t.Fatal(err)
	}
	b, err := r.Find(t.Context(), Query{})
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(a, b, sameBits); d != "" {
		t.Errorf("restored entries (-want +got):\n%s", d)
	}
	for _, e := range a {
		x, _, err := s.Get(t.Context(), e.ID)
		y, _, err2 := r.Get(t.Context(), e.ID)
		if err != nil || err2 != nil || !cmp.Equal(x, y, sameBits) {
			t.Errorf("reading %d differs after restoring (%v, %v)", e.ID, err, err2)
		}
	}
	if _, err := Restore(t.Context(), file, dir); !errors.Is(err, ErrRefused) {
		t.Errorf("restore over a record: %v, want ErrRefused", err)
	}
	mustBeSound(t, r)
}

func TestBackupSaysWhichPhotosAreMissing(t *testing.T) {
	s := openNew(t)
	for i := range 3 {
		keepSample(t, s, uint64(i), Labels{})
	}
	gone := HashPhoto(samplePhoto(1, 3000))
	if err := os.Remove(s.photoPath(gone)); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "b.zip")
	res, err := s.Backup(t.Context(), file)
	if err != nil || res.Photos != 2 || !cmp.Equal(res.Missing, []string{gone}) {
		t.Fatalf("Backup = %+v, %v, want one photo missing", res, err)
	}
	back, err := Restore(t.Context(), file, filepath.Join(t.TempDir(), "d"))
	if err != nil || back.Photos != 2 || !cmp.Equal(back.Missing, []string{gone}) {
		t.Fatalf("Restore = %+v, %v, want all but one photo", back, err)
	}
}

func TestBackupWhileAnotherWrites(t *testing.T) {
	dir := t.TempDir()
	a, b := openAt(t, dir), openAt(t, dir)
	keepSample(t, a, 0, Labels{})
	ctx, stop := context.WithCancel(context.Background())
	var wg sync.WaitGroup
	wg.Go(func() {
		for i := uint64(1); ctx.Err() == nil; i++ {
			photo := samplePhoto(i, 2000)
			if _, err := b.Keep(context.Background(), sampleReading(i, photo), photo, Labels{}); err != nil {
				t.Error(err)
			}
		}
	})
	for i := range 3 {
		file := filepath.Join(t.TempDir(), "b.zip")
		res, err := a.Backup(t.Context(), file)
		if err != nil || res.Readings != res.Photos || res.Readings == 0 {
			t.Errorf("backup %d: %+v, %v", i, res, err)
		}
		if back, err := Restore(t.Context(), file, filepath.Join(t.TempDir(), "d")); err != nil || back.Readings != res.Readings {
			t.Errorf("restore %d: %+v, %v", i, back, err)
		}
	}
	stop()
	wg.Wait()
}

func TestRestoreRefusesDamagedAndForeignFiles(t *testing.T) {
	s := openNew(t)
	for i := range 3 {
		keepSample(t, s, uint64(i), Labels{})
	}
	file := filepath.Join(t.TempDir(), "b.zip")
	if _, err := s.Backup(t.Context(), file); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name string
		data []byte
		want error
	}{
		{"empty", nil, ErrNotOurs},
		{"text", []byte("no zip"), ErrNotOurs},
		{"cut short", whole[:len(whole)*2/3], ErrNotOurs},
		{"another zip", rezip(t, nil, map[string]string{"a.txt": "hello"}), ErrNotOurs},
		{"database changed", rezip(t, whole, map[string]string{databaseName: "other"}), ErrDamaged},
		{"newer", rezip(t, whole, map[string]string{manifestName: `{"format":2,"kind":"evenrim-backup"}`}), ErrNewer},
	} {
		t.Run(tt.name, func(t *testing.T) {
			bad := filepath.Join(t.TempDir(), "bad.zip")
			if err := os.WriteFile(bad, tt.data, 0o600); err != nil {
				t.Fatal(err)
			}
			parent := t.TempDir()
			_, err := Restore(t.Context(), bad, filepath.Join(parent, "data"))
			if !errors.Is(err, tt.want) {
				t.Errorf("Restore: %v, want %v", err, tt.want)
			}
			checkSentence(t, err)
			if left, _ := os.ReadDir(parent); len(left) != 0 {
				t.Errorf("left behind: %v", left)
			}
		})
	}
	_, err = Restore(t.Context(), filepath.Join(t.TempDir(), "none.zip"), filepath.Join(t.TempDir(), "d"))
	if !errors.Is(err, ErrNotFound) {
		t.Errorf("no file: %v, want ErrNotFound", err)
	}
	checkSentence(t, err)
}

// A damaged photo costs itself alone: all the rest of the backup is restored, and the
// photo named.
func TestRestoreGivesBackAllButADamagedPhoto(t *testing.T) {
	s := openNew(t)
	for i := range 3 {
		keepSample(t, s, uint64(i), Labels{})
	}
	file := filepath.Join(t.TempDir(), "b.zip")
	if _, err := s.Backup(t.Context(), file); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	sha := HashPhoto(samplePhoto(1, 3000))
	for name, with := range map[string]string{"changed": "other", "left out": "-"} {
		bad, dir := filepath.Join(t.TempDir(), "bad.zip"), filepath.Join(t.TempDir(), "data")
		if err := os.WriteFile(bad, rezip(t, whole, map[string]string{photoEntry(sha): with}), 0o600); err != nil {
			t.Fatal(err)
		}
		res, err := Restore(t.Context(), bad, dir)
		if err != nil || res.Readings != 3 || res.Photos != 2 || !slices.Equal(res.Damaged, []string{sha}) {
			t.Fatalf("%s: %+v, %v; want 3 readings, 2 photos and the damaged one named", name, res, err)
		}
		back := openAt(t, dir)
		if report, err := back.Check(t.Context(), nil); err != nil || report.Sound() || len(report.Faults) != 1 {
			t.Errorf("%s: the check says %+v, %v; want the photo missed", name, report, err)
		}
	}
}

// What cannot be written is the data folder, not the backup.
func TestRestoreNamesThePlaceThatFails(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("root may write everywhere")
	}
	s := openNew(t)
	keepSample(t, s, 1, Labels{})
	file, locked := filepath.Join(t.TempDir(), "b.zip"), t.TempDir()
	if _, err := s.Backup(t.Context(), file); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(locked, 0o500); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(locked, "data")
	_, err := Restore(t.Context(), file, dir)
	if !errors.Is(err, ErrReadOnly) || !strings.Contains(err.Error(), dir+" cannot be written") {
		t.Errorf("%v, want %s named", err, dir)
	}
}

// rezip returns the zip data with entries replaced, added, or left out ("-").
func rezip(t testing.TB, data []byte, change map[string]string) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	put := func(name string, content []byte) {
		f, err := w.Create(name)
		if err == nil {
			_, err = f.Write(content)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if data != nil {
		r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range r.File {
			if _, ok := change[f.Name]; ok {
				continue
			}
			in, err := f.Open()
			if err != nil {
				t.Fatal(err)
			}
			content, err := io.ReadAll(in)
			if err != nil {
				t.Fatal(err)
			}
			put(f.Name, content)
		}
	}
	for name, content := range change {
		if content != "-" {
			put(name, []byte(content))
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// "evenrim records backup shop.zip" names a file in the folder where one stands.
func TestBackupIntoTheFolderWhereOneStands(t *testing.T) {
	s := openNew(t)
	keepSample(t, s, 1, Labels{})
	t.Chdir(t.TempDir())
	if res, err := s.Backup(t.Context(), "shop.zip"); err != nil || res.Readings != 1 {
		t.Fatalf("%+v, %v", res, err)
	}
	if res, err := Restore(t.Context(), "shop.zip", "restored"); err != nil || res.Readings != 1 {
		t.Errorf("restored: %+v, %v", res, err)
	}
	if n, err := s.ExportZip(t.Context(), "some.zip", Query{}); err != nil || n != 1 {
		t.Errorf("%d readings into a zip, %v", n, err)
	}
	if n, err := s.ExportCSVFile(t.Context(), "some.csv", Query{}); err != nil || n != 1 {
		t.Errorf("%d readings into a table, %v", n, err)
	}
}
