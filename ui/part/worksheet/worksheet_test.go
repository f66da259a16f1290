package worksheet_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/model/report"
	"evenrim/ui/part/worksheet"
	"evenrim/ui/port"
	"evenrim/ui/state"
	"evenrim/ui/uitest"
)

// places of the bracket's holes, mm.
var places = []model.Vec{{X: -40, Y: -25}, {X: 40, Y: -25}, {X: 40, Y: 25}, {X: -40, Y: 25}}

// read fills the sheet with holes at places, photographed with the given shift and
// rotation, as a reader would.
func read(t *testing.T, s *worksheet.Sheet, shift model.Vec, rad float64) {
	t.Helper()
	for _, p := range s.Photos() {
		var at model.Vec
		for _, h := range s.Holes {
			for _, q := range h.Photos {
				if q == p {
					at = h.At
				}
			}
		}
		scene := uitest.Bracket()
		scene.Solid.Mismatch = shift.Add(at.Rotate(rad).Sub(at))
		r, err := model.Solve(scene.Trace(), p.Card.WithDefaults())
		if err == nil {
			r.Photo = model.Photo{Name: p.Name()}
		}
		s.Finish(p.ID, p.Card, r, err)
	}
}

func list(part string) []byte {
	card := uitest.Bracket().Card()
	b := strings.Builder{}
	b.WriteString("photo,bore,chamfer,angle,thickness,plus_x,part,hole,hole_x,hole_y\n")
	for i, p := range places {
		fmt.Fprintf(&b, "h%d.jpg,%gmm,%gmm,45,%gmm,%g,%s,%c,%gmm,%gmm\n", i, card.BoreMM, card.ChamferMM, card.ThicknessMM, card.PlusX*180/math.Pi, part, 'A'+i, p.X, p.Y)
	}
	return []byte(b.String())
}

func sheet(t *testing.T) *worksheet.Sheet {
	t.Helper()
	s := worksheet.New(model.JobCard{}, model.Solve)
	if err := s.OpenReadings(list("bracket"), "/photos", "list", nil); err != nil {
		t.Fatal(err)
	}
	read(t, s, model.Vec{X: 0.05, Y: -0.02}, 0.001)
	return s
}

func TestAListBecomesAnAnswer(t *testing.T) {
	s := sheet(t)
	if s.Report == nil {
		t.Fatalf("nothing worked out: %s", s.Problem)
	}
	f := s.Report.Fit
	for _, v := range []struct {
		what           string
		got, want, tol float64
	}{
		{"shift X, mm", f.Shift.X, 0.05, 0.003}, {"shift Y, mm", f.Shift.Y, -0.02, 0.003}, {"rotation, rad", f.RotationRad, 0.001, 3e-5},
	} {
		if math.Abs(v.got-v.want) > v.tol {
			t.Errorf("%s %g, want %g within %g", v.what, v.got, v.want, v.tol)
		}
	}
	a := s.Answer()
	if a.Verdict != model.DoesNotConform || !a.X.Known() || !a.Turn.Known() || a.Size.Known() {
		t.Errorf("answer %+v", a)
	}
	if len(a.Setup2) != 3 || len(a.Setup1) != 3 || len(a.Cautions) == 0 || len(a.Causes) == 0 {
		t.Errorf("corrections %q or %q, cautions %q, causes %v", a.Setup2, a.Setup1, a.Cautions, a.Causes)
	}
	if !slices.Contains(a.Cautions, report.Caution) {
		t.Errorf("cautions %q lack %q", a.Cautions, report.Caution)
	}
	for _, c := range a.Causes {
		if c.Evidence == "" || c.Check == "" {
			t.Errorf("cause %q without evidence or check", c.Title)
		}
	}
	rows := s.HoleRows()
	if len(rows) != 4 || rows[0].Name != "A" || !strings.Contains(rows[0].Figures, "±") || !strings.HasSuffix(rows[0].Figures, " mm") || rows[0].Verdict != model.DoesNotConform {
		t.Errorf("rows %+v", rows)
	}
	for topic := worksheet.WhyX; topic <= worksheet.WhyChance; topic++ {
		if title, lines := s.Why(topic); title == "" || len(lines) < 3 {
			t.Errorf("topic %d says %q %q", topic, title, lines)
		}
	}
	if lines := strings.Join(s.WhyHole(0), "\n"); !strings.Contains(lines, "of the whole") || !strings.Contains(lines, "h0.jpg") {
		t.Errorf("hole A says %q", lines)
	}
}

// What the page says of a number, put in by hand, gives the number.
func TestWhyPutsTheNumbersIn(t *testing.T) {
	s := sheet(t)
	_, lines := s.Why(worksheet.WhyX)
	for _, l := range lines {
		if !strings.HasPrefix(l, "Hole A:") {
			continue
		}
		var shift, omega, arm, sum float64
		l = strings.ReplaceAll(l, "−", "-")
		if _, err := fmt.Sscanf(l, "Hole A: %f + (%f × %f) = %f", &shift, &omega, &arm, &sum); err != nil {
			t.Fatalf("%q: %v", l, err)
		}
		if got := shift + omega*arm; math.Abs(got-sum) > 2e-4 {
			t.Errorf("%q: it gives %.4f", l, got)
		}
		return
	}
	t.Errorf("hole A isn't in %q", lines)
}

func TestAHoleThatDoesNotFitIsNamed(t *testing.T) {
	s := worksheet.New(model.JobCard{}, model.Solve)
	csv := string(list("bracket"))
	for i, p := range []model.Vec{{X: 0, Y: 25}, {X: 0, Y: -25}} { // six holes, so that one can be told
		l := strings.Split(strings.TrimSpace(csv), "\n")[1]
		l = strings.Replace(l, "h0.jpg", fmt.Sprintf("x%d.jpg", i), 1)
		l = strings.Replace(l, ",A,-40mm,-25mm", fmt.Sprintf(",%c,%gmm,%gmm", 'E'+i, p.X, p.Y), 1)
		csv += l + "\n"
	}
	if err := s.OpenReadings([]byte(csv), "", "list", nil); err != nil {
		t.Fatal(err)
	}
	read(t, s, model.Vec{X: 0.02}, 0)
	odd := *s.Holes[2].Photos[0].Reading
	odd.Mismatch.Y += 0.2
	s.Holes[2].Photos[0].Reading = &odd
	s.WorkOut()
	for i, r := range s.HoleRows() {
		if r.Odd != (i == 2) {
			t.Errorf("hole %s odd: %v (%s)", r.Name, r.Odd, r.Words)
		}
	}
	if w := strings.Join(s.Answer().Warnings, " "); !strings.Contains(w, "Hole C does not fit") {
		t.Errorf("warnings %q, want hole C named", w)
	}
}

// A picture that is there twice counts once, and every word of its hole says so.
func TestAPictureTwiceInAHoleCountsOnce(t *testing.T) {
	for _, tt := range []struct {
		files      []string
		count, why string
		said       int // that a picture counts once
	}{
		{[]string{"1", "2"}, "2 photos of the part turned", "2 photos with the part turned", 0},
		{[]string{"1", "2", "1"}, "2 of 3 photos of the part turned", "2 of 3 photos with the part turned", 1},
		{[]string{"1", "1"}, "1 of 2 photos of the part turned, no surer than one: they are one picture", "From 0.jpg", 1},
	} {
		s := worksheet.New(uitest.Bracket().Card(), model.Solve)
		h := s.AddHole()
		for i, f := range tt.files {
			p := s.AddPhoto(h, port.Source{Name: fmt.Sprintf("%d.jpg", i)})
			scene := uitest.Bracket()
			scene.Camera.PlusX = float64(i) * math.Pi
			p.Card.PlusX = scene.Camera.PlusX
			r, err := model.Solve(scene.Trace(), p.Card.WithDefaults())
			if err != nil {
				t.Fatal(err)
			}
			r.Photo = model.Photo{Name: p.Name(), SHA256: f}
			s.Finish(p.ID, p.Card, r, nil)
		}
		if got := s.HoleRows()[0].Words; !strings.HasPrefix(got, tt.count) {
			t.Errorf("files %q: the row says %q, want %q", tt.files, got, tt.count)
		}
		if got := strings.Join(s.WhyHole(0), "\n"); !strings.HasPrefix(got, tt.why) {
			t.Errorf("files %q: explained by %q, want %q", tt.files, got, tt.why)
		}
		if said := strings.Count(strings.Join(s.Answer().Warnings, "\n"), "counts once"); said != tt.said {
			t.Errorf("files %q: said %d times that a picture counts once, want %d", tt.files, said, tt.said)
		}
	}
}

// field finds a field by its label.
func field(t *testing.T, fields []worksheet.Field, label string) worksheet.Field {
	t.Helper()
	for _, f := range fields {
		if strings.HasPrefix(f.Label, label) {
			return f
		}
	}
	t.Fatalf("no field %q", label)
	return worksheet.Field{}
}

func TestTypingChangesTheAnswerAtOnce(t *testing.T) {
	s := sheet(t)
	before := s.Report.Fit.RotationRad
	set := func(f worksheet.Field, text string) {
		t.Helper()
		if err := f.Set(text); err != nil {
			t.Fatalf("%s %q: %v", f.Label, text, err)
		}
	}
	for _, h := range s.Holes { // all places twice as far out: half the rotation
		for _, c := range []struct {
			label string
			v     float64
		}{{"X from", h.At.X}, {"Y from", h.At.Y}} {
			set(field(t, s.HoleFields(h), c.label), fmt.Sprintf("%gmm", 2*c.v))
		}
	}
	if got := s.Report.Fit.RotationRad; math.Abs(got-before/2) > 1e-6 {
		t.Errorf("rotation %g, want half of %g", got, before)
	}
	// Mixed units as typed; a bare number counts in what is shown.
	h := s.Holes[0]
	set(field(t, s.HoleFields(h), "X from"), "-1.5in")
	if h.At.X != -38.1 {
		t.Errorf("-1.5in is %g mm", h.At.X)
	}
	s.Units = state.Inch
	set(field(t, s.HoleFields(h), "X from"), "−1")
	if h.At.X != -25.4 {
		t.Errorf("−1 in inches is %g mm", h.At.X)
	}
	for _, wrong := range []struct{ label, text string }{{"X from", "left"}, {"Name", "B"}, {"+X", "north"}} {
		at := *h
		if err := field(t, s.HoleFields(h), wrong.label).Set(wrong.text); err == nil {
			t.Errorf("%s %q is taken", wrong.label, wrong.text)
		}
		if h.Name != at.Name || h.At != at.At {
			t.Errorf("%s %q changed the hole", wrong.label, wrong.text)
		}
	}
	// Sizes and the +X arrow solve anew without tracing.
	width := s.Holes[1].Photos[0].Reading.WidthMM
	s.Units = state.MM
	set(field(t, s.CardFields(), "Bore"), "20mm")
	if got := s.Holes[1].Photos[0].Reading.WidthMM; math.Abs(got/width-2) > 0.1 {
		t.Errorf("width %g with twice the bore, want twice %g", got, width)
	}
}

func TestWallsAreTyped(t *testing.T) {
	s := sheet(t)
	for i, reading := range []string{"2.1 2.1 2.1 thou", "-0.6thou", "-0.050 −0.050 mm"} {
		w := s.AddWall()
		if err := field(t, s.WallFields(w), "Readings").Set(reading); err != nil {
			t.Fatalf("%q: %v", reading, err)
		}
		if want := []float64{0.05334, -0.01524, -0.05}[i]; math.Abs(w.Wall.StepMM[0]-want) > 1e-9 {
			t.Errorf("%q is %g mm, want %g", reading, w.Wall.StepMM[0], want)
		}
	}
	if f := s.Report.Fit; !f.KnowsSize || f.Compare == nil {
		t.Errorf("knows size %v, compares %v", f.KnowsSize, f.Compare)
	}
	rows := s.WallRows()
	if len(rows) != 3 || !strings.Contains(rows[0].Figures, "step +0.053") || !strings.Contains(rows[0].Against, "the fit has") {
		t.Errorf("rows %+v", rows)
	}
	if err := field(t, s.WallFields(s.Walls[0]), "Readings").Set("two"); err == nil {
		t.Error("a reading of two is taken")
	}
	field(t, s.WallFields(s.Walls[0]), "Readings").Set("2.1thou")
	if a := s.Answer(); a.Agreement == "" || !a.Size.Known() {
		t.Errorf("agreement %q, size %+v", a.Agreement, a.Size)
	}
}

// Readings typed anew, a letter at a time, stay as far apart and in the same order round the
// part as they were; a gap typed before any reading waits for them.
func TestTheGapOutlivesTheReadings(t *testing.T) {
	const text = "0.0051 0.0040 0.0029 0.0018 0.0007"
	for _, gap := range []string{"0.7874", "-0.7874"} { // a list may go round clockwise
		s := worksheet.New(model.JobCard{ShowInch: true}, model.Solve)
		walls := "wall,at_x,at_y,normal_deg,heights,spacing\nright,60mm,0,0," + text + "in," + gap + "in\n"
		if err := s.OpenWalls([]byte(walls)); err != nil {
			t.Fatal(err)
		}
		w := s.Walls[0]
		want := slices.Clone(w.Wall.AlongMM)
		f := field(t, s.WallFields(w), "Readings")
		for i := range text {
			f.Set(text[:i+1]) // half a number may be none
		}
		if !slices.Equal(w.Wall.AlongMM, want) {
			t.Errorf("gap %s: readings at %v mm after retyping, want %v", gap, w.Wall.AlongMM, want)
		}
		if got := field(t, s.WallFields(w), "Apart").Text; strings.Replace(got, "−", "-", 1) != gap {
			t.Errorf("the field says %q, want %s", got, gap)
		}
	}
	s := worksheet.New(model.JobCard{}, model.Solve)
	w := s.AddWall()
	field(t, s.WallFields(w), "Apart").Set("20")
	field(t, s.WallFields(w), "Readings").Set("0.1 0.2 0.3")
	if want := []float64{-20, 0, 20}; !slices.Equal(w.Wall.AlongMM, want) {
		t.Errorf("readings at %v mm, want %v", w.Wall.AlongMM, want)
	}
}

// A part that was saved and is opened again gives the same answer.
func TestSavedListsOpenAgain(t *testing.T) {
	s := sheet(t)
	w := s.AddWall()
	field(t, s.WallFields(w), "Readings").Set("0.0630 0.0505 0.0380mm")
	field(t, s.WallFields(w), "Apart").Set("12.5mm")
	again := worksheet.New(model.JobCard{}, model.Solve)
	if err := again.OpenReadings(s.ReadingsCSV(func(p *worksheet.Photo) string { return p.Name() }), "/photos", "x", nil); err != nil {
		t.Fatal(err)
	}
	if walls := s.WallsCSV(); !worksheet.IsWalls(walls) || worksheet.IsWalls(list("a")) {
		t.Error("a list of walls isn't told from one of photos")
	} else if err := again.OpenWalls(walls); err != nil {
		t.Fatal(err)
	}
	read(t, again, model.Vec{X: 0.05, Y: -0.02}, 0.001)
	a, b := s.Report.Fit, again.Report.Fit
	if d := a.Shift.Sub(b.Shift).Norm(); d > 1e-9 || math.Abs(a.RotationRad-b.RotationRad) > 1e-12 || math.Abs(a.SizeMM-b.SizeMM) > 1e-9 {
		t.Errorf("shift %v, rotation %g, size %g; opened again %v, %g, %g", a.Shift, a.RotationRad, a.SizeMM, b.Shift, b.RotationRad, b.SizeMM)
	}
	if r := string(s.ResultsCSV()); strings.Count(r, "\n") < 8 || !strings.Contains(r, "wall_step_mm,right") {
		t.Errorf("results:\n%s", r)
	}
}

func TestSeveralPartsInOneList(t *testing.T) {
	s := worksheet.New(model.JobCard{}, model.Solve)
	two := append(list("first"), list("second")[strings.Index(string(list("x")), "\n")+1:]...)
	if err := s.OpenReadings(two, "", "x", nil); err != nil {
		t.Fatal(err)
	}
	if len(s.Parts()) != 2 || s.Name != "first" || len(s.Holes) != 4 {
		t.Errorf("parts %q, on the sheet %q with %d holes", s.Parts(), s.Name, len(s.Holes))
	}
	s.OpenPart("second", nil)
	if s.Name != "second" || len(s.Photos()) != 4 || len(s.Waiting()) != 4 {
		t.Errorf("on the sheet %q, %d photos, %d waiting", s.Name, len(s.Photos()), len(s.Waiting()))
	}
	if err := s.OpenReadings([]byte("nothing"), "", "x", nil); err == nil {
		t.Error("a list without a photo is taken")
	}
}

func TestAHoleWithTwoPlacesIsSaid(t *testing.T) {
	s := worksheet.New(model.JobCard{}, model.Solve)
	csv := "photo,bore,hole,hole_x,hole_y\na.jpg,8mm,A,10,20\nb.jpg,8mm,A,10,20\nc.jpg,8mm,B,40,20\n"
	if err := s.OpenReadings([]byte(csv), "", "x", nil); err != nil || len(s.Notes) > 0 {
		t.Fatalf("one place a hole: %v, notes %q", err, s.Notes)
	}
	if err := s.OpenReadings([]byte(strings.Replace(csv, "b.jpg,8mm,A,10", "b.jpg,8mm,A,12.5", 1)), "", "x", nil); err != nil {
		t.Fatal(err)
	}
	if len(s.Notes) != 1 || s.Notes[0] != "Hole A has two places in the list. The last, 12.5 mm, 20 mm, is taken: check it." {
		t.Errorf("notes %q", s.Notes)
	}
}
