package practice

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/model/chart"

	"pgregory.net/rapid"
)

func TestTheSameSeriesGivesTheSameExercise(t *testing.T) {
	for level := LeastLevel; level <= MostLevel; level++ {
		a, b := NewExercise(7, 3, level), NewExercise(7, 3, level)
		if !reflect.DeepEqual(a, b) {
			t.Errorf("level %d: the same numbers gave another exercise", level)
		}
		if c := NewExercise(8, 3, level); reflect.DeepEqual(a.Shot, c.Shot) {
			t.Errorf("level %d: another series gave the same photo", level)
		}
	}
}

// The key follows from the shot alone, the hole lies inside the picture, and the
// verdict is clear.
func TestTheKeyFollowsFromTheShot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := NewExercise(rapid.Uint64Range(1, 1<<40).Draw(t, "seed"), rapid.IntRange(1, 200).Draw(t, "n"), rapid.IntRange(LeastLevel, MostLevel).Draw(t, "level"))
		s, k := e.Shot, e.Key
		if k.Mismatch != s.Mismatch || k.WidthMM != s.ChamferMM || k.U95MM != 0 {
			t.Fatalf("key %+v does not follow from shot %+v", k, s)
		}
		if want := s.Mismatch.Norm() > e.ToleranceMM; (k.Verdict == model.DoesNotConform) != want {
			t.Fatalf("verdict %q with mismatch %g and tolerance %g", k.Verdict, s.Mismatch.Norm(), e.ToleranceMM)
		}
		if r := s.Mismatch.Norm() / e.ToleranceMM; k.Cause == Apart && math.Abs(math.Log(r)) < math.Log(1.2) {
			t.Fatalf("mismatch is %.2f of the tolerance: nobody can judge that by eye", r)
		}
		if (k.Cause == Apart) == k.Even {
			t.Fatalf("cause %q with even = %v", k.Cause, k.Even)
		}
		r := (s.BoreMM/2 + s.ChamferMM + s.Mismatch.Norm()) * s.PxPerMM
		if math.Abs(s.OffX)+r > float64(s.WidthPx)/2 || math.Abs(s.OffY)+r > float64(s.HeightPx)/2 {
			t.Fatalf("the hole is cut off: off (%.0f, %.0f), radius %.0f px", s.OffX, s.OffY, r)
		}
		if err := e.Job(false).Validate(); err != nil {
			t.Fatalf("job card: %v", err)
		}
	})
}

// Harder levels ask for smaller mismatches.
func TestLevelsGetHarder(t *testing.T) {
	mean := func(level int) float64 {
		var sum, n float64
		for i := range 200 {
			if e := NewExercise(1, i, level); e.Key.Cause == Apart {
				sum += math.Log(e.Key.Mismatch.Norm() / e.Key.WidthMM)
				n++
			}
		}
		return math.Exp(sum / n)
	}
	easy, middle, hard := mean(1), mean(5), mean(8)
	if !(easy > 1.5*middle && middle > 1.5*hard) {
		t.Errorf("mean mismatch of the width at levels 1, 5, 8: %.2f %.2f %.2f, want each well below the one before", easy, middle, hard)
	}
}

func TestMarksFollowTheirWeights(t *testing.T) {
	key := Key{Mismatch: model.Polar(0.05, math.Pi/6), WidthMM: 0.25, NominalMM: 0.25, ScreenRad: math.Pi / 6, Verdict: model.DoesNotConform, Cause: Apart}
	good := Answer{WideRad: math.Pi / 6, SizeMM: 0.05, Verdict: model.DoesNotConform, Cause: Apart}
	with := func(f func(*Answer)) Answer { a := good; f(&a); return a }
	// Where 0.3, size 0.3, verdict 0.2, cause 0.2.
	for _, c := range []struct {
		name string
		a    Answer
		want float64
	}{
		{"all right", good, 1},
		{"half an hour off is right", with(func(a *Answer) { a.WideRad += math.Pi / 12 }), 1},
		{"an hour and a half off is half", with(func(a *Answer) { a.WideRad -= math.Pi / 4 }), 0.85},
		{"opposite", with(func(a *Answer) { a.WideRad += math.Pi }), 0.7},
		{"a fifth too large is right", with(func(a *Answer) { a.SizeMM = 0.06 }), 1},
		{"three times too large", with(func(a *Answer) { a.SizeMM = 0.15 }), 0.7},
		{"even", with(func(a *Answer) { a.Even = true; a.SizeMM = 0 }), 0.4},
		{"can't tell", with(func(a *Answer) { a.Verdict = model.Undecided }), 0.9},
		{"wrong cause", with(func(a *Answer) { a.Cause = Tilted }), 0.8},
	} {
		if got := MarkOf(key, c.a, chart.MM).Score; math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %.4f, want %.4f", c.name, got, c.want)
		}
	}
	words := ""
	for _, p := range MarkOf(key, with(func(a *Answer) { a.WideRad += math.Pi; a.SizeMM = 0.1 }), chart.MM).Parts {
		words += p.Words + " "
	}
	for _, w := range []string{"You said 8 o'clock; it is wide at 2 o'clock, 6 hours off", "exact, because drawn", "20 % of the chamfer", "Right: does not conform"} {
		if !strings.Contains(words, w) {
			t.Errorf("the mark doesn't say %q; it says %q", w, words)
		}
	}
}

// An own photo's key states its uncertainty, asks no more than it knows, and has
// no cause to mark where nobody knows one.
func TestMarksOfAnOwnPhoto(t *testing.T) {
	r := &model.Reading{Job: model.JobCard{BoreMM: 8, ChamferMM: 0.3}.WithDefaults(), Mismatch: model.Vec{X: 0.002}, Cov: model.Sym2{XX: 4e-6, YY: 4e-6},
		U95MM: 0.0049, WidthMM: 0.3, WidthUMM: 0.001, Verdict: model.Conforms}
	k := KeyOf(r)
	if !k.Even || k.Cause != "" {
		t.Errorf("key %+v, want even and without a cause", k)
	}
	m := MarkOf(k, Answer{Even: true, Verdict: model.Conforms, Cause: Agree}, chart.MM)
	if len(m.Parts) != 3 || m.Score != 1 {
		t.Errorf("%d parts, score %.2f; want 3 and 1", len(m.Parts), m.Score)
	}
	if w := m.Parts[1].Words; !strings.Contains(w, "±") {
		t.Errorf("%q states no uncertainty", w)
	}
}

// What a leaning camera does is the geometry note's: a shift of depth times the
// slope. Chamfer 0.25 mm deep, 3 degrees: 13.1 um (check value of our own
// geometry note, "parallax, parallel view").
func TestALeaningCameraShiftsByDepthTimesSlope(t *testing.T) {
	s := Shot{WidthPx: 800, HeightPx: 800, PxPerMM: 60, BoreMM: 10, ChamferMM: 0.25, ThicknessMM: 10, DistanceMM: 1e6, TiltX: 3 * math.Pi / 180}
	v := See(s)
	if v.HalfDifference != 0 || math.Abs(v.LooksHalf-0.0131) > 0.0002 {
		t.Errorf("true %.4f, looks %.4f mm; want 0 and 0.0131", v.HalfDifference, v.LooksHalf)
	}
	// Straight from above it looks as it is.
	s.TiltX, s.Mismatch = 0, model.Vec{Y: 0.1}
	v = See(s)
	if math.Abs(v.LooksHalf-0.1) > 2e-3 || math.Abs(v.LooksRad-math.Pi/2) > 0.02 {
		t.Errorf("looks %.4f mm at %.2f rad, want 0.1 at %.2f", v.LooksHalf, v.LooksRad, math.Pi/2)
	}
}

func TestLivePicturesFollowTheirSliders(t *testing.T) {
	for _, l := range Lives {
		for _, s := range l.Sliders {
			low, high := l.Shot(map[Knob]float64{s.Key: s.Min}), l.Shot(map[Knob]float64{s.Key: s.Max})
			if s.Key == KnobHour || s.Key == KnobLean || s.Key == KnobFlawArc { // nothing to point if there's none
				continue
			}
			if reflect.DeepEqual(low, high) {
				t.Errorf("%s: the slider %q changes nothing", l.Name, s.Label)
			}
			if s.Start < s.Min || s.Start > s.Max {
				t.Errorf("%s: %q starts at %g outside %g to %g", l.Name, s.Label, s.Start, s.Min, s.Max)
			}
		}
	}
}
