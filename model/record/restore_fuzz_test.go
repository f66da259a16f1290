package record

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// Whatever is given as a backup: it is refused with a sentence and leaves nothing
// behind, or gives a sound record.
func FuzzRestore(f *testing.F) {
	s := openAt(f, filepath.Join(f.TempDir(), "data"))
	for i := range 2 {
		photo := samplePhoto(uint64(i), 200)
		if _, err := s.Keep(f.Context(), sampleReading(uint64(i), photo), photo, Labels{Batch: "b"}); err != nil {
			f.Fatal(err)
		}
	}
	file := filepath.Join(f.TempDir(), "b.zip")
	if _, err := s.Backup(f.Context(), file); err != nil {
		f.Fatal(err)
	}
	whole, err := os.ReadFile(file)
	if err != nil {
		f.Fatal(err)
	}
	manifest := entryOf(f, whole, manifestName)
	f.Add(whole, "")
	f.Add(whole, manifest)
	f.Add(whole, `{"format":1,"kind":"evenrim-backup","missing_photos":["../../x"]}`)
	f.Add(whole[:len(whole)/2], "")
	f.Fuzz(func(t *testing.T, in []byte, manifest string) {
		if manifest != "" {
			in = rezip(t, whole, map[string]string{manifestName: manifest})
		}
		parent := t.TempDir()
		bad := filepath.Join(t.TempDir(), "b.zip")
		if err := os.WriteFile(bad, in, 0o600); err != nil {
			t.Fatal(err)
		}
		res, err := Restore(t.Context(), bad, filepath.Join(parent, "data"))
		if err != nil {
			var p *Problem
			if !errors.As(err, &p) {
				t.Fatalf("no sentence: %v", err)
			}
			if left, _ := os.ReadDir(parent); len(left) != 0 {
				t.Fatalf("left behind: %v", left)
			}
			return
		}
		back := openAt(t, filepath.Join(parent, "data"))
		if len(res.Damaged) == 0 {
			mustBeSound(t, back)
			return
		}
		// What was named is all that is missed.
		if report, err := back.Check(t.Context(), nil); err != nil || len(report.Faults) != len(res.Damaged) {
			t.Fatalf("damaged %v, the check says %+v, %v", res.Damaged, report, err)
		}
	})
}
