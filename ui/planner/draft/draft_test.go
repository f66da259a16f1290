package draft

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/plan"
	"evenrim/model/plan/words"
	"evenrim/model/practice"
)

// Every section answers from its defaults alone, in either unit, and the two
// answers are the same length.
func TestDefaultsMakeAPlan(t *testing.T) {
	for _, s := range Sections {
		for _, u := range []chart.Unit{chart.MM, chart.Inch} {
			d := New()
			d.ShowIn(u)
			p, err := d.Plan(s, false)
			if err != nil {
				t.Errorf("%s in %s: %v", s, u, err)
				continue
			}
			if p.Answer.Headline == "" || p.Answer.About == "" || len(p.Answer.Tables) == 0 || len(p.Inputs) != len(Fields(s)) {
				t.Errorf("%s in %s says too little: %+v", s, u, p.Answer)
			}
			for _, f := range d.Fields(s) {
				if f.Why == "" {
					t.Errorf("%s: %s has no word on its source", s, f.Name)
				}
				if d.Own(f.Key) {
					t.Errorf("%s: %s counts as changed", s, f.Name)
				}
			}
		}
	}
}

func TestUnitsMeanTheSame(t *testing.T) {
	a, b := New(), New()
	b.ShowIn(chart.Inch)
	for _, d := range []*Draft{a, b} {
		d.Set("form", "12um")
		d.Set("probe", "0.1 thou")
	}
	a.Set("length", "100")
	a.Set("features", "1 10 -10\nwall left 0 -20")
	a.ShowIn(chart.Inch)
	if got := a.Text("length"); got != "100 mm" {
		t.Errorf("a bare 100 typed in mm reads %q in inch", got)
	}
	if got := a.Text("features"); !strings.HasPrefix(got, "1 0.3937 -0.3937\nwall left 0 -0.7874") {
		t.Errorf("holes read %q in inch", got)
	}
	ra := &reader{d: a}
	f, _ := ra.flip()
	if len(ra.problems) > 0 {
		t.Fatal(ra.problems[0])
	}
	if math.Abs(f.LengthMM-100) > 1e-9 || math.Abs(f.FormMM-0.012) > 1e-12 || math.Abs(f.ProbeSDMM-0.00254) > 1e-12 || math.Abs(f.Features[0].At.X-10) > 2e-4 {
		t.Errorf("read back as %+v", f)
	}
}

// A bare distance is in the units of the page, as in every other field of lengths, and
// keeps its meaning when they are changed.
func TestABareDistanceIsInThePagesUnits(t *testing.T) {
	d := New()
	d.ShowIn(chart.Inch)
	for text, want := range map[string]float64{"8": 203.2, "150 mm": 150, "": 0} {
		d.Set("distance", text)
		r := reader{d: d}
		if p := r.photo(); math.Abs(p.DistanceMM-want) > 1e-9 || len(r.problems) > 0 {
			t.Errorf("%q is %g mm (%v), want %g", text, p.DistanceMM, r.problems, want)
		}
	}
	d.Set("distance", "8")
	d.ShowIn(chart.MM)
	if got := d.Text("distance"); got != "8 in" {
		t.Errorf("in mm it reads %q, want 8 in", got)
	}
}

// What is too near is said in the units of the page.
func TestNearerThanTheCameraFocusesIsSaidInThePagesUnits(t *testing.T) {
	d := New()
	d.ShowIn(chart.Inch)
	d.Set("distance", "2")
	if got, want := d.Problems(Photo)["distance"], "The camera does not focus nearer than 4.33 in (110 mm): move back."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// Lines that can be read keep their meaning when the units change; one that can't stays whole.
func TestLinesKeepTheirMeaningInOtherUnits(t *testing.T) {
	for _, tt := range []struct{ key, mm, inch string }{
		{"a-touches", "105.00 242.05\n165 242.2", "4.13386 9.52953\n6.49606 9.53543"},
		{"a-touches", "105.00 242.05; 165 242.2", "4.13386 9.52953;6.49606 9.53543"},
		{"a-touches", "X105 Y-25.4", "4.13386 -1"},
		{"a-touches", "X 25.4 Y 50.8mm", "1 50.8mm"},
		{"a-touches", "4.1339 9.52966.1024 9.5335\n25.4 50.8", "4.1339 9.52966.1024 9.5335\n1 2"},
		{"a-touches", "1 105 242", "1 105 242"},
		{"features", "A 25.4 50.8mm\nwall right 25.4 0\nB 25.4", "A 1 50.8mm\nwall right 1 0\nB 25.4"},
		{"new", "25,4 12.7", "1 0.5"},
	} {
		d := New()
		d.Set(tt.key, tt.mm)
		d.ShowIn(chart.Inch)
		if got := d.Text(tt.key); got != tt.inch {
			t.Errorf("%s %q in inches: %q, want %q", tt.key, tt.mm, got, tt.inch)
		}
	}
}

func TestProblemsStandBesideTheirField(t *testing.T) {
	for _, tt := range []struct {
		s         Section
		key, text string
	}{
		{Flip, "length", "0"}, {Flip, "probe", "soon"}, {Flip, "features", "A 10"}, {Flip, "features", "wall up 1 2"}, {Flip, "features", ""},
		{Flip, "touches", "many"}, {Flip, "margin", "3"}, {Flip, "warm", "-2"},
		{Chamfer, "bore", "0"}, {Chamfer, "eye", "0"}, {Chamfer, "pixels", "big"}, {Chamfer, "field", "200"},
		{Photo, "chamfer", "0"}, {Photo, "distance", "20"}, {Photo, "angle", "90"},
		{PickUp, "a-touches", "105"}, {PickUp, "stylus", "0"}, {PickUp, "b-side", "rear"}, {PickUp, "new", "here"},
	} {
		d := New()
		d.Set(tt.key, tt.text)
		problems := d.Problems(tt.s)
		key := tt.key
		if tt.key == "b-side" {
			key = "b-touches" // the pair of faces is what is wrong
		}
		if problems[key] == "" {
			t.Errorf("%s: %s = %q: no word beside it, but %v", tt.s, tt.key, tt.text, problems)
		}
		for k, p := range problems {
			if strings.Contains(p, "%!") || !strings.HasSuffix(strings.TrimRight(p, ")"), ".") && !strings.Contains(p, "as in") && !strings.Contains(p, "example") && !strings.Contains(p, "(") {
				t.Errorf("%s beside %s reads %q", tt.s, k, p)
			}
		}
	}
}

// The eye measured on the Apprentice page feeds the chamfer; a hand's change wins.
func TestTestedEyeIsUsed(t *testing.T) {
	d := New()
	at := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	d.People([]practice.Threshold{
		{Person: "Kit", Share: 0.12, Low95: 0.09, High95: 0.15, Trials: 40, At: at},
		{Person: "Mo", Share: 0.05, Low95: 0.04, High95: 0.07, Trials: 40, At: at.Add(time.Hour)},
		{Person: "new", At: at.Add(2 * time.Hour)},
	})
	p, err := d.Plan(Chamfer, false)
	if err != nil || p.Sight.See.Eye != (plan.Eye{Person: "Mo", Share: 0.05, Low: 0.04, High: 0.07}) || len(p.Answer.Warnings) != 0 {
		t.Errorf("with Mo tested last: eye %+v, %v", p.Sight, err)
	}
	if got := d.Text("eye"); got != "5" {
		t.Errorf("the field shows %q %%", got)
	}
	d.Set("person", "Kit")
	d.Set("eye", "24")
	r := &reader{d: d}
	if e := r.see().Eye; math.Abs(e.Share-0.24) > 1e-12 || math.Abs(e.Low-0.18) > 1e-12 || e.Person != "Kit" {
		t.Errorf("changed by hand: %+v", e)
	}
	d.Set("person", untestedPerson)
	if e := (&reader{d: d}).see().Eye; e != plan.UntestedEye {
		t.Errorf("nobody: %+v", e)
	}
}

func TestCameraFillsItsFigures(t *testing.T) {
	d := New()
	d.Set("pixels", "800 x 600")
	d.Set("camera", plan.Cameras[4].Name)
	if d.Text("pixels") != "6000 x 4000" || d.Text("lens") != "60" || d.Text("field") != "" {
		t.Errorf("pixels %q, lens %q, field %q", d.Text("pixels"), d.Text("lens"), d.Text("field"))
	}
	d.Set("camera", ownCamera)
	if p := d.Problems(Photo); p["pixels"] == "" {
		t.Error("own figures without pixels are not asked for")
	}
}

// What was typed in one section stands in the others, and is kept for next time.
func TestWhatWasTypedComesBack(t *testing.T) {
	d := New()
	d.Set("tolerance", "20 um")
	d.Set("probe", d.Text("probe")) // the default again
	e := New()
	e.Restore(d.Typed())
	e.Restore(map[string]string{"nonsense": "1"})
	if len(e.Typed()) != 1 || e.Text("tolerance") != "20 um" {
		t.Errorf("restored %v", e.Typed())
	}
	p, err := e.Plan(Photo, false)
	if err != nil || math.Abs(p.Photo.Photo.ToleranceMM-0.02) > 1e-12 {
		t.Errorf("%v, %v", p.Photo, err)
	}
}

func TestPickUpExampleIsFound(t *testing.T) {
	p, err := New().Plan(PickUp, false)
	if err != nil {
		t.Fatal(err)
	}
	// The example: rear face at Y 40 touched at 242.05 to 242.15 over 50 mm with a 4 mm
	// ball: turned by 0.1 in 50; the left face says the same, 0.04 in 20.
	f := p.Found
	if math.Abs(f.RotationRad-0.002) > 1e-4 || f.Offset.Sub(model.Vec{X: 100, Y: 200}).Norm() > 0.1 {
		t.Errorf("offset %v, turned %.5f", f.Offset, f.RotationRad)
	}
	if w := p.Answer.Warnings; len(w) != 1 || !strings.Contains(w[0], "an example") {
		t.Errorf("the example warns %q, want only that it is one", w)
	}
}

// Nobody takes the example's touches for his own part's: its answer says what it is until
// both faces were touched, and so does each field until something else stands in it.
func TestAnExampleIsCalledOne(t *testing.T) {
	d := New()
	plan := func() words.Answer {
		t.Helper()
		p, err := d.Plan(PickUp, false)
		if err != nil {
			t.Fatal(err)
		}
		return p.Answer
	}
	if a := plan(); a.Grade == words.Good || a.Headline != "An example, not your offset" || !strings.Contains(a.Warnings[0], "face A and face B") {
		t.Errorf("grade %v, %q, warns %q", a.Grade, a.Headline, a.Warnings)
	}
	d.Set("a-touches", "105 242.05\n155 242.15")
	if a := plan(); a.Headline != "An example, not your offset" || !strings.Contains(a.Warnings[0], "of face B are") {
		t.Errorf("with face A touched: %q, warns %q", a.Headline, a.Warnings)
	}
	d.Set("b-touches", "97.99 210\n97.95 230")
	if a := plan(); a.Grade != words.Good || a.Headline != "Work offset" || len(a.Warnings) != 0 || !a.Moves {
		t.Errorf("with both touched: grade %v, %q, warns %q, moves a machine: %t", a.Grade, a.Headline, a.Warnings, a.Moves)
	}
	for _, key := range []string{"length", "bore", "angle", "features", "a-touches", "new"} {
		f, ok := field(key)
		if says := f.Says(false); !ok || !strings.Contains(says, "xample") {
			t.Errorf("%s as it comes says %q", key, says)
		}
		if says := f.Says(true); strings.Contains(says, "xample") {
			t.Errorf("%s typed by the shop says %q", key, says)
		}
	}
}

// Who empties a field is told what stood in it, in the units shown.
func TestAnEmptiedFieldSaysWhatItCameWith(t *testing.T) {
	for u, want := range map[chart.Unit]string{chart.MM: "came with 12 mm.", chart.Inch: "came with 0.47244 in."} {
		d := New()
		d.ShowIn(u)
		d.Set("thickness", "")
		d.Set("touches", "")
		p := d.Problems(Flip)
		if !strings.Contains(p["thickness"], want) || !strings.Contains(p["touches"], "came with 2.") {
			t.Errorf("in %s: %q and %q, want %q and that 2 touches are usual", u, p["thickness"], p["touches"], want)
		}
		if !d.Own("thickness") || d.Text("thickness") != "" {
			t.Errorf("in %s the field now reads %q", u, d.Text("thickness"))
		}
	}
}

func TestProblemsAreErrors(t *testing.T) {
	d := New()
	d.Set("length", "x")
	_, err := d.Plan(Flip, false)
	var all Problems
	if !errors.As(err, &all) || all.Error() == "" {
		t.Errorf("got %v", err)
	}
}
