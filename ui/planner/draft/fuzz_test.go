package draft

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"evenrim/model/chart"
)

// Whatever was typed or is remembered: each field is understood or has a sentence
// beside it, in either unit.
func FuzzFields(f *testing.F) {
	f.Add(`{"form":"0.02mm","jaw":"1 1/2 thou","features":"A 10 -10\nB 70 -40"}`, false)
	f.Add(`{"bore":"6","chamfer":"-0,2","camera":"none","person":"Ada"}`, true)
	var keys []string
	for _, s := range Sections {
		for _, field := range Fields(s) {
			keys = append(keys, field.Key)
		}
	}
	for _, text := range []string{"", "1e400", "-1", "x", "A 1 2; B"} {
		typed := map[string]string{}
		for _, k := range keys {
			typed[k] = text
		}
		b, err := json.Marshal(typed)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(b), false)
	}
	f.Fuzz(func(t *testing.T, remembered string, inch bool) {
		var typed map[string]string
		if json.Unmarshal([]byte(remembered), &typed) != nil {
			t.Skip()
		}
		d := New()
		d.Units = chart.UnitOf(inch)
		d.Restore(typed)
		for _, s := range Sections {
			_, err := d.Plan(s, true)
			var p Problems
			if err != nil && !errors.As(err, &p) {
				t.Fatalf("section %v: %v is no problem of a field", s, err)
			}
			for key, sentence := range d.Problems(s) {
				if strings.TrimSpace(sentence) == "" {
					t.Fatalf("field %q: a problem without a sentence", key)
				}
			}
		}
		d.ShowIn(chart.UnitOf(!inch))
		for _, s := range Sections {
			d.Problems(s)
		}
	})
}
