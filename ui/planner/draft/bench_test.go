package draft

import "testing"

// How long each section takes to answer: it is asked at every key typed.
func BenchmarkPlan(b *testing.B) {
	for _, s := range Sections {
		b.Run(string(s), func(b *testing.B) {
			d := New()
			for b.Loop() {
				if _, err := d.Plan(s, false); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
