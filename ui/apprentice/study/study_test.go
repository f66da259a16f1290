package study

import (
	"math"
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/practice"
)

func answered(q *Quiz) {
	q.SetWhere(1)
	q.SetSlider(0.4)
	q.SetVerdict(model.Conforms)
	q.SetCause(practice.Apart)
}

// Nothing is shown before all is answered, and nothing can be changed afterwards.
func TestNothingIsShownBeforeAllIsAnswered(t *testing.T) {
	q := NewDrawn(practice.NewExercise(1, 1, 3), chart.MM)
	for _, step := range []func(){func() { q.SetWhere(1) }, func() { q.SetSlider(0.4) }, func() { q.SetVerdict(model.Conforms) }} {
		if q.Reveal() || q.Mark != nil {
			t.Fatal("the key was shown before all was answered")
		}
		if q.Missing() == "" {
			t.Fatal("nothing is said to be missing")
		}
		step()
	}
	q.SetCause(practice.Agree)
	if !q.Reveal() || q.Mark == nil {
		t.Fatal("a complete answer is not marked")
	}
	before := q.Answer
	answered(q)
	q.SetEven()
	if q.Answer != before {
		t.Error("the answer was changed after the key was shown")
	}
}

// The slider reaches one and a half chamfer widths and comes back to where it was.
func TestTheSliderComesBackToWhereItWas(t *testing.T) {
	q := NewOwn("a.jpg", model.JobCard{BoreMM: 8, ChamferMM: 0.2}, chart.Inch)
	for _, at := range []float64{0, 0.1, 0.5, 1} {
		q.SetSlider(at)
		if got := q.Slider(); math.Abs(got-at) > 1e-9 {
			t.Errorf("slider at %.3f came back as %.3f", at, got)
		}
	}
	if got := q.Answer.SizeMM; math.Abs(got-0.3) > 1e-12 {
		t.Errorf("the slider's end is %.4f mm, want 0.3", got)
	}
	if l, s := q.SizeWords(); l != "11.8 thou" || s != "150 % of the chamfer" {
		t.Errorf("says %q, %q; want 11.8 thou, 150 %% of the chamfer", l, s) // 0.3/0.0254 = 11.81
	}
	// Even and a size exclude each other.
	q.SetEven()
	if q.Answer.SizeMM != 0 || !q.Said(practice.Size) {
		t.Error("even all round leaves a size to be said")
	}
	q.SetSlider(0.2)
	if q.Answer.Even || q.Said(practice.Where) {
		t.Error("a size leaves it even all round")
	}
}

// Where the key says even and the program names a widest place, the page says how both are
// true.
func TestEvenForTheEyeNotForTheProgram(t *testing.T) {
	r := &model.Reading{Mismatch: model.Vec{X: 0.002}, Cov: model.Sym2{XX: 1e-7, YY: 1e-7}, U95MM: 0.0008, Verdict: model.Conforms}
	for _, tt := range []struct {
		even bool
		x    float64
		want bool
	}{{true, 0.002, true}, {false, 0.002, false}, {true, 0.0001, false}} {
		r.Mismatch.X = tt.x
		if w := ReadWords(r, tt.even, chart.MM); strings.Contains(w, "by eye a mismatch below 2 % of the chamfer counts as even") != tt.want {
			t.Errorf("key even %t, read %g mm: %q", tt.even, tt.x, w)
		}
	}
}

// An own photo without a reading has nothing to be marked with.
func TestOwnPhotoWaitsForItsReading(t *testing.T) {
	q := NewOwn("a.jpg", model.JobCard{BoreMM: 8, ChamferMM: 0.2}, chart.MM)
	answered(q)
	if q.Missing() != "" || q.CanReveal() {
		t.Errorf("missing %q, can reveal %v; want nothing missing and no reveal", q.Missing(), q.CanReveal())
	}
	k := practice.Key{Mismatch: model.Vec{X: 0.01}, U95MM: 0.002, WidthMM: 0.2, Verdict: model.Conforms}
	q.Key = &k
	if !q.Reveal() {
		t.Fatal("with its reading it cannot be revealed")
	}
	if n := strings.Join(q.Notes(), " "); !strings.Contains(n, "isn't marked on an own photo") {
		t.Errorf("notes %q don't say that the cause isn't known", n)
	}
	if d := q.Done(); d.Photo != "a.jpg" || d.Seed != 0 {
		t.Errorf("recorded as %+v, want an own photo", d)
	}
}

// The issue's own example: 8 % of a 0.010 in chamfer is 0.0008 in.
func TestEyeTestIsSaidInShopWords(t *testing.T) {
	th := practice.Threshold{Share: 0.08, Low95: 0.06, High95: 0.11, Trials: 52, Sure: true, HolePt: 300, WidthPt: 24, At: time.Now()}
	s := EyeWords(th, chart.Inch)
	if s.Number+" "+s.Unit+" "+s.On != "0.00080 in on a 0.010 in chamfer" {
		t.Errorf("says %q %q %q", s.Number, s.Unit, s.On)
	}
	if want := "between 0.00060 and 0.00110 in"; !strings.Contains(s.Interval, want) {
		t.Errorf("interval %q, want %q", s.Interval, want)
	}
	if !strings.Contains(s.Share, "8.0 % of the chamfer's width (6.0 to 11 %), from 52 pictures") {
		t.Errorf("share %q", s.Share)
	}
	// Answers that don't settle give no number, neither here nor in the sum nor the chart.
	th.Sure = false
	if s := EyeWords(th, chart.MM); !strings.Contains(s.Note, "too uncertain to plan with") || s.Number != "" ||
		!strings.Contains(s.Head, "didn't settle") || strings.Contains(s.Interval, "sure") {
		t.Errorf("head %q, number %q, interval %q, note %q", s.Head, s.Number, s.Interval, s.Note)
	}
	p := practice.Progress{Person: "Ada", Entries: []practice.Entry{{At: th.At, Eye: &th}}}
	if w := ProgressWords(p, 11, chart.MM).Eye; !strings.Contains(w, "didn't settle") || strings.Contains(w, "0.020") {
		t.Errorf("progress says %q", w)
	}
	if _, ok := EyeRun(p); ok {
		t.Error("the chart shows what didn't settle as a mismatch caught")
	}
}

func TestProgressWordsAndCharts(t *testing.T) {
	p := practice.Progress{Person: "Ada"}
	s := ProgressWords(p, 11, chart.MM)
	if s.Marks != "No photo judged yet" || s.Eye != "Eye not measured yet" || s.Lessons != "0 of 11 lessons read" {
		t.Errorf("a new person: %+v", s)
	}
	if _, ok := MarksRun(p); ok {
		t.Error("a chart of no marks")
	}
	for i := range 6 {
		p.Entries = append(p.Entries, practice.Entry{At: time.Date(2026, 5, 1+i, 9, 0, 0, 0, time.UTC),
			Exercise: &practice.Done{Seed: 1, Level: 1 + i/3, Score: 0.5 + 0.1*float64(i), Parts: map[practice.Part]float64{practice.Size: 0.2, practice.Where: 1}}})
	}
	p.Entries = append(p.Entries, practice.Entry{At: time.Now(), Eye: &practice.Threshold{Share: 0.05, Low95: 0.04, High95: 0.07, Trials: 50, Sure: true}})
	s = ProgressWords(p, 11, chart.MM)
	if !strings.Contains(s.Marks, "6 photos judged; the last 6 give 75 of 100") || !strings.Contains(s.Weak, "how far off (20 of 100)") {
		t.Errorf("%+v", s)
	}
	r, ok := MarksRun(p)
	// The mean of the last five of 50 60 70 80 90 100.
	if !ok || math.Abs(r.Centre[5]-80) > 1e-9 || math.Abs(r.Values[5]-100) > 1e-9 || len(r.Breaks) != 1 || r.Breaks[0] != 3 {
		t.Errorf("chart %+v", r)
	}
	e, ok := EyeRun(p)
	if !ok || math.Abs(e.Values[0]-5) > 1e-9 || math.Abs(e.U95[0]-2) > 1e-9 {
		t.Errorf("eye chart %+v, want 5 with 2", e)
	}
}

func TestLivePicturesSayWhatTheyShow(t *testing.T) {
	l, _ := practice.LiveNamed("tilt")
	w := strings.Join(LiveWords(l.Shot(map[practice.Knob]float64{practice.KnobTilt: 5}), chart.MM), " ")
	// 0.6 mm deep at 5 degrees: 0.6 tan 5 deg = 52 um, and the perspective's few.
	if !strings.Contains(w, "As drawn: even") || !strings.Contains(w, "as if off by 5") {
		t.Errorf("a leaning camera says %q", w)
	}
	hour := practice.Slider{Unit: "o'clock", Step: 0.5}
	if got := KnobWords(hour, 2.5); got != "half past 2" {
		t.Errorf("2.5 o'clock reads %q", got)
	}
}
