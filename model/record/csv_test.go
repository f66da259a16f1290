package record

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"evenrim/model"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// csvOf is the whole of s as a table.
func csvOf(t *testing.T, s *Store) string {
	t.Helper()
	var b bytes.Buffer
	if _, err := s.ExportCSV(t.Context(), &b, Query{WithReplaced: true}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// honest gives a sample reading the verdict and correction that its figures have.
func honest(r *model.Reading) *model.Reading {
	r.Verdict, r.PWithin = model.JudgePhoto(r.Mismatch, r.Cov, r.Job.ToleranceMM, r.Job.Zone)
	r.Correction = model.Correct(r.Mismatch, r.Job.Flip)
	return r
}

func TestTableGoesToAnotherBenchAndIsNotDoubled(t *testing.T) {
	a, b := openNew(t), openNew(t)
	turn := math.Pi / 2
	for i := range 4 {
		photo := samplePhoto(uint64(i), 100)
		l := Labels{Part: "=1+1", Hole: "-3", Batch: "März; \"new\"", HoleAt: &model.Vec{X: 1. / 3, Y: -2}, TurnRad: &turn, Note: "#2, 'quoted'", Tags: []string{"a", "b c"}}
		if _, err := a.Keep(t.Context(), honest(sampleReading(uint64(i), photo)), photo, l); err != nil {
			t.Fatal(err)
		}
	}
	table := csvOf(t, a)
	for round, want := range []ImportResult{{Added: 4}, {Known: 4}} {
		res, err := b.ImportCSV(t.Context(), strings.NewReader(table))
		if err != nil || !cmp.Equal(res, want) {
			t.Fatalf("import %d: %+v, %v, want %+v", round+1, res, err, want)
		}
	}
	if res, err := a.ImportCSV(t.Context(), strings.NewReader(table)); err != nil || !cmp.Equal(res, ImportResult{Known: 4}) {
		t.Errorf("import where it came from: %+v, %v, want all known", res, err)
	}
	// A bench that got them from b sends them back to a.
	if res, err := a.ImportCSV(t.Context(), strings.NewReader(csvOf(t, b))); err != nil || !cmp.Equal(res, ImportResult{Known: 4}) {
		t.Errorf("import of what came round: %+v, %v, want all known", res, err)
	}
	want, err := a.Find(t.Context(), Query{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := b.Find(t.Context(), Query{})
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, got, sameBits, cmpopts.IgnoreFields(Entry{}, "Key", "OriginKey", "Source", "KeptAt", "PhotoSHA256")); d != "" {
		t.Errorf("entries by way of a table (-want +got):\n%s", d)
	}
	for _, e := range got {
		r, _, err := b.Get(t.Context(), e.ID)
		if err != nil || e.Source != FromTable || e.OriginKey == "" || r.Warnings[0] != TableWarning {
			t.Errorf("reading %d does not say that it is from a table: %+v, %v", e.ID, r.Warnings, err)
		}
	}
	mustBeSound(t, b)

	list, err := model.ParseList([]byte(table), "", model.JobCard{})
	if err != nil || len(list.Rows) != 4 {
		t.Fatalf("the table is no list of photos: %v", err)
	}
	for _, r := range list.Rows {
		if r.Err != nil || math.Abs(r.Job.BoreMM-10) > 1e-12 || math.Abs(*r.Turn-turn) > 1e-12 {
			t.Errorf("row %d as a list of photos: %+v, %v", r.Row, r.Job, r.Err)
		}
	}
}

func TestTableOfAnotherProgram(t *testing.T) {
	s := openNew(t)
	table := "\xef\xbb\xbfBore;dx_thou;dy um;u95_in;made-at;tolerance;part;colour\r\n" +
		"# a comment\r\n\r\n" +
		"0,5in;1,5;-12,7;0,0001;2031-03-14;0,002in;P1;red\r\n" +
		"12.7mm;1.5;-12.7;0.0001;2031-03-14 09:26;2thou;P2;blue\r\n"
	res, err := s.ImportCSV(t.Context(), strings.NewReader(table))
	if err != nil || res.Added != 2 || len(res.Errors) != 0 || !anyContains(res.Notes, `"colour" is not known`) {
		t.Fatalf("%+v, %v", res, err)
	}
	list, err := s.Find(t.Context(), Query{})
	if err != nil {
		t.Fatal(err)
	}
	// By hand: 1.5 thou = 0.0381 mm, 12.7 um = 0.0127 mm, 0.0001 in = 0.00254 mm.
	for _, e := range list {
		sigma := 0.00254 / 2.447746830680816 // sqrt(-2 ln 0.05): the 95 % radius of the 2-D normal (check-values 3.2: 2.44775)
		if math.Abs(e.Mismatch.X-0.0381) > 1e-12 || math.Abs(e.Mismatch.Y+0.0127) > 1e-12 || math.Abs(e.U95MM-0.00254) > 1e-12 ||
			math.Abs(e.BoreMM-12.7) > 1e-12 || math.Abs(e.ToleranceMM-0.0508) > 1e-12 || math.Abs(e.Cov.XX-sigma*sigma) > 1e-15 || e.Cov.XY != 0 {
			t.Errorf("%+v", e)
		}
		if want := time.Date(2031, 3, 14, 0, 0, 0, 0, time.UTC); e.MadeAt.Truncate(24*time.Hour) != want {
			t.Errorf("made at %v, want the day %v", e.MadeAt, want)
		}
	}
}

func TestBadRowsAreNamedAndTheOthersKept(t *testing.T) {
	const header = "photo,bore,made_at,dx_mm,dy_mm,u95_mm,cov_xx_mm2,cov_xy_mm2,cov_yy_mm2,key\n"
	const good = "a.jpg,10,2031-03-14,0.01,0,0.002,,,,\n"
	for _, tt := range []struct{ row, want string }{
		{"b.jpg,,2031-03-14,0.01,0,0.002,,,,", "bore diameter"},
		{"b.jpg,-10,2031-03-14,0.01,0,0.002,,,,", "bore diameter"},
		{"b.jpg,10yd,2031-03-14,0.01,0,0.002,,,,", "unknown unit"},
		{"b.jpg,10,yesterday,0.01,0,0.002,,,,", "made_at"},
		{"b.jpg,10,,0.01,0,0.002,,,,", "made_at"},
		{"b.jpg,10,2031-03-14,,0,0.002,,,,", "mismatch is missing"},
		{"b.jpg,10,2031-03-14,0.01,,0.002,,,,", "mismatch is missing"},
		{"b.jpg,10,2031-03-14,much,0,0.002,,,,", `"much" is not a number`},
		{"b.jpg,10,2031-03-14,NaN,0,0.002,,,,", "not a number"},
		{"b.jpg,10,2031-03-14,31,0,0.002,,,,", "check the unit"},
		{"b.jpg,10,2031-03-14,0.01,0,,,,,", "uncertainty is missing"},
		{"b.jpg,10,2031-03-14,0.01,0,0,,,,", "more than zero"},
		{"b.jpg,10,2031-03-14,0.01,0,-1,,,,", "more than zero"},
		{"b.jpg,10,2031-03-14,0.01,0,,1e-6,2e-6,1e-6,", "not a covariance"},
		{"b.jpg,10,2031-03-14,0.01,0,,-1e-6,0,-1e-6,", "not a covariance"},
		{"b.jpg,10,2031-03-14,0.01,0,,1e-6,0,,", "uncertainty is missing"},
		{"b.jpg,10,2031-03-14,0.01,0,0.002,,,,abc", "key"},
		{"b.jpg,10,2031-03-14,0.01,0,0.002,,,,,surplus", "more cells"},
		{`"b.jpg,10,2031-03-14,0.01,0,0.002,,,,`, "quotation mark"},
	} {
		s := openNew(t)
		res, err := s.ImportCSV(t.Context(), strings.NewReader(header+good+tt.row+"\n"+strings.Replace(good, "a.jpg", "c.jpg", 1)))
		if err != nil || res.Added != 2 || len(res.Errors) != 1 || res.Errors[0].Row != 3 || !strings.Contains(res.Errors[0].Sentence, tt.want) {
			t.Errorf("%s\n%+v, %v; want row 3 named with %q and the two others kept", tt.row, res, err, tt.want)
		}
	}
}

func TestTableThatIsNone(t *testing.T) {
	s := openNew(t)
	for name, in := range map[string]string{
		"empty": "", "blank": "\n\n", "binary": "a\x00b", "not UTF-8": "bore,\xff\n", "no bore": "made_at,dx_mm,dy_mm,u95_mm\n",
		"no date": "bore,dx_mm,dy_mm,u95_mm\n", "no mismatch": "bore,made_at,u95_mm\n", "no uncertainty": "bore,made_at,dx_mm,dy_mm\n",
		"two of one": "bore,bore,made_at,dx_mm,dy_mm,u95_mm\n", "too large": strings.Repeat("x", model.MaxListBytes+1),
	} {
		_, err := s.ImportCSV(t.Context(), strings.NewReader(in))
		if !errors.Is(err, ErrRefused) {
			t.Errorf("%s: %v, want ErrRefused", name, err)
		}
		checkSentence(t, err)
	}
}

func TestVerdictOfATableIsComputedAnew(t *testing.T) {
	s := openNew(t)
	// 0.1 mm off with u95 0.002 mm against 0.0254 mm: outside beyond any doubt.
	res, err := s.ImportCSV(t.Context(), strings.NewReader("bore,made_at,dx_mm,dy_mm,u95_mm,verdict\n10,2031-03-14,0.1,0,0.002,conforms\n"))
	if err != nil || res.Added != 1 {
		t.Fatal(res, err)
	}
	r, e, err := s.Get(t.Context(), 1)
	if err != nil || e.Verdict != model.DoesNotConform || !anyContains(r.Warnings, `The table said "conforms"`) {
		t.Errorf("verdict %q, warnings %q, %v", e.Verdict, r.Warnings, err)
	}
}

func TestPlainTextSurvivesASpreadsheet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`['=+\-@#]{0,3}[a-z0-9 ,;"]{0,6}`).Draw(t, "s")
		p := plain(s)
		if got := unplain(p); got != s {
			t.Fatalf("unplain(plain(%q)) = %q", s, got)
		}
		if p != "" && strings.ContainsRune("=@", rune(p[0])) {
			t.Fatalf("plain(%q) = %q is a formula", s, p)
		}
	})
}

func FuzzImportCSV(f *testing.F) {
	f.Add("bore,made_at,dx_mm,dy_mm,u95_mm\n10,2031-03-14,0.1,0,0.002\n")
	f.Add("bore;made_at;dx_thou;dy_um;cov_xx_mm2;cov_xy_mm2;cov_yy_mm2;photo\n0,5in;2031-03-14;1,5;2;1e-6;0;1e-6;#x\n")
	f.Fuzz(func(t *testing.T, in string) {
		table, err := newTable([]byte(in))
		if err != nil {
			return
		}
		for table.next() {
			in, _, err := table.reading()
			if err != nil {
				continue
			}
			r := in.reading
			if !r.Mismatch.IsFinite() || !(r.U95MM > 0) || !(r.Cov.XX > 0) || !(r.Cov.YY > 0) || r.Job.Validate() != nil || r.MadeAt.IsZero() {
				t.Fatalf("an impossible reading came in: %+v", r)
			}
		}
	})
}
