package practice

import (
	"bytes"
	"encoding/csv"
	"reflect"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/chart"
)

func marked(scores ...float64) (p Progress) {
	for i, s := range scores {
		p.Entries = append(p.Entries, Entry{At: time.Date(2026, 5, 1, 8, i, 0, 0, time.UTC), Exercise: &Done{Seed: 1, N: i + 1, Score: s}})
	}
	return p
}

func TestLevelFollowsSkill(t *testing.T) {
	for _, c := range []struct {
		name   string
		scores []float64
		want   int
	}{
		{"new", nil, 1},
		{"two good", []float64{1, 1}, 1},
		{"three good", []float64{1, 0.8, 0.9}, 2},
		{"a middling one breaks the row", []float64{1, 1, 0.5, 1}, 1},
		{"six good", []float64{1, 1, 1, 1, 1, 1}, 3},
		{"six good, two poor", []float64{1, 1, 1, 1, 1, 1, 0.1, 0.2}, 2},
		{"never below the least", []float64{0, 0, 0, 0, 0}, 1},
	} {
		if got := marked(c.scores...).Level(); got != c.want {
			t.Errorf("%s: level %d, want %d", c.name, got, c.want)
		}
	}
	all := make([]float64, 60)
	for i := range all {
		all[i] = 1
	}
	if got := marked(all...).Level(); got != MostLevel {
		t.Errorf("sixty good: level %d, want %d", got, MostLevel)
	}
	own := marked(1, 1)
	own.Entries = append(own.Entries, Entry{Exercise: &Done{Score: 1, Photo: "own.jpg"}})
	if got := own.Level(); got != 1 {
		t.Errorf("an own photo moved the level to %d", got)
	}
}

func TestEntriesSurviveTheRecord(t *testing.T) {
	e := NewExercise(3, 1, 4)
	a := Answer{WideRad: 1, SizeMM: 0.03, Verdict: model.Conforms, Cause: Damaged}
	done := DoneOf(e, "", a, e.Key, MarkOf(e.Key, a, chart.MM))
	at := time.Date(2026, 5, 1, 8, 0, 0, 0, time.UTC)
	for _, in := range []Entry{
		{At: at, Exercise: &done},
		{At: at, Eye: &Threshold{Person: "Ada", Share: 0.06, Low95: 0.04, High95: 0.08, Trials: 50, Sure: true, HolePt: 300, WidthPt: 24}},
		{At: at, Lesson: &Read{"edges"}},
	} {
		kind, body, err := in.Pack()
		if err != nil {
			t.Fatal(err)
		}
		out, ok, err := Unpack(at, kind, body)
		if err != nil || !ok || !reflect.DeepEqual(in, out) {
			t.Errorf("%s came back as %+v (%v), want %+v", kind, out, err, in)
		}
	}
	if _, ok, err := Unpack(at, "song", []byte(`{}`)); ok || err != nil {
		t.Errorf("an unknown kind: ok %v, error %v; want it skipped", ok, err)
	}
	if _, _, err := Unpack(at, KindEye, []byte(`[`)); err == nil {
		t.Error("a broken entry gave no error")
	}
	if _, _, err := (Entry{}).Pack(); err == nil {
		t.Error("an empty entry was packed")
	}
}

func TestProgressSumsWhatWasMarked(t *testing.T) {
	p := marked(0.2, 0.4, 0.9, 0.7)
	if mean, of := p.Mean(2); mean != 0.8 || of != 2 {
		t.Errorf("mean of the last two %.3f of %d, want 0.8 of 2", mean, of)
	}
	for i := range p.Entries {
		p.Entries[i].Exercise.Parts = map[Part]float64{Where: 1, Size: 0.3, Judged: 0.5}
	}
	if part, mean, ok := p.Weakest(10); !ok || part != Size || mean != 0.3 {
		t.Errorf("weakest %q at %.2f (%v), want size at 0.30", part, mean, ok)
	}
	p.Person = "Ada"
	p.Entries = append(p.Entries, Entry{At: time.Unix(5, 0), Eye: &Threshold{Share: 0.05, Low95: 0.04, High95: 0.07, Trials: 40}})
	if eye, ok := p.Eye(); !ok || eye.Person != "Ada" || eye.Share != 0.05 {
		t.Errorf("eye %+v, want Ada's 0.05", eye)
	}
	var b bytes.Buffer
	if err := p.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) != 6 {
		t.Fatalf("%d rows, error %v; want 6 rows", len(rows), err)
	}
	if got := rows[5][15]; got != "0.05" {
		t.Errorf("eye_share reads %q, want 0.05", got)
	}
	if mm, low, high := (Threshold{Share: 0.08, Low95: 0.06, High95: 0.1}).MM(0.254); mm != 0.08*0.254 || low >= mm || high <= mm {
		t.Errorf("0.08 of 0.254 mm is %g (%g to %g)", mm, low, high)
	}
}

func TestLessonsAreReadOrRefused(t *testing.T) {
	const text = "# A title\nindex: few words\ndrawing: edges\nlive: tilt\n\nFirst line\nsecond line.\n\n! Mind the edge.\n\n? Why?\n\n= Because.\n"
	l, err := ParseLesson("x", text)
	want := Lesson{ID: "x", Title: "A title", Index: "few words", Drawings: []string{"edges"}, Live: "tilt",
		Paras: []string{"First line second line."}, Cautions: []string{"Mind the edge."}, Ask: "Why?", Answer: "Because."}
	if err != nil || !reflect.DeepEqual(l, want) {
		t.Errorf("%+v, %v; want %+v", l, err, want)
	}
	for name, bad := range map[string]string{
		"no title": "index: a\n\nText.", "no text": "# T\nindex: a\n", "no answer": "# T\nindex: a\n\nText.\n\n? Why?", "no such picture": "# T\nindex: a\nlive: moon\n\nText.",
	} {
		if _, err := ParseLesson("x", bad); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func FuzzParseLesson(f *testing.F) {
	f.Add("# T\nindex: a\n\nText.\n\n? Why?\n\n= So.")
	f.Fuzz(func(t *testing.T, s string) {
		if l, err := ParseLesson("x", s); err == nil && (l.Title == "" || len(l.Paras) == 0) {
			t.Errorf("an empty lesson was taken: %+v", l)
		}
	})
}
