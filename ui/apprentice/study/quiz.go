package study

import (
	"fmt"
	"math"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/practice"
)

// Quiz is one photo being judged: first the person answers, then the key is shown.
type Quiz struct {
	Units    chart.Unit
	Exercise practice.Exercise // of a drawn photo; zero for an own one
	Own      string            // name of an own photo; "" = drawn
	Job      model.JobCard

	Answer  practice.Answer
	said    map[practice.Part]bool
	Key     *practice.Key // nil until it is known
	Mark    *practice.Mark
	Refused string // why the program gives no reading of an own photo

}

// NewDrawn is a quiz on an exercise.
func NewDrawn(e practice.Exercise, u chart.Unit) *Quiz {
	return &Quiz{Units: u, Exercise: e, Job: e.Job(u == chart.Inch), Key: &e.Key, said: map[practice.Part]bool{}}
}

// NewOwn is a quiz on an own photo; its key comes with a reading.
func NewOwn(name string, job model.JobCard, u chart.Unit) *Quiz {
	return &Quiz{Units: u, Own: name, Job: job.WithDefaults(), said: map[practice.Part]bool{}}
}

// sliderMost is the mismatch at the slider's right end, in chamfer widths. The
// slider is finer at its left end, where a small mismatch is told from none.
const sliderMost = 1.5

// width is the chamfer width that shares refer to: the drawing's.
func (q *Quiz) width() float64 {
	if q.Job.ChamferMM > 0 {
		return q.Job.ChamferMM
	}
	return 0.25
}

// SetWhere takes the direction pointed at, rad on the screen.
func (q *Quiz) SetWhere(screenRad float64) {
	if q.Mark == nil {
		q.Answer.WideRad, q.Answer.Even = screenRad, false
		q.said[practice.Where] = true
	}
}

// SetEven says that it is even all round; there is then no size to say.
func (q *Quiz) SetEven() {
	if q.Mark == nil {
		q.Answer.Even, q.Answer.SizeMM = true, 0
		q.said[practice.Where], q.said[practice.Size] = true, true
	}
}

// SetSlider takes the size from the slider's place, 0..1.
func (q *Quiz) SetSlider(at float64) {
	if q.Mark != nil {
		return
	}
	q.Answer.SizeMM = sliderMost * at * at * q.width()
	q.said[practice.Size] = true
	if q.Answer.Even && at > 0 {
		q.Answer.Even = false
		q.said[practice.Where] = false
	}
}

// Slider is the slider's place for the answer, 0..1.
func (q *Quiz) Slider() float64 {
	return math.Sqrt(min(max(q.Answer.SizeMM/q.width()/sliderMost, 0), 1))
}

// SetVerdict and SetCause take the other two answers.
func (q *Quiz) SetVerdict(v model.Verdict) {
	if q.Mark == nil {
		q.Answer.Verdict = v
		q.said[practice.Judged] = true
	}
}

func (q *Quiz) SetCause(c practice.Cause) {
	if q.Mark == nil {
		q.Answer.Cause = c
		q.said[practice.Why] = true
	}
}

// Said reports whether a question was answered.
func (q *Quiz) Said(p practice.Part) bool { return q.said[p] }

// Missing is what is still to be answered, in words; "" = all is.
func (q *Quiz) Missing() string {
	for _, m := range []struct {
		p practice.Part
		s string
	}{
		{practice.Where, "Point to where it is wide, or say that it is even. Keys: arrows, 0."},
		{practice.Size, "Say how far off it is. Keys: + and −."},
		{practice.Judged, "Say whether it conforms. Keys: y, n, ?."},
		{practice.Why, "Say what you see. Keys: a to f."},
	} {
		if !q.said[m.p] {
			return m.s
		}
	}
	return ""
}

// CanReveal reports whether the answer may be shown.
func (q *Quiz) CanReveal() bool { return q.Mark == nil && q.Missing() == "" && q.Key != nil }

// Reveal marks the answer. It does nothing before all is answered: whoever has
// seen the rims can't be asked any more.
func (q *Quiz) Reveal() bool {
	if !q.CanReveal() {
		return false
	}
	m := practice.MarkOf(*q.Key, q.Answer, q.Units)
	q.Mark = &m
	return true
}

// Done is the record's line of a revealed quiz.
func (q *Quiz) Done() practice.Done {
	return practice.DoneOf(q.Exercise, q.Own, q.Answer, *q.Key, *q.Mark)
}

// WhereWords say what the clock shows.
func (q *Quiz) WhereWords() string {
	switch {
	case !q.said[practice.Where]:
		return "not said yet"
	case q.Answer.Even:
		return "even all round"
	}
	return "wide at " + model.Clock(q.Answer.WideRad)
}

// SizeWords are the slider's length and its share of the chamfer.
func (q *Quiz) SizeWords() (length, share string) {
	if !q.said[practice.Size] {
		return "not said yet", ""
	}
	mm := q.Answer.SizeMM
	return practice.Small(mm, q.width()/50, q.Units), fmt.Sprintf("%.0f %% of the chamfer", 100*mm/q.width())
}

// JobWords are the drawing's values that the answer needs.
func (q *Quiz) JobWords() string {
	w := "chamfer " + practice.OnDrawing(q.Job.ChamferMM, q.Units)
	if q.Job.ChamferMM <= 0 {
		w = "chamfer width not known"
	}
	zone := "mismatch up to " + practice.OnDrawing(q.Job.ToleranceMM, q.Units) + " allowed"
	if q.Job.Zone == model.SquareZone {
		zone = "mismatch up to " + practice.OnDrawing(q.Job.ToleranceMM, q.Units) + " each way allowed"
	}
	return fmt.Sprintf("Drawing: bore %s, %s, %s", practice.OnDrawing(q.Job.BoreMM, q.Units), w, zone)
}

// Head names the photo.
func (q *Quiz) Head() string {
	if q.Own != "" {
		return q.Own
	}
	return fmt.Sprintf("Photo %d, level %d of %d", q.Exercise.N, q.Exercise.Level, practice.MostLevel)
}

// Verdicts are the choices of the third question.
var Verdicts = []model.Verdict{model.Conforms, model.DoesNotConform, model.Undecided}

// VerdictWords names a choice.
func VerdictWords(v model.Verdict) string {
	switch v {
	case model.Conforms:
		return "Conforms"
	case model.DoesNotConform:
		return "Does not conform"
	}
	return "Can't tell by eye"
}

// PartWords names a question.
func PartWords(p practice.Part) string {
	return map[practice.Part]string{practice.Where: "Where it is wide", practice.Size: "How far off", practice.Judged: "Verdict", practice.Why: "What you see"}[p]
}

// ScoreWords is a mark as a share.
func ScoreWords(score float64) string { return fmt.Sprintf("%.0f of 100", 100*score) }

// Grade is how good a part was: 0 wrong, 1 partly, 2 right.
func Grade(score float64) int {
	switch {
	case score >= 0.99:
		return 2
	case score > 0.01:
		return 1
	}
	return 0
}

// Notes are what else is to be said about the revealed photo.
func (q *Quiz) Notes() []string {
	if q.Mark == nil {
		return nil
	}
	var out []string
	if q.Key.Cause == "" && q.Answer.Cause.Known() {
		out = append(out, "What caused it isn't marked on an own photo. You said: "+q.Answer.Cause.Words()+". "+q.Answer.Cause.Sign()+" Look for that in the picture.")
	}
	if q.Own == "" && (q.Key.Cause == practice.Tilted || q.Exercise.Shot.TiltX != 0 || q.Exercise.Shot.TiltY != 0) {
		see := practice.See(q.Exercise.Shot)
		w := q.Key.WidthMM / 50
		out = append(out, fmt.Sprintf("As the camera stood, it looks off by %s towards %s; straight from above it is %s.",
			practice.Small(see.LooksHalf, w, q.Units), model.Clock(see.LooksRad), practice.Small(see.HalfDifference, w, q.Units)))
	}
	if q.Own == "" {
		if v := practice.See(q.Exercise.Shot).VanishedRad; v > 0 {
			out = append(out, fmt.Sprintf("The chamfer has vanished over %.0f degrees: the mismatch is larger than its width.", v*180/math.Pi))
		}
	}
	return out
}
