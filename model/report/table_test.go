package report

import (
	"strings"
	"testing"

	"evenrim/model"
)

// A reading from a table has no view, rims and budget: the page says so and invents no zeros.
func TestPageOfATableReadingInventsNothing(t *testing.T) {
	whole := sample(model.Vec{X: 0.08}, false)
	r := &model.Reading{Photo: whole.Photo, Job: whole.Job, Mismatch: whole.Mismatch, Cov: whole.Cov, U95MM: whole.U95MM,
		Camera: model.Camera{PxPerMM: 80}, Verdict: whole.Verdict, Correction: whole.Correction}
	said := words(&ReadingPage{Reading: r}, A4)
	for _, want := range []string{"Chamfer width not known", "View not known", "Outer edge not known", "Bore edge not known", "Exit rim not known", "no budget came with these figures",
		"22.9° counter-clockwise from right"} { // 0.4 rad, and no minus sign in the word
		if !strings.Contains(said, want) {
			t.Errorf("no %q in: %s", want, said)
		}
	}
	for _, no := range []string{"0.00°", "0° of it", "0.00 px", "not seen"} {
		if strings.Contains(said, no) {
			t.Errorf("%q is invented: %s", no, said)
		}
	}
	if a, b := r.Widest().Clock, whole.Widest().Clock; a != b {
		t.Errorf("widest at %s, from the whole reading at %s", a, b)
	}
	r.Job.PlusX = -0.4
	if said := words(&ReadingPage{Reading: r}, A4); !strings.Contains(said, "−22.9° counter-clockwise") {
		t.Errorf("no minus sign of its own: %s", said)
	}
}
