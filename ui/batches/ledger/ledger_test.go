package ledger_test

import (
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/record"
	"evenrim/ui/batches/ledger"
	"evenrim/ui/uitest"

	"github.com/google/go-cmp/cmp"
)

func TestFilterAsTyped(t *testing.T) {
	day := func(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.Local) }
	for _, tt := range []struct {
		name string
		f    ledger.Filter
		want record.Query
		says string
	}{
		{"nothing", ledger.Filter{}, record.Query{}, ""},
		{"all", ledger.Filter{Text: "edge", From: "2031-03-01", To: " 2031-03-31 ", Job: " bracket ", Part: "7", Tag: "demo", Verdict: model.Undecided},
			record.Query{Text: "edge", From: day(2031, 3, 1), To: day(2031, 4, 1), Job: "bracket", Part: "7", Tag: "demo", Verdict: model.Undecided}, ""},
		{"one day", ledger.Filter{From: "14.3.2031", To: "2031-3-14"}, record.Query{From: day(2031, 3, 14), To: day(2031, 3, 15)}, ""},
		{"no day", ledger.Filter{From: "last week"}, record.Query{}, "From: \"last week\" is no day"},
		{"backwards", ledger.Filter{From: "2031-03-02", To: "2031-03-01"}, record.Query{}, "comes before"},
	} {
		got, problem := tt.f.Query()
		if !strings.Contains(problem, tt.says) || (problem == "") != (tt.says == "") {
			t.Errorf("%s: says %q, want %q", tt.name, problem, tt.says)
		}
		if problem == "" {
			if d := cmp.Diff(tt.want, got); d != "" {
				t.Errorf("%s (-want +got):\n%s", tt.name, d)
			}
		}
	}
}

func TestPickingKeepsTheOrderAndAsksForRoom(t *testing.T) {
	l := ledger.New()
	for _, n := range []string{"a", "b", "c", "d"} {
		if s := l.Pick(n); s != "" {
			t.Fatal(s)
		}
	}
	if s := l.Pick("e"); !strings.Contains(s, "take one off") || len(l.Picked) != 4 {
		t.Errorf("a fifth: %q, %v", s, l.Picked)
	}
	l.Pick("b")
	if d := cmp.Diff([]string{"a", "c", "d"}, l.Picked); d != "" || l.Place("c") != 1 || l.Place("b") != -1 {
		t.Errorf("after taking b off: %v", l.Picked)
	}
	l.Keep([]record.Value{{Name: "d", Count: 1}})
	if d := cmp.Diff([]string{"d"}, l.Picked); d != "" {
		t.Errorf("after the others are gone: %v", l.Picked)
	}
}

func TestListedBatchesFollowTheSearch(t *testing.T) {
	l := ledger.New()
	l.Keep([]record.Value{{Name: "March"}, {Name: "march, second"}, {Name: "April"}})
	for _, tt := range []struct {
		text string
		want int
	}{{"", 3}, {"MAR", 2}, {"raw edge", 3}, {" april ", 1}} {
		l.Filter.Text = tt.text
		if got := l.Listed(); len(got) != tt.want {
			t.Errorf("%q: %v, want %d", tt.text, got, tt.want)
		}
	}
	l.Pick("March")
	l.Filter.Text = "april"
	if got := l.Listed(); len(got) != 2 {
		t.Errorf("what is picked stays: %v", got)
	}
}

func TestLabelsOfOneAndOfSeveral(t *testing.T) {
	old := record.Labels{Part: "7", Batch: "March", Note: "burr", Tags: []string{"demo"}}
	form := ledger.LabelForm{Batch: " April ", Tags: "new stop, #checked;"}
	one := form.Onto(old, false)
	if one.Part != "" || one.Batch != "April" || one.Note != "" || len(one.Tags) != 2 || one.Tags[1] != "checked" {
		t.Errorf("one: %+v", one)
	}
	several := form.Onto(old, true)
	if several.Part != "7" || several.Batch != "April" || several.Note != "burr" || len(several.Tags) != 2 {
		t.Errorf("several: %+v", several)
	}
	if again := ledger.FormOf(several).Onto(several, false); !cmp.Equal(again, several) {
		t.Errorf("the form changes what it only shows: %+v", again)
	}
}

func TestLoadedBatchesTellTheirStories(t *testing.T) {
	a := uitest.NewArchives(t)
	l, err := ledger.Load(t.Context(), a.DemoStore, []string{"RAW EDGE", "fixed", "drifting"}, record.Query{})
	if err != nil {
		t.Fatal(err)
	}
	if len(l.Batches) != 3 || len(l.Batches[0].Parts) != 8 || len(l.Batches[2].Parts) != 12 || l.Batches[0].Parts[0].Name != "r1" {
		t.Fatalf("%d batches, %d parts in the first, the first is %q", len(l.Batches), len(l.Batches[0].Parts), l.Batches[0].Parts[0].Name)
	}
	if h := l.Compares[0].Headline(); !strings.HasPrefix(h, "It helped") {
		t.Errorf("raw edge to fixed: %q", h)
	}
	if s := strings.Join(l.Answers[2].SignalWords(), "\n"); !strings.Contains(s, "has drifted") {
		t.Errorf("drifting: %s", s)
	}
	rows := l.PartRows(chart.MM)
	if len(rows) != 30 || rows[0].Name != "r1" || !strings.HasPrefix(rows[0].PM, "± 0.00") || rows[0].Verdict != model.DoesNotConform {
		t.Errorf("%d rows, the first %+v", len(rows), rows[0])
	}
	inch := l.PartRows(chart.Inch)[0]
	if !strings.HasPrefix(inch.X, "+0.001") {
		t.Errorf("in inches: %+v", inch)
	}
	if _, _, ok := l.StudyWords(chart.MM); ok {
		t.Error("batches of one reading each make a gauge study")
	}
	for _, f := range l.Funnels {
		if len(f.Runs) != 4 {
			t.Errorf("%d habits", len(f.Runs))
		}
	}
}

func TestGaugeStudyOfKeptReadings(t *testing.T) {
	a := uitest.NewArchives(t)
	l, err := ledger.Load(t.Context(), a.DemoStore, []string{"gauge study"}, record.Query{})
	if err != nil {
		t.Fatal(err)
	}
	x, y, ok := l.StudyWords(chart.MM)
	all := strings.Join(append(x, y...), "\n")
	if !ok || !strings.Contains(all, "4 parts, 2 persons, 2 readings each") || !strings.Contains(all, "of the tolerance band") || strings.Contains(all, "NaN") {
		t.Errorf("%v\n%s", ok, all)
	}
	if r := l.PartRow(0, 0, chart.MM); r.Name != "g1 (4 photos)" {
		t.Errorf("%+v", r)
	}
}

func TestFilterNarrowsTheStatistics(t *testing.T) {
	a := uitest.NewArchives(t)
	l, err := ledger.Load(t.Context(), a.DemoStore, []string{"raw edge", "fixed"}, record.Query{Text: "milled"})
	if err != nil {
		t.Fatal(err)
	}
	if len(l.Batches) != 1 || l.Batches[0].Name != "fixed" || len(l.Notes) != 1 {
		t.Errorf("%d batches, notes %v", len(l.Batches), l.Notes)
	}
}

// A part read anew stays where it stood in the run: a chart of drift is in the order of making.
func TestAPartReadAgainStaysInItsPlace(t *testing.T) {
	a := uitest.NewArchives(t)
	r, e, err := a.DemoStore.Get(t.Context(), 2)
	if err != nil {
		t.Fatal(err)
	}
	photo, err := a.DemoStore.Photo(t.Context(), e.PhotoSHA256)
	if err != nil {
		t.Fatal(err)
	}
	again := *r
	again.MadeAt = r.MadeAt.AddDate(0, 1, 0)
	if _, of, err := a.DemoStore.KeepInPlace(t.Context(), &again, photo, record.Labels{}, "Wren"); err != nil || of != 2 {
		t.Fatalf("in the place of %d, %v", of, err)
	}
	l, err := ledger.Load(t.Context(), a.DemoStore, []string{e.Batch}, record.Query{})
	if err != nil {
		t.Fatal(err)
	}
	if p := l.Batches[0].Parts; len(p) != 8 || p[1].Name != e.Part || !p[1].Readings[0].MadeAt.Equal(again.MadeAt) {
		t.Errorf("%d parts, the second %q of %v; want 8 with part %s read anew", len(p), p[1].Name, p[1].Readings[0].MadeAt, e.Part)
	}
}

func TestUnnamedReadingIsCalledAsItsFile(t *testing.T) {
	if got := ledger.NameOf(record.Entry{PhotoName: "/shop/photos/2031/x.jpg"}); got != "x.jpg" {
		t.Errorf("called %q", got)
	}
}

func TestTitleOfAReadingSaysWhenItWasMade(t *testing.T) {
	e := record.Entry{ID: 7, PhotoName: "x.jpg", MadeAt: time.Date(2031, 3, 3, 8, 5, 0, 0, time.Local), Labels: record.Labels{Part: "r1", Batch: "raw edge"}}
	if got, want := ledger.TitleOf(e), "No. 7, r1, batch raw edge, made 2031-03-03 08:05"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestSteppingThroughPhotos(t *testing.T) {
	a := uitest.NewArchives(t)
	s := ledger.New()
	s.Pick("raw edge")
	var err error
	if s.Loaded, err = ledger.Load(t.Context(), a.DemoStore, s.Picked, record.Query{}); err != nil {
		t.Fatal(err)
	}
	first := s.ShownPart(0)
	for range 8 {
		s.Step(0, 1)
	}
	if s.ShownPart(0) != first || s.ShownReading(0) == nil {
		t.Errorf("eight steps lead from %d to %d", first, s.ShownPart(0))
	}
	s.Step(0, -1)
	name, words := s.PanelWords(0)
	if !strings.HasPrefix(name, "raw edge, part r") || !strings.Contains(words, "±") {
		t.Errorf("%q, %q", name, words)
	}
}

func TestWriteAddsALineAndNothingElse(t *testing.T) {
	a := uitest.NewArchives(t)
	before, _, err := a.DemoStore.Get(t.Context(), 1)
	if err != nil {
		t.Fatal(err)
	}
	n, err := ledger.Write(t.Context(), a.DemoStore, "Moss", []record.ID{2, 1}, ledger.LabelForm{Note: "new vise jaw"}, true)
	if err != nil || n != 2 {
		t.Fatalf("%d, %v", n, err)
	}
	if n, err = ledger.Write(t.Context(), a.DemoStore, "Moss", []record.ID{1, 2}, ledger.LabelForm{Note: "new vise jaw"}, true); n != 0 || err != nil {
		t.Errorf("said twice: %d, %v", n, err)
	}
	after, e, err := a.DemoStore.Get(t.Context(), 1)
	if err != nil || e.Note != "new vise jaw" || e.Batch != "raw edge" {
		t.Errorf("%+v, %v", e.Labels, err)
	}
	if d := cmp.Diff(before, after); d != "" {
		t.Errorf("the reading changed:\n%s", d)
	}
	h, err := a.DemoStore.History(t.Context(), 1)
	if err != nil {
		t.Fatal(err)
	}
	words := ledger.HistoryWords(h)
	if len(words) != 2 || !strings.Contains(words[1], ", Moss: note “new vise jaw”") || strings.Contains(words[1], "batch") {
		t.Errorf("%q", words)
	}
}
