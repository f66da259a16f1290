package record

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
)

// mustBeSound runs a whole check and wants no fault.
func mustBeSound(t testing.TB, s *Store) Report {
	t.Helper()
	r, err := s.Check(t.Context(), nil)
	if err != nil {
		t.Fatalf("Check: %v", err)
	}
	for _, f := range r.Faults {
		t.Errorf("fault: %s", f)
	}
	return r
}

func TestCheckFindsWhatIsWrong(t *testing.T) {
	for _, tt := range []struct {
		name   string
		damage func(t *testing.T, s *Store, sha string) error
		fault  string
	}{
		{"nothing", func(*testing.T, *Store, string) error { return nil }, ""},
		{"photo gone", func(_ *testing.T, s *Store, sha string) error { return os.Remove(s.photoPath(sha)) }, "is gone"},
		{"photos folder gone", func(_ *testing.T, s *Store, sha string) error { return os.RemoveAll(s.path(photosName)) }, "is gone"},
		{"photo changed", func(_ *testing.T, s *Store, sha string) error {
			return os.WriteFile(s.photoPath(sha), []byte("another"), 0o600)
		}, "has changed"},
		{"photo cut short", func(_ *testing.T, s *Store, sha string) error { return os.Truncate(s.photoPath(sha), 100) }, "has changed"},
		{"document changed behind our back", func(_ *testing.T, s *Store, sha string) error {
			body, err := squeeze([]byte(`{"format":1,"reading":{}}`))
			return execAll(s, err, `DROP TRIGGER document_no_update`, `UPDATE document SET body = x'`+hexOf(body)+`' WHERE seq = 2`)
		}, "Reading 2 is damaged"},
		{"column changed behind our back", func(_ *testing.T, s *Store, sha string) error {
			return execAll(s, nil, `DROP TRIGGER reading_no_update`, `UPDATE reading SET dx_mm = 0 WHERE seq = 2`)
		}, "Reading 2 says something else"},
		{"reading deleted behind our back", func(_ *testing.T, s *Store, sha string) error {
			return execAll(s, nil, `PRAGMA foreign_keys = OFF`, `DROP TRIGGER reading_no_delete`, `DELETE FROM reading WHERE seq = 1`)
		}, "some are gone"},
		{"search table emptied", func(_ *testing.T, s *Store, sha string) error {
			return execAll(s, nil, `DELETE FROM words`)
		}, "search tables"},
		{"search table stale", func(_ *testing.T, s *Store, sha string) error {
			return execAll(s, nil, `UPDATE finder SET batch = 'other' WHERE seq = 1`)
		}, "search tables"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := openNew(t)
			for i := range 3 {
				keepSample(t, s, uint64(i), Labels{Batch: "b"})
			}
			if err := tt.damage(t, s, HashPhoto(samplePhoto(1, 3000))); err != nil {
				t.Fatal(err)
			}
			r, err := s.Check(t.Context(), nil)
			if err != nil {
				t.Fatal(err)
			}
			if r.Sound() != (tt.fault == "") || !anyContains(r.Faults, tt.fault) {
				t.Errorf("faults %q, want one with %q", r.Faults, tt.fault)
			}
		})
	}
}

func TestCheckTellsProgressAndStrays(t *testing.T) {
	s := openNew(t)
	for i := range 3 {
		keepSample(t, s, uint64(i), Labels{})
	}
	if err := os.WriteFile(s.path(photosName)+"/"+partPrefix+"1", []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	var steps, total int
	r, err := s.Check(t.Context(), func(d, n int) { steps++; total = n })
	if err != nil || !r.Sound() || len(r.Remarks) != 1 || steps != 6 || total != 6 || r.Readings != 3 || r.Photos != 3 {
		t.Errorf("Check: %+v, %v, %d of %d steps", r, err, steps, total)
	}
}

// Readings are asked for many at once; none may be lost where one batch ends, and a
// batch that lacks one is looked at one by one.
func TestCheckNamesEachDamagedReadingOnceAndInOrder(t *testing.T) {
	const n = 2*checkedAtOnce + 2
	s := bigRecord(t, n)
	seen := map[string]bool{}
	for i := range n {
		seen[HashPhoto(bigRecordPhoto(i))] = true // bigRecord keeps no files
	}
	wrong := []int{1, checkedAtOnce, checkedAtOnce + 1, n}
	err := execAll(s, nil, `PRAGMA foreign_keys = OFF`, `DROP TRIGGER reading_no_update`, `DROP TRIGGER document_no_delete`,
		fmt.Sprintf(`DELETE FROM document WHERE seq = %d`, checkedAtOnce+2))
	for _, id := range wrong {
		err = execAll(s, err, fmt.Sprintf(`UPDATE reading SET dx_mm = 0 WHERE seq = %d`, id))
	}
	if err != nil {
		t.Fatal(err)
	}
	steps := 0
	r, err := s.check(t.Context(), func(int, int) { steps++ }, seen)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range r.Faults {
		if strings.HasPrefix(f, "Reading ") {
			got = append(got, strings.Join(strings.Fields(f)[1:3], " "))
		}
	}
	want := []string{"1 says", fmt.Sprint(checkedAtOnce, " says"), fmt.Sprint(checkedAtOnce+1, " says"), fmt.Sprint(checkedAtOnce+2, " is"), fmt.Sprint(n, " says")}
	if !slices.Equal(got, want) || steps != 2*n {
		t.Errorf("faults %q, want %q; %d steps, want %d", got, want, steps, 2*n)
	}
}

// What one connection searched and another added to must neither look damaged
// nor be missed.
func TestCheckAndSearchAfterAnotherProgramWrote(t *testing.T) {
	dir := t.TempDir()
	a, b := openAt(t, dir), openAt(t, dir)
	for i := range 5 {
		keepSample(t, b, uint64(i), Labels{Note: "word"})
		if got := ids(t, a, Query{Text: "word"}); len(got) != i+1 {
			t.Errorf("a search after %d readings found %v", i+1, got)
		}
		mustBeSound(t, a)
	}
}
