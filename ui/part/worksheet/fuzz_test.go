package worksheet_test

import (
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/ui/part/worksheet"
)

// Whatever is typed into a field of a part is taken, and is a finite number then, or
// refused with words beside the field.
func FuzzFields(f *testing.F) {
	for _, s := range []string{"10", "0.5in", "−3 thou", "1e300", "1e300m", "0.2 0.3 0.2 thou", "45", "NaN", "Inf", "1/0", ""} {
		f.Add(s, "0.1mm")
	}
	f.Fuzz(func(t *testing.T, text, then string) {
		s := worksheet.New(model.JobCard{}, model.Solve)
		hole, wall := s.AddHole(), s.AddWall()
		for _, in := range []string{text, then} {
			fields := append(append(s.HoleFields(hole), s.WallFields(wall)...), s.CardFields()...)
			for _, field := range fields {
				if err := field.Set(in); err != nil && strings.TrimSpace(err.Error()) == "" {
					t.Fatalf("%s = %q: refused without words", field.Label, in)
				}
			}
		}
		w := wall.Wall
		numbers := append([]float64{hole.At.X, hole.At.Y, w.At.X, w.At.Y, w.NormalRad, w.ResolutionMM, s.Size.X, s.Size.Y}, w.StepMM...)
		for _, v := range append(numbers, w.AlongMM...) {
			if v-v != 0 {
				t.Fatalf("%q, then %q: a field holds %v", text, then, v)
			}
		}
	})
}
