package record

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// exported writes what fits q to a file and returns its bytes.
func exported(t testing.TB, s *Store, q Query) (string, []byte) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "x.zip")
	if _, err := s.ExportZip(t.Context(), path, q); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return path, b
}

// imported imports the zip data into s.
func imported(t testing.TB, s *Store, data []byte) (ImportResult, error) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "in.zip")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return s.ImportZip(t.Context(), path)
}

// bench is a record with a labelled, a corrected and a plain reading.
func bench(t testing.TB) *Store {
	t.Helper()
	s := openNew(t)
	keepSample(t, s, 1, Labels{Part: "1", Batch: "b"})
	keepSample(t, s, 2, Labels{Part: "2", Batch: "c"})
	if err := s.Label(t.Context(), 1, "Ash", Labels{Part: "1a", Batch: "b", Tags: []string{"x"}}); err != nil {
		t.Fatal(err)
	}
	photo := samplePhoto(1, 3000)
	if _, err := s.Correct(t.Context(), sampleReading(3, photo), photo, Labels{Part: "1a", Batch: "b"}, Correction{Of: 1, Who: "Ash", Why: "wrong bore"}); err != nil {
		t.Fatal(err)
	}
	return s
}

func TestReadingsGoToAnotherBenchWholeAndAreNotDoubled(t *testing.T) {
	a, b := bench(t), openNew(t)
	keepSample(t, b, 50, Labels{}) // so that the numbers differ
	_, data := exported(t, a, Query{})
	for round, want := range []ImportResult{{Added: 3}, {Known: 3}} {
		if res, err := imported(t, b, data); err != nil || !cmp.Equal(res, want) {
			t.Fatalf("import %d: %+v, %v, want %+v", round+1, res, err, want)
		}
	}
	if res, err := imported(t, a, data); err != nil || !cmp.Equal(res, ImportResult{Known: 3}) {
		t.Errorf("import where it came from: %+v, %v", res, err)
	}
	mustBeSound(t, b)
	for id := ID(1); id <= 3; id++ {
		want, we, err := a.Get(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		got, ge, err := b.Get(t.Context(), id+1)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, got, sameBits); d != "" {
			t.Errorf("reading %d (-want +got):\n%s", id, d)
		}
		if d := cmp.Diff(we, ge, sameBits, cmpopts.IgnoreFields(Entry{}, "ID", "First", "KeptAt", "Replaces", "ReplacedBy")); d != "" {
			t.Errorf("entry %d (-want +got):\n%s", id, d)
		}
		if ge.First != we.First+1 {
			t.Errorf("entry %d stands where %d stood, want %d", id, ge.First, we.First+1)
		}
		wh, _ := a.History(t.Context(), id)
		gh, _ := b.History(t.Context(), id+1)
		if d := cmp.Diff(wh[:len(wh)-1], gh[:len(gh)-1]); d != "" || len(wh) == 0 {
			t.Errorf("labels of %d (-want +got):\n%s", id, d)
		}
	}
	if _, e, _ := b.Get(t.Context(), 4); e.Replaces != 2 || e.Why != "wrong bore" {
		t.Errorf("the correction points to %d because %q, want 2", e.Replaces, e.Why)
	}
	// The two records now hold the same, and say so in the same bytes but for the
	// numbers and times of keeping.
	if err := b.Label(t.Context(), 3, "Wren", Labels{Part: "renamed"}); err != nil {
		t.Fatal(err)
	}
	if res, err := imported(t, b, data); err != nil || res.OtherLabels != 1 {
		t.Errorf("import over other labels: %+v, %v, want one counted", res, err)
	}
}

func TestExportTakesWhatFitsAndWhatItCorrects(t *testing.T) {
	a, b := bench(t), openNew(t)
	path, data := exported(t, a, Query{Batch: "b"}) // finds only the correction
	if res, err := imported(t, b, data); err != nil || res.Added != 2 {
		t.Errorf("%+v, %v, want the correction and the corrected", res, err)
	}
	if _, err := a.ExportZip(t.Context(), path, Query{}); !errors.Is(err, ErrRefused) {
		t.Errorf("export over a file: %v, want ErrRefused", err)
	}
}

func TestWholeReadingTakesThePlaceOfItsFigures(t *testing.T) {
	a, b := openNew(t), openNew(t)
	keepSample(t, a, 1, Labels{Part: "1"})
	if res, err := b.ImportCSV(t.Context(), strings.NewReader(csvOf(t, a))); err != nil || res.Added != 1 {
		t.Fatal(res, err)
	}
	_, data := exported(t, a, Query{})
	if res, err := imported(t, b, data); err != nil || res.Added != 1 {
		t.Fatal(res, err)
	}
	list, err := b.Find(t.Context(), Query{})
	if err != nil || len(list) != 1 || list[0].Source != FromPhoto || list[0].Replaces != 1 {
		t.Errorf("%+v, %v, want the whole reading alone", list, err)
	}
	if res, err := imported(t, b, data); err != nil || res.Known != 1 {
		t.Errorf("again: %+v, %v", res, err)
	}
}

func TestHostileAndDamagedImports(t *testing.T) {
	a := bench(t)
	_, data := exported(t, a, Query{})
	lines := strings.SplitAfter(strings.TrimSpace(entryOf(t, data, linesName)), "\n")
	sha2 := HashPhoto(samplePhoto(2, 3000))
	defer func(old int64) { freeExpansion = old }(freeExpansion)
	freeExpansion = 1 << 20
	bomb := bytes.Repeat([]byte{0}, 16<<20)
	for _, tt := range []struct {
		name   string
		change map[string]string
		want   error  // of the whole
		added  int    // rows that come in all the same
		row    int    // that is named
		says   string // by it, or by a note
	}{
		{name: "nothing", change: nil, added: 3},
		{name: "paths out of the folder are never followed", change: map[string]string{"../../evil": "x", "/tmp/evil": "x", `..\evil`: "x", "photos/../../evil": "x"}, added: 3},
		{name: "unknown files are left", change: map[string]string{"readme.txt": "x", "photos/" + strings.Repeat("0", 64): "x"}, added: 3},
		{name: "photo changed", change: map[string]string{photoEntry(sha2): "other"}, added: 2, row: 2, says: "do not match"},
		{name: "photo missing", change: map[string]string{photoEntry(sha2): "-"}, added: 2, row: 2, says: "not whole"},
		{name: "figure changed", change: map[string]string{linesName: strings.Replace(strings.Join(lines, ""), `"U95MM":0.0028`, `"U95MM":0.0001`, 1)}, added: 1, row: 1, says: "does not match its key"},
		{name: "not JSON", change: map[string]string{linesName: lines[0] + "{oops\n" + lines[1]}, added: 2, row: 2, says: "not a reading"},
		{name: "corrected one left out", change: map[string]string{linesName: lines[1] + lines[2]}, added: 1, row: 2, says: "neither in the file nor here"},
		{name: "line without a photo's hash", change: map[string]string{linesName: lineWith(t, `{"format":1,"reading":{}}`, `"source":"photo"`)}, row: 1, says: "names no photo"},
		{name: "line with a path for a hash", change: map[string]string{linesName: lineWith(t, `{"format":1,"reading":{"Photo":{"SHA256":"../../../../etc/passwd"}}}`, `"source":"photo"`)}, row: 1, says: "names no photo"},
		{name: "line without a source", change: map[string]string{linesName: lineWith(t, `{"format":1,"reading":{}}`, `"source":"heaven"`)}, row: 1, says: "where it came from"},
		{name: "correction without a name", change: map[string]string{linesName: lineWith(t, `{"format":1,"reading":{}}`, `"source":"table","replaces":"`+strings.Repeat("a", 64)+`"`)}, row: 1, says: "by whom"},
		{name: "bomb in the lines", change: map[string]string{linesName: string(bomb)}, want: ErrRefused},
		{name: "bomb in a photo", change: map[string]string{photoEntry(sha2): string(bomb)}, added: 1, want: ErrRefused},
		{name: "head gone", change: map[string]string{exchangeName: "-"}, want: ErrNotOurs},
		{name: "lines gone", change: map[string]string{linesName: "-"}, want: ErrDamaged},
		{name: "newer", change: map[string]string{exchangeName: `{"format":2,"kind":"evenrim-readings"}`}, want: ErrNewer},
		{name: "another zip", change: map[string]string{exchangeName: `{"format":1,"kind":"songs"}`}, want: ErrNotOurs},
	} {
		t.Run(tt.name, func(t *testing.T) {
			outer := t.TempDir()
			s := openAt(t, filepath.Join(outer, "data"))
			res, err := imported(t, s, rezip(t, data, tt.change))
			if !errors.Is(err, tt.want) {
				t.Errorf("err = %v, want %v", err, tt.want)
			}
			if err != nil {
				checkSentence(t, err)
			}
			if res.Added != tt.added {
				t.Errorf("added %d, want %d: %+v", res.Added, tt.added, res)
			}
			if tt.row > 0 && (len(res.Errors) == 0 || res.Errors[0].Row != tt.row || !strings.Contains(res.Errors[0].Sentence, tt.says)) {
				t.Errorf("errors %v, want row %d with %q", res.Errors, tt.row, tt.says)
			}
			if left, _ := os.ReadDir(outer); len(left) != 1 {
				t.Errorf("beside the data folder: %v", left)
			}
			if parts, _ := filepath.Glob(filepath.Join(s.Dir(), photosName, partPrefix+"*")); len(parts) != 0 {
				t.Errorf("unfinished photos left: %v", parts)
			}
			mustBeSound(t, s)
		})
	}
}

func TestImportRefusesTwoFilesOfOneName(t *testing.T) {
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for range 2 {
		if _, err := w.Create(linesName); err != nil {
			t.Fatal(err)
		}
	}
	w.Close()
	if _, err := imported(t, openNew(t), b.Bytes()); !errors.Is(err, ErrRefused) {
		t.Errorf("err = %v, want ErrRefused", err)
	}
}

func entryOf(t testing.TB, data []byte, name string) string {
	t.Helper()
	r, err := newZipReader(bytes.NewReader(data), int64(len(data)), "x")
	if err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "e")
	if err := r.extract(name, out); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// lineWith is a line whose key is right for doc.
func lineWith(t testing.TB, doc, more string) string {
	t.Helper()
	key, err := json.Marshal(keyOf([]byte(doc)))
	if err != nil {
		t.Fatal(err)
	}
	return `{"key":` + string(key) + `,` + more + `,"document":` + doc + "}\n"
}

// FuzzImportZip feeds lines to an otherwise whole file: whatever comes in must
// leave a sound record.
func FuzzImportZip(f *testing.F) {
	a := bench(f)
	_, data := exported(f, a, Query{})
	f.Add([]byte(entryOf(f, data, linesName)), false)
	f.Add([]byte(lineWith(f, `{"format":1,"reading":{"U95MM":"NaN"}}`, `"source":"table","labels":[{"tags":["a","a",""],"hole_x_mm":1}]`)), false)
	f.Add(data, true)
	f.Fuzz(func(t *testing.T, in []byte, whole bool) {
		if !whole {
			in = rezip(t, data, map[string]string{linesName: string(in)})
		}
		z, err := newZipReader(bytes.NewReader(in), int64(len(in)), "x")
		if err != nil {
			return
		}
		s := openNew(t)
		if _, err := s.importZip(t.Context(), z); err != nil {
			var p *Problem
			if !errors.As(explain("import", "x", err), &p) {
				t.Fatalf("no sentence: %v", err)
			}
		}
		mustBeSound(t, s)
		s.Close()
	})
}
