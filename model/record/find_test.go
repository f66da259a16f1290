package record

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"evenrim/model"

	"pgregory.net/rapid"
)

func ids(t testing.TB, s *Store, q Query) []ID {
	t.Helper()
	list, err := s.Find(t.Context(), q)
	if err != nil {
		t.Fatalf("Find(%+v): %v", q, err)
	}
	var out []ID
	for _, e := range list {
		out = append(out, e.ID)
	}
	return out
}

func TestFindByText(t *testing.T) {
	s := openNew(t)
	keepSample(t, s, 1, Labels{Part: "B-07", Note: "Bohrung nachgemessen: größer"})
	keepSample(t, s, 2, Labels{Part: "B-08", Note: "O'Brien's vice", Tags: []string{"raw edge"}})
	for text, want := range map[string]int{
		"":              2,
		"b-07":          1,
		"B 0":           2, // every word begins a word
		"groß":          1,
		"GROSSER":       0,
		"grosser":       0, // sharp s is its own letter
		"größ":          1,
		"o'brien":       1,
		"brackets":      0,
		"bracket":       2, // the job's and the photo's name
		"raw":           1,
		"edge raw":      1,
		"raw bohrung":   0,
		`"`:             0,
		`" OR "`:        0, // "or" begins no word here
		"note:raw":      0,
		"raw*":          1,
		"-":             0,
		"bracket-2.jpg": 1,
		"NEAR(raw":      0,
		"a\x00b":        0,
	} {
		if got := ids(t, s, Query{Text: text}); len(got) != want {
			t.Errorf("Find(Text: %q) = %v, want %d", text, got, want)
		}
	}
}

// Find agrees with a plain filter over all entries for any query.
func TestFindAgreesWithAPlainFilter(t *testing.T) {
	s := openNew(t)
	start := time.Date(2031, 1, 1, 0, 0, 0, 0, time.UTC)
	verdicts := []model.Verdict{model.Conforms, model.DoesNotConform, model.Undecided}
	words := []string{"raw", "edge", "deburred", "Wren", "stop"}
	for i := range 120 {
		photo := samplePhoto(uint64(i), 64)
		r := sampleReading(uint64(i), photo)
		r.MadeAt = start.Add(time.Duration((i*37)%120) * time.Hour)
		r.Verdict = verdicts[i*i%3]
		r.Job.Name = []string{"bracket", "Flywheel"}[i%2]
		l := Labels{Part: fmt.Sprint("p", i%11), Batch: fmt.Sprint("b", i%5), Note: words[i%5] + " " + words[i%3], Operator: words[3+i%2], Machine: "mill"}
		if i%4 == 0 {
			l.Tags = []string{"audit"}
		}
		var err error
		if i%10 == 9 {
			_, err = s.Correct(t.Context(), r, photo, l, Correction{Of: ID(i), Who: "Ash", Why: "second look"})
		} else {
			_, err = s.Keep(t.Context(), r, photo, l)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	all, err := s.Find(t.Context(), Query{WithReplaced: true, Limit: 1000})
	if err != nil || len(all) != 120 {
		t.Fatal(len(all), err)
	}
	rapid.Check(t, func(t *rapid.T) {
		pick := func(label string, v ...string) string {
			return rapid.SampledFrom(append([]string{"", "", "", ""}, v...)).Draw(t, label)
		}
		q := Query{
			Job: pick("job", "BRACKET", "flywheel", "none"), Part: pick("part", "p3", "P10", "p99"), Batch: pick("batch", "b1", "B4"),
			Operator: pick("operator", "wren", "stop"), Machine: pick("machine", "mill"), Tag: pick("tag", "audit", "AUDIT"),
			Verdict: model.Verdict(pick("verdict", string(model.Conforms), string(model.Undecided))),
			Text:    pick("text", "raw", "ed", "second", "edge raw", "p1 b1", "bracket"), WithReplaced: rapid.Bool().Draw(t, "all"),
			Limit: rapid.SampledFrom([]int{1, 7, 500}).Draw(t, "limit"),
		}
		if rapid.Bool().Draw(t, "from?") {
			q.From = start.Add(time.Duration(rapid.IntRange(-5, 125).Draw(t, "from")) * time.Hour)
		}
		if rapid.Bool().Draw(t, "to?") {
			q.To = start.Add(time.Duration(rapid.IntRange(-5, 125).Draw(t, "to")) * time.Hour)
		}
		if rapid.Bool().Draw(t, "page?") {
			q.Before = ID(rapid.IntRange(1, 125).Draw(t, "before"))
		}
		var want []ID
		count := 0
		for _, e := range all {
			if fits(e, q) {
				count++
				if (q.Before == 0 || e.ID < q.Before) && len(want) < q.Limit {
					want = append(want, e.ID)
				}
			}
		}
		got, err := s.Find(t.Context(), q)
		if err != nil {
			t.Fatal(err)
		}
		var gotIDs []ID
		for _, e := range got {
			gotIDs = append(gotIDs, e.ID)
		}
		if !slices.Equal(gotIDs, want) {
			t.Fatalf("Find(%+v) = %v, want %v", q, gotIDs, want)
		}
		if n, err := s.Count(t.Context(), q); n != count || err != nil {
			t.Fatalf("Count(%+v) = %d, %v, want %d", q, n, err, count)
		}
	})
}

// fits is Query's meaning, written plainly.
func fits(e Entry, q Query) bool {
	same := func(want, got string) bool { return want == "" || strings.EqualFold(want, got) }
	ok := same(q.Job, e.Job) && same(q.Part, e.Part) && same(q.Batch, e.Batch) && same(q.Operator, e.Operator) &&
		same(q.Machine, e.Machine) && same(string(q.Verdict), string(e.Verdict)) && (q.WithReplaced || e.ReplacedBy == 0) &&
		(q.From.IsZero() || !e.MadeAt.Before(q.From)) && (q.To.IsZero() || e.MadeAt.Before(q.To)) &&
		(q.Tag == "" || slices.ContainsFunc(e.Tags, func(s string) bool { return strings.EqualFold(s, q.Tag) }))
	text := strings.FieldsFunc(strings.ToLower(strings.Join(append([]string{e.Job, e.Part, e.Hole, e.Batch, e.Note, e.Operator, e.Machine, e.PhotoName, e.Why}, e.Tags...), " ")),
		func(r rune) bool { return strings.ContainsRune(" -.", r) })
	for _, w := range strings.Fields(strings.ToLower(q.Text)) {
		ok = ok && slices.ContainsFunc(text, func(s string) bool { return strings.HasPrefix(s, w) })
	}
	return ok
}

func TestValuesInUse(t *testing.T) {
	s := openNew(t)
	for i := range 6 {
		keepSample(t, s, uint64(i), Labels{Batch: []string{"b", "a", ""}[i%3]})
	}
	got, err := s.Values(t.Context(), BatchField)
	if err != nil || len(got) != 2 || got[0] != (Value{"a", 2}) || got[1] != (Value{"b", 2}) {
		t.Errorf("Values = %v, %v, want a and b, two each", got, err)
	}
}
