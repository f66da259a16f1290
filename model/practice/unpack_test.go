package practice

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"testing"
	"time"
)

// Whatever stands in the record as somebody's practice: it is refused, or it can be
// counted, written as a table, and kept again as the same.
func FuzzUnpackEntry(f *testing.F) {
	f.Add(KindExercise, []byte(`{"Seed":1,"N":2,"Level":3,"Score":0.5,"Parts":{"where":0.2}}`))
	f.Add(KindEye, []byte(`{"Person":"Ada"}`))
	f.Add(KindLesson, []byte(`{"ID":"wave"}`))
	f.Add("later", []byte(`null`))
	f.Fuzz(func(t *testing.T, kind string, body []byte) {
		e, ok, err := Unpack(time.Time{}, kind, body)
		if !ok || err != nil {
			return
		}
		p := Progress{Person: "Ada", Entries: []Entry{e, e, e}}
		if l := p.Level(); l < LeastLevel || l > MostLevel {
			t.Fatalf("level %d", l)
		}
		p.Weakest(5)
		p.Mean(5)
		p.Eye()
		p.LessonsRead()
		var table bytes.Buffer
		if err := p.WriteCSV(&table); err != nil {
			t.Fatal(err)
		}
		if _, err := csv.NewReader(&table).ReadAll(); err != nil {
			t.Fatalf("no table: %v", err)
		}
		kind2, body2, err := e.Pack()
		if err != nil || kind2 != kind {
			t.Fatalf("packed again as %q, %v", kind2, err)
		}
		again, ok, err := Unpack(time.Time{}, kind2, body2)
		if !ok || err != nil {
			t.Fatalf("%s packed again cannot be read: %v", body2, err)
		}
		if _, body3, err := again.Pack(); err != nil || !json.Valid(body3) || !bytes.Equal(body2, body3) {
			t.Fatalf("%s became %s, %v", body2, body3, err)
		}
	})
}
