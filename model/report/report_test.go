package report

import (
	"bytes"
	"image"
	"image/color"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/chart"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/recorder"
)

// sample is a reading of our own shop's: a bracket's bearing hole.
func sample(d model.Vec, inch bool) *model.Reading {
	r := &model.Reading{
		Photo:    model.Photo{Name: "bearing.jpg", SHA256: strings.Repeat("ab", 32), WidthPx: 700, HeightPx: 600, Orientation: 1},
		Job:      model.JobCard{Name: "Bracket 7", BoreMM: 5, ChamferMM: 0.4, ThicknessMM: 6, PlusX: 0.4, ShowInch: inch}.WithDefaults(),
		Mismatch: d, Cov: model.Sym2{XX: 1e-6, XY: 2e-7, YY: 8e-7}, U95MM: 0.0026, WidthMM: 0.4, WidthUMM: 0.001,
		Camera: model.Camera{CX: 349.5, CY: 299.5, U0: 340, V0: 310, PxPerMM: 80, SlopeX: 0.02, PlusX: 0.4},
		View:   model.View{SlopeX: 0.02, SlopeUX: 1e-4, SlopeUY: 1e-4, How: model.FromExitRim},
		Outer:  model.RimShape{RMSPx: 0.21, ArcRad: 6.2}, Bore: model.RimShape{RMSPx: 0.2, ArcRad: 6.1},
		Verdict: model.DoesNotConform, PWithin: 0.0004,
		Correction: model.Correction{Setup2: d.Scale(-1), Setup1: model.Vec{X: -d.X, Y: d.Y}},
		Version:    "0.1.0", MadeAt: time.Date(2026, 3, 4, 5, 6, 7, 0, time.UTC), Seconds: 0.08,
	}
	r.VanishedRad = r.Solid().VanishedArc().WidthRad
	for i := range 12 {
		v := math.Pow(2, -float64(i)) * 5e-7
		r.Budget = append(r.Budget, model.BudgetLine{
			Source: "source " + string(rune('a'+i)), Value: "as found", Distribution: "normal", U: 0.1, Unit: "px",
			Cov: model.Sym2{XX: v, YY: 0.8 * v},
		})
	}
	return r
}

func photo() *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, 350, 300)) // half the photo's size
	for y := range 300 {
		for x := range 350 {
			img.SetRGBA(x, y, color.RGBA{uint8(x / 2), uint8(y / 2), 90, 255})
		}
	}
	return img
}

// written is all text of a page with where it stands, top of page = greatest Y.
func written(p chart.Figure, paper Paper) []*recorder.FillString {
	var rec recorder.Canvas
	w, h := paper.Size()
	p.Draw(draw.NewCanvas(&rec, w, h))
	var out []*recorder.FillString
	for _, a := range rec.Actions {
		if s, ok := a.(*recorder.FillString); ok {
			out = append(out, s)
		}
	}
	return out
}

func words(p chart.Figure, paper Paper) string {
	var s []string
	for _, a := range written(p, paper) {
		s = append(s, a.String)
	}
	return strings.ReplaceAll(strings.Join(s, " "), "\u00a0", " ")
}

func TestReadingPageSaysAllThatMatters(t *testing.T) {
	always := []string{
		"spindle stopped", "fresh edges cut", "single block", "above the part", "qualified person", "safety-critical",
		"0.1.0", strings.Repeat("ab", 32), "bearing.jpg", "4 March 2026, 05:06 UTC", "all together", "record 17",
		"Bracket 7, part 3, hole B",
	}
	for _, c := range []struct {
		name string
		r    *model.Reading
		want []string
		not  []string
	}{
		{"does not conform, mm", sample(model.Vec{X: 0.08, Y: -0.0001}, false), []string{
			"Does not conform", "X +0.0800", "Y −0.0001", "± 0.0026 mm", "0.0800 mm towards +X of setup 1",
			"under 0.1 %", "add X −0.0800 mm to its work offset, leave Y.", "add X −0.0800 mm to its own, leave Y.", "not both", "end for end",
		}, []string{"Y +0.0001 mm", " in.", "narrowest at 12 o'clock"}},
		{"does not conform, inch", sample(model.Vec{X: 0.0254, Y: -0.0508}, true), []string{
			"X +0.00100", "Y −0.00200", "± 0.00011 in", "0.00100 in towards +X", "0.00200 in towards −Y", "µin", "thou a pixel", "0.001 in",
		}, []string{" mm to", "µm"}},
		{"vanished", sample(model.Vec{X: 0.6}, false), []string{"missing over 106°", "no chamfer"}, nil},
		{"even", sample(model.Vec{X: 0.0005}, false), []string{"no mismatch beyond ± 0.0026 mm", "None: the mismatch cannot be told from zero"},
			[]string{"to its work offset", "widest at"}},
		{"undecided", func() *model.Reading {
			r := sample(model.Vec{X: 0.025}, false)
			r.Verdict, r.PWithin = model.Undecided, 0.613
			return r
		}(), []string{"Undecided", "probability of 61 %", "too little to accept and too much to reject", "turn set"}, nil},
		{"conforms", func() *model.Reading {
			r := sample(model.Vec{X: 0.01}, false)
			r.Verdict, r.PWithin = model.Conforms, 0.9987
			return r
		}(), []string{"Conforms", "99.9 %", "Not asked for by this tolerance"}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := &ReadingPage{Reading: c.r, Photo: photo(), Labels: Labels{Part: "3", Hole: "B", Record: "17"}}
			got := words(p, PaperFor(chart.UnitOf(c.r.Job.ShowInch)))
			for _, w := range append(c.want, always...) {
				if !strings.Contains(got, w) {
					t.Errorf("the page doesn't say %q; it says:\n%s", w, got)
				}
			}
			for _, w := range c.not {
				if strings.Contains(got, w) {
					t.Errorf("the page says %q; it says:\n%s", w, got)
				}
			}
		})
	}
}

// However much there is to say, it stays on the page and above the foot, and the
// pictures keep their room.
func TestReadingPageHoldsMuchText(t *testing.T) {
	r := sample(model.Vec{X: 0.08}, false)
	for i := range 20 {
		r.Warnings = append(r.Warnings, strings.Repeat("long words of warning ", 6)+string(rune('a'+i)))
		r.Damage = append(r.Damage, model.Damage{AtRad: float64(i), WidthRad: 0.1, Kind: model.Outward, Rim: "outer"})
	}
	r.Job.Name = strings.Repeat("a very long name of a job ", 12)
	for _, paper := range []Paper{A4, Letter} {
		p := &ReadingPage{Reading: r, Photo: photo(), Labels: Labels{Note: strings.Repeat("a note that goes on ", 10)}}
		w, h := paper.Size()
		lowest, foot, axis := h, vg.Length(0), vg.Length(0)
		for _, s := range written(p, paper) {
			if s.String == "Y, mm" || s.String == "width, mm" {
				continue // turned: its place is in the turned axes
			}
			if s.Point.X < 0 || s.Point.X > w {
				t.Errorf("%q starts at x = %.0f, off the page", s.String, s.Point.X)
			}
			if s.Point.Y < 0 || s.Point.Y > h {
				t.Errorf("%q stands at y = %.0f, off the page", s.String, s.Point.Y)
			}
			switch {
			case strings.HasPrefix(s.String, "Evenrim 0.1.0"):
				foot = s.Point.Y
			case strings.HasPrefix(s.String, "Note:"):
				lowest = s.Point.Y
			case s.String == "o'clock in the photo":
				axis = s.Point.Y
			}
		}
		if !(lowest > foot && foot > 0) {
			t.Errorf("paper %d: the note at y = %.0f runs into the foot at %.0f", paper, lowest, foot)
		}
		if axis < 0.3*h {
			t.Errorf("paper %d: the pictures end at y = %.0f of %.0f: squeezed out", paper, axis, h)
		}
		said := words(p, paper)
		if !strings.Contains(said, "more warnings in the record") || !strings.Contains(said, "smaller sources together") {
			t.Errorf("paper %d: what was left out isn't said", paper)
		}
	}
}

func TestRefusedPageGivesNoNumber(t *testing.T) {
	p := &RefusedPage{
		Refusal: model.Refuse(model.Blurred, "the picture is too blurred: hold the camera still and focus on the chamfer"),
		Origin:  model.Photo{Name: "x.jpg", SHA256: "cd", WidthPx: 700, HeightPx: 600}, Photo: photo(),
		Job: model.JobCard{BoreMM: 5}.WithDefaults(), MadeAt: time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC),
	}
	got := words(p, A4)
	for _, w := range []string{"No reading: too blurred", "The picture is too blurred", "No number is given", "5 mm", "SHA-256 cd", "not given"} {
		if !strings.Contains(got, w) {
			t.Errorf("the page doesn't say %q: %s", w, got)
		}
	}
	for _, w := range []string{"±", "X +", "Correction", "read in"} {
		if strings.Contains(got, w) {
			t.Errorf("a refused photo's page says %q: %s", w, got)
		}
	}
	p.Refusal, p.Photo = model.Refuse("new-reason", "."), nil
	if got := words(p, A4); !strings.Contains(got, "new-reason") || !strings.Contains(got, "not at hand") {
		t.Errorf("without photo and known reason: %s", got)
	}
}

func TestWriteGivesTheSameBytesAgain(t *testing.T) {
	pages := func() []Page {
		return []Page{
			&ReadingPage{Reading: sample(model.Vec{X: 0.08}, false), Photo: photo()},
			&ReadingPage{Reading: sample(model.Vec{Y: 0.02}, true)},
		}
	}
	var a, b bytes.Buffer
	for _, out := range []*bytes.Buffer{&a, &b} {
		if err := Write(out, A4, pages()...); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two writes of the same pages differ")
	}
	if !bytes.HasPrefix(a.Bytes(), []byte("%PDF-1.")) || !bytes.Contains(a.Bytes(), []byte("/Count 2")) {
		t.Error("not a PDF of two pages")
	}
	if !bytes.Contains(a.Bytes(), []byte("D:20260304050607")) {
		t.Error("the document doesn't carry the reading's date")
	}
	if !bytes.Contains(a.Bytes(), []byte("/MediaBox [0 0 595.28 841.89]")) {
		t.Error("the sheet isn't ISO 216 A4, 210 x 297 mm")
	}
	if err := Write(&a, A4); err == nil {
		t.Error("a report without a page was written")
	}
}

func TestSaveIsWholeOrAbsent(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "r.pdf")
	page := &ReadingPage{Reading: sample(model.Vec{X: 0.08}, false), Photo: photo()}
	if err := Save(path, Letter, page); err != nil {
		t.Fatal(err)
	}
	old, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	// A failing second write leaves the first untouched and nothing beside it.
	if err := Save(path, Letter); err == nil {
		t.Error("saving nothing gave no error")
	}
	now, err := os.ReadFile(path)
	if err != nil || !bytes.Equal(old, now) {
		t.Errorf("a failed save changed the file (%v)", err)
	}
	if l, _ := os.ReadDir(dir); len(l) != 1 {
		t.Errorf("%d files left in the folder, want 1", len(l))
	}
	if err := Save(filepath.Join(dir, "none", "r.pdf"), A4, page); err == nil || !strings.Contains(err.Error(), "none") {
		t.Errorf("a missing folder gave %v, want an error that names it", err)
	}
}

func TestPlotsAreFiles(t *testing.T) {
	dir := t.TempDir()
	paths, err := SavePlots(dir, "17", Plots(sample(model.Vec{X: 0.08}, true), photo(), chart.Light()), chart.PNG)
	if err != nil {
		t.Fatal(err)
	}
	if len(paths) != 4 {
		t.Fatalf("%d pictures, want photo, rim, map and curve", len(paths))
	}
	for _, p := range paths {
		f, err := os.Open(p)
		if err != nil {
			t.Fatal(err)
		}
		cfg, kind, err := image.DecodeConfig(f)
		f.Close()
		if err != nil || kind != "png" || cfg.Width < 700 {
			t.Errorf("%s: %s, %d px wide, %v", filepath.Base(p), kind, cfg.Width, err)
		}
	}
}

func TestProbabilityNeverClaimsCertainty(t *testing.T) {
	for p, want := range map[float64]string{
		1: "over 99.9 %", 0.9995: "over 99.9 %", 0.995: "99.5 %", 0.954: "95 %", 0.5: "50 %",
		0.004: "0.4 %", 0.0009: "under 0.1 %", 0: "under 0.1 %",
	} {
		if got := strings.ReplaceAll(Probability(p), "\u00a0", " "); got != want {
			t.Errorf("Probability(%g) = %q, want %q", p, got, want)
		}
	}
	if got := Probability(math.NaN()); got != "unknown" {
		t.Errorf("Probability(NaN) = %q, want unknown", got)
	}
}

func TestWrapKeepsWordsAndWidth(t *testing.T) {
	st := chart.Print().Text(chart.Regular, 8, color.Black)
	in := "add X\u00a0−0.0312 to it and an extraordinarilylongwordwithoutanyspaceinitatall here"
	lines := wrap(st, in, 70)
	if got := strings.Join(lines, ""); strings.ReplaceAll(got, " ", "") != strings.ReplaceAll(in, " ", "") {
		t.Errorf("letters were lost: %q", lines)
	}
	for _, l := range lines {
		if w := st.Width(l); w > 70 {
			t.Errorf("%q is %.1f points wide, want <= 70", l, w)
		}
		if strings.HasSuffix(l, "X") {
			t.Errorf("%q is torn from its number", l)
		}
	}
}

func TestBudgetRowsAreInThePagesUnit(t *testing.T) {
	r := sample(model.Vec{}, false)
	r.Budget = []model.BudgetLine{
		{Source: "bore", Value: "12.700 mm", U: 0.00254, Unit: "mm", Distribution: "rectangular", Cov: model.Sym2{XX: 4e-6}},
		{Source: "view", Value: "slope 0.0100, 0.0000", U: 0.01, Unit: "rad", Cov: model.Sym2{XX: 3e-6}},
		{Source: "points", Value: "300 points", U: 0.1, Unit: "px", Cov: model.Sym2{XX: 2e-6}},
		{Source: "distance", Value: "127 mm", U: 25.4, Unit: "mm", Cov: model.Sym2{XX: 1e-6}},
	}
	for u, want := range map[chart.Unit][]string{
		chart.MM:   {"12.700 mm, 0.0025 mm, rectangular", "slope 0.0100, 0.0000, 0.57 deg", "300 points, 0.10 px", "127 mm, 25 mm"},
		chart.Inch: {"0.50000 in, 0.00010 in, rectangular", "slope 0.0100, 0.0000, 0.57 deg", "300 points, 0.10 px", "5.00 in, 1.0 in"},
	} {
		for i, b := range budgetRows(r, u, 9) {
			if got := b.value + ", " + b.u; got != want[i] {
				t.Errorf("%s: %q, want %q", u, got, want[i])
			}
		}
	}
	if b := r.Budget[0]; b.Unit != "mm" || b.Value != "12.700 mm" {
		t.Errorf("showing it changed the reading: %+v", b)
	}
}

func TestBudgetRowsKeepTheSum(t *testing.T) {
	r := sample(model.Vec{}, false)
	var all float64
	for _, b := range r.Budget {
		all += b.Cov.XX
	}
	for n := 2; n <= 14; n++ {
		rows := budgetRows(r, chart.MM, n)
		if len(rows) > n {
			t.Errorf("%d rows, want at most %d", len(rows), n)
		}
		var sum float64
		for _, b := range rows {
			sum += b.x * b.x
		}
		if math.Abs(sum/all-1) > 1e-9 {
			t.Errorf("%d rows: the variances in X add up to %g, want %g", n, sum, all)
		}
		if rows[0].source != "source a" {
			t.Errorf("%d rows: the heaviest isn't first but %s", n, rows[0].source)
		}
	}
}

func BenchmarkReadingPage(b *testing.B) {
	r := sample(model.Vec{X: 0.08}, false)
	r.Photo.WidthPx, r.Photo.HeightPx = 1600, 1200
	img := image.NewRGBA(image.Rect(0, 0, 1600, 1200))
	for b.Loop() {
		if err := Write(io.Discard, A4, &ReadingPage{Reading: r, Photo: img}); err != nil {
			b.Fatal(err)
		}
	}
}

func TestTitlesNameJobPartAndHole(t *testing.T) {
	for _, c := range []struct {
		job  string
		l    Labels
		want string
	}{
		{"", Labels{}, "Reading"},
		{"Bracket 7", Labels{Part: "12", Hole: "B"}, "Bracket 7, part 12, hole B"},
		{"", Labels{Part: "12"}, "Part 12"},
		{"", Labels{Part: "crosshead bracket", Batch: "March"}, "Crosshead bracket, batch March"},
		{"Dome", Labels{Part: "Dome"}, "Dome"},
		{"", Labels{Hole: "é"}, "Hole é"},
	} {
		if got := title(c.job, c.l); got != c.want {
			t.Errorf("title(%q, %+v) = %q, want %q", c.job, c.l, got, c.want)
		}
	}
}

// A page of what has been corrected says so above its verdict.
func TestOutdatedPagesSayWhatCounts(t *testing.T) {
	l := Labels{Record: "1", Outdated: "Reading 7 corrects reading 1 and counts instead."}
	j, members := turned(t, 2, model.Vec{X: 0.04}, model.Vec{}, false)
	for _, page := range []chart.Figure{&ReadingPage{Reading: sample(model.Vec{X: 0.04}, false), Labels: l}, &TurnSetPage{Joined: j, Members: members, Labels: l}} {
		got := words(page, A4)
		if at := strings.Index(got, l.Outdated); at < 0 || at > strings.Index(got, "Does not conform") {
			t.Errorf("%T says %s", page, got)
		}
	}
}
