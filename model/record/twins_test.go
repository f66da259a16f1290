package record

import (
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// A table's figures and the whole readings that come after them are one reading, also
// where that corrects another, and where the corrected one's figures came, too.
func TestFiguresGiveWayToTheWholeReading(t *testing.T) {
	for name, replaced := range map[string]bool{"what counts": false, "corrected ones, too": true} {
		t.Run(name, func(t *testing.T) {
			a, b := bench(t), openNew(t) // 3 readings, one of which corrects another
			var table strings.Builder
			if _, err := a.ExportCSV(t.Context(), &table, Query{WithReplaced: replaced}); err != nil {
				t.Fatal(err)
			}
			if _, err := b.ImportCSV(t.Context(), strings.NewReader(table.String())); err != nil {
				t.Fatal(err)
			}
			_, data := exported(t, a, Query{})
			for round, want := range []int{3, 0} {
				if res, err := imported(t, b, data); err != nil || res.Added != want || len(res.Errors) > 0 {
					t.Fatalf("import %d: %+v, %v", round+1, res, err)
				}
			}
			found, err := b.Find(t.Context(), Query{})
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range found {
				if e.Source != FromPhoto {
					t.Errorf("reading %d of the table still counts beside the whole one", e.ID)
				}
			}
			if len(found) != 2 {
				t.Errorf("%d readings count, want the 2 that count where they come from", len(found))
			}
			mustBeSound(t, b)
		})
	}
}

// A record that has them standing twice is put right when it is opened.
func TestOlderRecordsTwinsGiveWay(t *testing.T) {
	a, b := bench(t), openNew(t)
	if _, err := b.ImportCSV(t.Context(), strings.NewReader(csvOf(t, a))); err != nil {
		t.Fatal(err)
	}
	// As the schema before had it.
	if err := execAll(b, nil, `DROP TRIGGER reading_whole`, `DELETE FROM goose_db_version WHERE version_id = 4`); err != nil {
		t.Fatal(err)
	}
	_, data := exported(t, a, Query{})
	if _, err := imported(t, b, data); err != nil {
		t.Fatal(err)
	}
	if n, err := b.Count(t.Context(), Query{}); err != nil || n != 3 {
		t.Fatalf("%d readings count, %v: want one twice", n, err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	b = openAt(t, b.dir)
	if n, err := b.Count(t.Context(), Query{}); err != nil || n != 2 {
		t.Errorf("%d readings count, %v, want 2", n, err)
	}
	mustBeSound(t, b)
}

// Several programs take in the same file at once: each reading is added once and no row
// is refused.
func TestOneFileTakenInSeveralTimesAtOnce(t *testing.T) {
	a, dir := openNew(t), t.TempDir()
	for i := range 20 {
		id := keepSample(t, a, uint64(2*i), Labels{})
		photo := samplePhoto(uint64(2*i), 3000)
		if _, err := a.Correct(t.Context(), sampleReading(uint64(2*i+1), photo), photo, Labels{}, Correction{Of: id, Who: "Ash", Why: "wrong bore"}); err != nil {
			t.Fatal(err)
		}
	}
	path, _ := exported(t, a, Query{})
	openAt(t, dir)
	var wg sync.WaitGroup
	added := make([]int, 3)
	for i := range added {
		s := openAt(t, dir)
		wg.Go(func() {
			res, err := s.ImportZip(t.Context(), path)
			if err != nil || len(res.Errors) > 0 || res.Added+res.Known != 40 {
				t.Errorf("import %d of %s: %+v, %v", i, filepath.Base(path), res, err)
			}
			added[i] = res.Added
		})
	}
	wg.Wait()
	if n := added[0] + added[1] + added[2]; n != 40 {
		t.Errorf("%d readings added by %v, want 40", n, added)
	}
	mustBeSound(t, openAt(t, dir))
}

// A backup isn't an export, and who takes it for one is told what to do with it.
func TestABackupIsNotImported(t *testing.T) {
	s := bench(t)
	file := filepath.Join(t.TempDir(), "b.zip")
	if _, err := s.Backup(t.Context(), file); err != nil {
		t.Fatal(err)
	}
	if _, err := s.ImportZip(t.Context(), file); err == nil || !strings.Contains(err.Error(), "is a backup") || !strings.Contains(err.Error(), "records restore") {
		t.Errorf("%v, want to be told of records restore", err)
	}
}
