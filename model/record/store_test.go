package record

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"evenrim/model"

	"github.com/google/go-cmp/cmp"
)

func TestReopenedReadingIsExactlyTheKeptOne(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "folder")
	s := openAt(t, dir)
	photo := samplePhoto(1, 50_000)
	want := sampleReading(1, photo)
	turn := math.Pi / 2
	labels := Labels{Part: "B-07", Hole: "3", Batch: "March", HoleAt: &model.Vec{X: 20, Y: -7.5}, TurnRad: &turn,
		Note: "after the new stop", Operator: "Wren", Machine: "knee mill", Tags: []string{"fixed", "audit", "fixed"}}
	id, err := s.Keep(t.Context(), want, photo, labels)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}

	s = openAt(t, dir)
	got, e, err := s.Get(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, got, sameBits); d != "" {
		t.Errorf("Get (-want +got):\n%s", d)
	}
	labels.Tags = []string{"audit", "fixed"}
	if d := cmp.Diff(labels, e.Labels); d != "" {
		t.Errorf("labels (-want +got):\n%s", d)
	}
	if e.ID != 1 || e.Job != "cylinder bracket" || e.Verdict != model.Conforms || e.Mismatch != want.Mismatch || e.Cov != want.Cov ||
		e.U95MM != want.U95MM || !e.MadeAt.Equal(want.MadeAt.Truncate(time.Microsecond)) || e.PhotoName != "bracket-1.jpg" || e.Source != FromPhoto {
		t.Errorf("entry does not say what the reading says: %+v", e)
	}
	b, err := s.Photo(t.Context(), e.PhotoSHA256)
	if err != nil || HashPhoto(b) != HashPhoto(photo) {
		t.Errorf("Photo: %d bytes, %v, want the %d kept", len(b), err, len(photo))
	}
}

func TestKeepTwiceDoesNotDouble(t *testing.T) {
	s := openNew(t)
	a, b := keepSample(t, s, 1, Labels{}), keepSample(t, s, 1, Labels{})
	if n, err := s.Count(t.Context(), Query{}); a != b || n != 1 || err != nil {
		t.Errorf("kept as %d and %d, %d in the record, %v; want one", a, b, n, err)
	}
}

func TestKeepRefusesAnotherPhoto(t *testing.T) {
	s := openNew(t)
	_, err := s.Keep(t.Context(), sampleReading(1, samplePhoto(1, 100)), samplePhoto(2, 100), Labels{})
	if !errors.Is(err, ErrRefused) {
		t.Errorf("err = %v, want ErrRefused", err)
	}
	if _, err := s.Keep(t.Context(), nil, nil, Labels{}); !errors.Is(err, ErrRefused) {
		t.Errorf("no reading: err = %v, want ErrRefused", err)
	}
	if n, _ := s.Count(t.Context(), Query{}); n != 0 {
		t.Errorf("%d readings kept, want none", n)
	}
}

func TestReadingsCannotBeChanged(t *testing.T) {
	s := openNew(t)
	keepSample(t, s, 1, Labels{Part: "a"})
	for _, q := range []string{
		`UPDATE reading SET dx_mm = 0`, `DELETE FROM reading`, `UPDATE document SET body = x'00'`, `DELETE FROM document`,
		`UPDATE photo SET bytes = 0`, `DELETE FROM photo`, `UPDATE label SET part = 'b'`, `DELETE FROM label`,
		`INSERT OR REPLACE INTO document (seq, format, body) VALUES (1, 1, x'00')`,
		`INSERT OR REPLACE INTO label (n, seq, at, who, part, hole, batch, note, operator, machine, tags) VALUES (1,1,0,'','','','','','','','[]')`,
		`INSERT OR REPLACE INTO reading (seq, key, source, kept_at, made_at, version, photo_name, job, verdict)
			SELECT 1, key, 'table', 0, 0, '', '', '', '' FROM reading`,
		`INSERT OR REPLACE INTO reading (seq, key, source, kept_at, made_at, version, photo_name, job, verdict)
			SELECT 99, key, 'table', 0, 0, '', '', '', '' FROM reading`,
	} {
		if _, err := s.write.Exec(q); err == nil || !strings.Contains(err.Error(), "never") && !strings.Contains(err.Error(), "only added") {
			t.Errorf("%s: err = %v, want a refusal", q, err)
		}
	}
	if _, err := s.read.Exec(`DELETE FROM finder`); err == nil {
		t.Error("a reading connection could write")
	}
	if _, _, err := s.Get(t.Context(), 1); err != nil {
		t.Error(err)
	}
}

func TestCorrectionPointsToTheOldReading(t *testing.T) {
	s := openNew(t)
	old := keepSample(t, s, 1, Labels{Batch: "b"})
	photo := samplePhoto(1, 3000)
	better := sampleReading(2, photo)
	for _, c := range []Correction{{Of: old, Who: "Wren"}, {Of: old, Why: "wrong bore"}, {Of: old, Who: " ", Why: " "}} {
		if _, err := s.Correct(t.Context(), better, photo, Labels{}, c); !errors.Is(err, ErrRefused) {
			t.Errorf("Correct(%+v): err = %v, want ErrRefused", c, err)
		}
	}
	if _, err := s.Correct(t.Context(), better, photo, Labels{}, Correction{Of: 77, Who: "Wren", Why: "x"}); !errors.Is(err, ErrNotFound) {
		t.Errorf("correction of nothing: err = %v, want ErrNotFound", err)
	}
	id, err := s.Correct(t.Context(), better, photo, Labels{Batch: "b"}, Correction{Of: old, Who: "Wren", Why: "wrong bore on the card"})
	if err != nil {
		t.Fatal(err)
	}
	_, was, err := s.Get(t.Context(), old)
	if err != nil || was.ReplacedBy != id {
		t.Errorf("old: ReplacedBy = %d, %v, want %d", was.ReplacedBy, err, id)
	}
	_, is, err := s.Get(t.Context(), id)
	if err != nil || is.Replaces != old || is.Who != "Wren" || is.Why != "wrong bore on the card" {
		t.Errorf("new: %+v, %v", is, err)
	}
	if _, err := s.Correct(t.Context(), sampleReading(3, photo), photo, Labels{}, Correction{Of: old, Who: "Ash", Why: "again"}); !errors.Is(err, ErrRefused) {
		t.Errorf("second correction of one reading: err = %v, want ErrRefused", err)
	}
	for q, want := range map[Query][]ID{{Batch: "b"}: {id}, {Batch: "b", WithReplaced: true}: {id, old}} {
		if got := ids(t, s, q); !cmp.Equal(got, want) {
			t.Errorf("Find(%+v) = %v, want %v", q, got, want)
		}
	}
}

func TestLabelsAreAddedNotChanged(t *testing.T) {
	s := openNew(t)
	id := keepSample(t, s, 1, Labels{Part: "A1", Tags: []string{"first"}})
	if err := s.Label(t.Context(), id, "Ash", Labels{Part: " A2 ", Note: "was mixed up", Tags: []string{"second"}}); err != nil {
		t.Fatal(err)
	}
	if err := s.Label(t.Context(), 9, "Ash", Labels{}); !errors.Is(err, ErrNotFound) {
		t.Errorf("label of nothing: err = %v, want ErrNotFound", err)
	}
	h, err := s.History(t.Context(), id)
	if err != nil || len(h) != 2 || h[0].Part != "A1" || h[1].Part != "A2" || h[1].Who != "Ash" {
		t.Errorf("History = %+v, %v", h, err)
	}
	for q, want := range map[Query]int{{Part: "A1"}: 0, {Part: "a2"}: 1, {Tag: "first"}: 0, {Tag: "second"}: 1, {Text: "first"}: 0, {Text: "mixed"}: 1} {
		if got := ids(t, s, q); len(got) != want {
			t.Errorf("Find(%+v) = %v, want %d", q, got, want)
		}
	}
}

func TestFilesArePrivate(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s := openAt(t, dir)
	keepSample(t, s, 1, Labels{})
	n := 0
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		n++
		want := os.FileMode(0o600)
		if d.IsDir() {
			want = 0o700
		}
		if info.Mode().Perm() != want {
			t.Errorf("%s has mode %o, want %o", path, info.Mode().Perm(), want)
		}
		return nil
	})
	if err != nil || n < 8 { // folder, photos, shard, photo, lock, database and its two side files
		t.Errorf("looked at %d files, %v", n, err)
	}
}

func TestOddFolderNames(t *testing.T) {
	for _, name := range []string{"with space", "what?mode=ro", "50%25", "a#b", "größe", "a;b&c", "x'y", "-dash"} {
		dir := filepath.Join(t.TempDir(), name)
		s := openAt(t, dir)
		keepSample(t, s, 1, Labels{})
		s.Close()
		if _, err := os.Stat(filepath.Join(dir, databaseName)); err != nil {
			t.Errorf("%q: %v", name, err)
		}
		if got := ids(t, openAt(t, dir), Query{}); len(got) != 1 {
			t.Errorf("%q: found %v, want one reading", name, got)
		}
	}
}

func TestOpenRefusesWhatIsNotOurs(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	text := t.TempDir()
	if err := os.WriteFile(filepath.Join(text, databaseName), []byte(strings.Repeat("shopping list\n", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	foreign := t.TempDir()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(foreign, databaseName))
	if err == nil {
		_, err = db.Exec(`CREATE TABLE song (name)`)
	}
	if err != nil {
		t.Fatal(err)
	}
	db.Close()
	before, _ := os.ReadFile(filepath.Join(foreign, databaseName))

	newer := t.TempDir()
	s := openAt(t, newer)
	if _, err := s.write.Exec(`INSERT INTO goose_db_version (version_id, is_applied) VALUES (9999, 1)`); err != nil {
		t.Fatal(err)
	}
	s.Close()

	for _, tt := range []struct {
		name, dir string
		want      error
	}{{"a file", file, ErrNotOurs}, {"a text", text, ErrNotOurs}, {"another program's database", foreign, ErrNotOurs}, {"a newer record", newer, ErrNewer}} {
		t.Run(tt.name, func(t *testing.T) {
			s, err := Open(t.Context(), tt.dir)
			if !errors.Is(err, tt.want) {
				t.Errorf("Open: %v, want %v", err, tt.want)
			}
			checkSentence(t, err)
			if s != nil {
				t.Error("a store came back with the error")
			}
		})
	}
	if after, _ := os.ReadFile(filepath.Join(foreign, databaseName)); !cmp.Equal(before, after) {
		t.Error("another program's database was changed")
	}
}

// checkSentence holds an error's text to what a user should read.
func checkSentence(t *testing.T, err error) {
	t.Helper()
	var p *Problem
	if !errors.As(err, &p) {
		t.Errorf("%T %v is not a *Problem", err, err)
		return
	}
	s := p.Error()
	if !strings.HasSuffix(s, ".") || strings.Contains(s, "SQLITE") || strings.Contains(s, "goroutine") || len(s) < 20 {
		t.Errorf("not a sentence for the user: %q", s)
	}
}

func TestOlderRecordIsBroughtUpToDate(t *testing.T) {
	dir := t.TempDir()
	if err := prepareFolder(dir); err != nil {
		t.Fatal(err)
	}
	// A record as the first schema left it, with a reading in it.
	s := &Store{dir: dir, now: time.Now}
	var err error
	if s.write, err = sql.Open("sqlite", s.dsn("rw")); err != nil {
		t.Fatal(err)
	}
	if err := migrateTo(t.Context(), s.write, 1); err != nil {
		t.Fatal(err)
	}
	id := keepSample(t, s, 1, Labels{Part: "old"})
	s.write.Close()
	s.write = nil

	s = openAt(t, dir)
	if v, err := schemaVersion(t.Context(), s.write); v != latestSchema() || err != nil {
		t.Errorf("schema %d, %v, want %d", v, err, latestSchema())
	}
	if _, e, err := s.Get(t.Context(), id); err != nil || e.Part != "old" {
		t.Errorf("the old reading: %+v, %v", e, err)
	}
	if err := s.KeepExercise(t.Context(), "Wren", "staircase", []byte(`{"level":3}`)); err != nil {
		t.Error(err)
	}
}

func TestPracticeIsForgottenOnRequest(t *testing.T) {
	s := openNew(t)
	for _, who := range []string{"Wren", "Ash", "Wren"} {
		if err := s.KeepExercise(t.Context(), who, "staircase", []byte(`{"secret":"xyzzy`+who+`"}`)); err != nil {
			t.Fatal(err)
		}
	}
	if ex, err := s.Exercises(t.Context(), "wren"); len(ex) != 2 || err != nil || string(ex[0].Body) != `{"secret":"xyzzyWren"}` {
		t.Errorf("Exercises = %+v, %v, want 2", ex, err)
	}
	if err := s.ForgetPerson(t.Context(), "Wren"); err != nil {
		t.Fatal(err)
	}
	if p, err := s.People(t.Context()); err != nil || !cmp.Equal(p, []Value{{"Ash", 1}}) {
		t.Errorf("People = %v, %v, want Ash alone", p, err)
	}
	for _, name := range []string{databaseName, databaseName + "-wal"} {
		b, err := os.ReadFile(s.path(name))
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(b), "xyzzyWren") {
			t.Errorf("%s still holds what was to be forgotten", name)
		}
	}
}

// Two stores on a folder stand for two programs; the kill test has real ones.
func TestTwoProgramsOnOneFolder(t *testing.T) {
	dir := t.TempDir()
	const programs, each = 4, 15
	var wg sync.WaitGroup
	errs := make(chan error, programs*each*2)
	for p := range programs {
		wg.Go(func() {
			s, err := Open(context.Background(), dir) // all at once on an empty folder
			if err != nil {
				errs <- err
				return
			}
			defer s.Close()
			for i := range each {
				// Every second photo is the same one in all programs.
				photo := samplePhoto(uint64(i), 20_000)
				r := sampleReading(uint64(p*each+i), photo)
				if i%2 == 1 {
					photo = samplePhoto(uint64(1000+p*each+i), 20_000)
					r = sampleReading(uint64(p*each+i), photo)
				}
				if _, err := s.Keep(context.Background(), r, photo, Labels{Part: fmt.Sprint(p)}); err != nil {
					errs <- err
				}
				if _, err := s.Last(context.Background(), 5); err != nil {
					errs <- err
				}
			}
		})
	}
	wg.Wait()
	close(errs)
	for err := range errs {
		t.Error(err)
	}
	s := openAt(t, dir)
	if n, err := s.Count(t.Context(), Query{}); n != programs*each || err != nil {
		t.Errorf("%d readings, %v, want %d", n, err, programs*each)
	}
	mustBeSound(t, s)
}

func TestClockGoingBackwards(t *testing.T) {
	s := openNew(t)
	clock := time.Date(2031, 3, 14, 12, 0, 0, 0, time.UTC)
	s.now = func() time.Time { clock = clock.Add(-36 * time.Hour); return clock }
	var want []ID
	for i := range 5 {
		want = append([]ID{keepSample(t, s, uint64(i), Labels{Part: fmt.Sprint("p", i)})}, want...)
	}
	if err := s.Label(t.Context(), 1, "Ash", Labels{Part: "later"}); err != nil {
		t.Fatal(err)
	}
	last, err := s.Last(t.Context(), 3)
	if err != nil || len(last) != 3 {
		t.Fatal(last, err)
	}
	for i, e := range last {
		if e.ID != want[i] {
			t.Errorf("Last[%d] = %d, want %d: the order is that of keeping", i, e.ID, want[i])
		}
	}
	if _, e, _ := s.Get(t.Context(), 1); e.Part != "later" {
		t.Errorf("part %q, want the label written last, whatever the clock said", e.Part)
	}
	mustBeSound(t, s)
}
