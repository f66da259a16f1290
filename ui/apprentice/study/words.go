package study

import (
	"fmt"
	"math"
	"strings"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/practice"
)

// eyeChamfer is the chamfer that an eye's threshold is said for.
func eyeChamfer(u chart.Unit) float64 {
	if u == chart.Inch {
		return 0.254 // 0.010 in
	}
	return 0.25
}

// EyeSays is what an eye test found, in words.
type EyeSays struct {
	Head         string
	Number, Unit string // of the smallest mismatch caught; "" where the answers didn't settle
	On           string // "on a 0.010 in chamfer"
	Interval     string
	Share        string
	Note         string // what limits it
}

// EyeWords say what a threshold means on an ordinary chamfer.
func EyeWords(t practice.Threshold, u chart.Unit) EyeSays {
	w := eyeChamfer(u)
	mm, low, high := t.MM(w)
	// Two figures: an interval of a factor of two deserves no more.
	d := figures(u.Of(mm), 2)
	on := "on a 0.25 mm chamfer"
	if u == chart.Inch {
		on = "on a 0.010 in chamfer"
	}
	s := EyeSays{
		Head: "Your eye catches", Number: u.Format(mm, d), Unit: u.String(), On: on,
		Interval: fmt.Sprintf("95 %% sure: between %s and %s %s", u.Format(low, d), u.Format(high, d), u),
		Share:    fmt.Sprintf("%s %% of the chamfer's width (%s to %s %%), from %d pictures", percent(t.Share), percent(t.Low95), percent(t.High95), t.Trials),
		Note:     "Three times in four you name the wide side rightly at this mismatch; below it you soon guess.",
	}
	if !t.Sure { // at the ends of what was shown the interval is the range's, not the eye's
		s.Head, s.Number = "Your answers didn't settle", ""
		s.Interval = fmt.Sprintf("By these answers between %s and %s %s %s, or outside what was shown", u.Format(low, d), u.Format(high, d), u, on)
		s.Note = "That is too uncertain to plan with. Rest your eyes and do it again."
	}
	return s
}

// ShownWords say how the test showed its picture.
func ShownWords(t practice.Threshold) string {
	return fmt.Sprintf("Holds for a hole shown %.0f points across with a chamfer %.0f points wide, sharp and evenly lit. Smaller or worse, an eye catches less.", t.HolePt, t.WidthPt)
}

func percent(share float64) string {
	v := 100 * share
	return chart.MM.Format(v, min(figures(v, 2), 1))
}

// figures is how many decimals show v with n figures.
func figures(v float64, n int) int {
	if !(v > 0) || math.IsInf(v, 0) {
		return 0
	}
	return max(n-1-int(math.Floor(math.Log10(v))), 0)
}

// ProgressSays is a person's progress in words.
type ProgressSays struct{ Level, Marks, Weak, Lessons, Eye string }

// ProgressWords sum a person's progress up; lessons is how many there are.
func ProgressWords(p practice.Progress, lessons int, u chart.Unit) ProgressSays {
	s := ProgressSays{Level: fmt.Sprintf("Level %d of %d", p.Level(), practice.MostLevel), Lessons: fmt.Sprintf("%d of %d lessons read", len(p.LessonsRead()), lessons)}
	n := len(p.Exercises())
	if mean, of := p.Mean(10); of > 0 {
		s.Marks = fmt.Sprintf("%d photos judged; the last %d give %s on the mean", n, of, ScoreWords(mean))
		if n == 1 {
			s.Marks = "1 photo judged: " + ScoreWords(mean)
		}
	} else {
		s.Marks = "No photo judged yet"
	}
	if part, mean, ok := p.Weakest(10); ok {
		s.Weak = fmt.Sprintf("Practise most: %s (%s)", strings.ToLower(PartWords(part)), ScoreWords(mean))
	}
	s.Eye = "Eye not measured yet"
	if t, ok := p.Eye(); ok {
		e := EyeWords(t, u)
		s.Eye = fmt.Sprintf("The eye catches %s %s %s (%s)", e.Number, e.Unit, e.On, e.Interval)
		if e.Number == "" {
			s.Eye = "The last eye test didn't settle"
		}
	}
	return s
}

// MarksRun is the chart of marks over time.
func MarksRun(p practice.Progress) (r chart.Run, ok bool) {
	ex := p.Exercises()
	ex = ex[max(len(ex)-60, 0):]
	r = chart.Run{Title: "Marks, photo by photo", YLabel: "of 100", XLabel: "photos with their day; stepped: mean of five; dotted: another level"}
	for i, e := range ex {
		r.Values = append(r.Values, 100*e.Exercise.Score)
		r.Labels = append(r.Labels, e.At.Local().Format("2 Jan"))
		if i > 0 && ex[i-1].Exercise.Level != e.Exercise.Level {
			r.Breaks = append(r.Breaks, i)
		}
		// The mean of the last five, this one included.
		var sum float64
		from := max(i-4, 0)
		for _, f := range ex[from : i+1] {
			sum += 100 * f.Exercise.Score
		}
		r.Centre = append(r.Centre, sum/float64(i+1-from))
	}
	return r, len(ex) >= 2
}

// EyeRun is the chart of eye tests over time that settled, each with the half width of
// its 95 % interval on its longer side.
func EyeRun(p practice.Progress) (r chart.Run, ok bool) {
	r = chart.Run{Title: "Smallest mismatch caught", YLabel: "% of the chamfer", XLabel: "eye tests that settled, with their day"}
	for _, e := range p.Eyes() {
		t := e.Eye
		if !t.Sure {
			continue
		}
		r.Values = append(r.Values, 100*t.Share)
		r.U95 = append(r.U95, 100*math.Max(t.High95-t.Share, t.Share-t.Low95))
		r.Labels = append(r.Labels, e.At.Local().Format("2 Jan"))
	}
	return r, len(r.Values) >= 1
}

// LiveWords say what a live picture shows, exactly, since it was drawn.
func LiveWords(s practice.Shot, u chart.Unit) []string {
	v := practice.See(s)
	step := s.ChamferMM / 100
	if v.VanishedRad > 0 {
		return []string{
			fmt.Sprintf("Widest %s at %s; bare over %.0f° on the other side.", practice.Small(v.Widest, step, u), model.Clock(v.WidestRad), v.VanishedRad*180/math.Pi),
			fmt.Sprintf("Mismatch as drawn: %s, more than the width of %s.", practice.Small(v.HalfDifference, step, u), practice.Small(s.ChamferMM, step, u)),
		}
	}
	out := []string{}
	if v.HalfDifference < 0.003*s.ChamferMM {
		out = append(out, fmt.Sprintf("As drawn: even, %s all round.", practice.Small(v.Widest, step, u)))
	} else {
		out = append(out, fmt.Sprintf("As drawn: widest %s at %s, narrowest %s. Half the difference: %s.",
			practice.Small(v.Widest, step, u), model.Clock(v.WidestRad), practice.Small(v.Narrowest, step, u), practice.Small(v.HalfDifference, step, u)))
	}
	if s.TiltX != 0 || s.TiltY != 0 {
		out = append(out, fmt.Sprintf("The camera sees: widest %s at %s, narrowest %s, as if off by %s.",
			practice.Small(v.LooksWidest, step, u), model.Clock(v.LooksRad), practice.Small(v.LooksNarrow, step, u), practice.Small(v.LooksHalf, step, u)))
	}
	if s.ChamferMM != s.NominalMM {
		out = append(out, fmt.Sprintf("On the drawing the chamfer is %s wide.", practice.Small(s.NominalMM, step, u)))
	}
	return out
}

// KnobWords say where a slider of a live picture stands.
func KnobWords(s practice.Slider, v float64) string {
	if s.Unit != "o'clock" {
		d := 0
		if s.Step < 1 {
			d = 1
		}
		words := chart.MM.Format(v, d) + " " + s.Unit
		return strings.Replace(words, " °", "°", 1) // as everywhere
	}
	return model.Clock(math.Pi/2 - v*math.Pi/6)
}

// ReadWords say what the program itself reads from a drawn photo, whose key calls it even
// or not.
func ReadWords(r *model.Reading, even bool, u chart.Unit) string {
	words := "The lines are what the program traced, without knowing what was drawn. It reads " + practice.KeyOf(r).Length(u) + ": " + string(r.Verdict) + "."
	if even && !r.IsEven() { // the photo then names a widest place
		words += fmt.Sprintf(" It tells widest from narrowest even here; by eye a mismatch below %.0f %% of the chamfer counts as even.", 100*practice.EvenShare)
	}
	return words
}
