package practice

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"time"
)

// Kinds of entries in a person's record.
const (
	KindExercise = "exercise"
	KindEye      = "eye"
	KindLesson   = "lesson"
)

// Entry is one thing a person did. Of the three pointers one is set.
type Entry struct {
	At       time.Time
	Exercise *Done
	Eye      *Threshold
	Lesson   *Read
}

// Done is an exercise that was answered.
type Done struct {
	Seed   uint64 // 0 = an own photo
	N      int
	Level  int
	Photo  string `json:",omitempty"` // name of an own photo
	Answer Answer
	Key    Key
	Score  float64
	Parts  map[Part]float64
}

// Read is a lesson that was read.
type Read struct{ ID string }

// DoneOf puts an answered exercise into words for the record.
func DoneOf(e Exercise, photo string, a Answer, k Key, m Mark) Done {
	d := Done{Seed: e.Seed, N: e.N, Level: e.Level, Photo: photo, Answer: a, Key: k, Score: m.Score, Parts: map[Part]float64{}}
	for _, p := range m.Parts {
		d.Parts[p.Part] = p.Score
	}
	return d
}

// Pack returns the entry's kind and body as the record keeps them.
func (e Entry) Pack() (kind string, body json.RawMessage, err error) {
	var v any
	switch {
	case e.Exercise != nil:
		kind, v = KindExercise, e.Exercise
	case e.Eye != nil:
		kind, v = KindEye, e.Eye
	case e.Lesson != nil:
		kind, v = KindLesson, e.Lesson
	default:
		return "", nil, fmt.Errorf("practice: an entry without content")
	}
	body, err = json.Marshal(v)
	return kind, body, err
}

// Unpack is the reverse of Pack. An unknown kind (of a later program) gives ok =
// false without an error.
func Unpack(at time.Time, kind string, body json.RawMessage) (e Entry, ok bool, err error) {
	e.At = at
	switch kind {
	case KindExercise:
		e.Exercise = &Done{}
		err = json.Unmarshal(body, e.Exercise)
	case KindEye:
		e.Eye = &Threshold{}
		err = json.Unmarshal(body, e.Eye)
	case KindLesson:
		e.Lesson = &Read{}
		err = json.Unmarshal(body, e.Lesson)
	default:
		return Entry{}, false, nil
	}
	if err != nil {
		return Entry{}, false, fmt.Errorf("practice: an entry of kind %s cannot be read: %w", kind, err)
	}
	return e, true, nil
}

// Progress is what a person's entries say, the oldest first.
type Progress struct {
	Person  string
	Entries []Entry
}

// What moves the level: three good answers in a row up, two poor ones down.
const (
	goodScore, poorScore = 0.75, 0.40
	goodRow, poorRow     = 3, 2
)

// Level is the difficulty that suits the person next.
func (p Progress) Level() int {
	level, good, poor := LeastLevel, 0, 0
	for _, e := range p.Entries {
		if e.Exercise == nil || e.Exercise.Seed == 0 { // an own photo has no level
			continue
		}
		switch s := e.Exercise.Score; {
		case s >= goodScore:
			good, poor = good+1, 0
		case s < poorScore:
			good, poor = 0, poor+1
		default:
			good, poor = 0, 0
		}
		switch {
		case good == goodRow:
			level, good = min(level+1, MostLevel), 0
		case poor == poorRow:
			level, poor = max(level-1, LeastLevel), 0
		}
	}
	return level
}

// Exercises are the marks of all answered exercises.
func (p Progress) Exercises() []Entry { return p.only(func(e Entry) bool { return e.Exercise != nil }) }

// Eyes are the eye tests.
func (p Progress) Eyes() []Entry { return p.only(func(e Entry) bool { return e.Eye != nil }) }

func (p Progress) only(keep func(Entry) bool) (out []Entry) {
	for _, e := range p.Entries {
		if keep(e) {
			out = append(out, e)
		}
	}
	return out
}

// LessonsRead is which lessons were read.
func (p Progress) LessonsRead() map[string]bool {
	out := map[string]bool{}
	for _, e := range p.Entries {
		if e.Lesson != nil {
			out[e.Lesson.ID] = true
		}
	}
	return out
}

// Eye is the last threshold; ok = false when none was measured.
func (p Progress) Eye() (t Threshold, ok bool) {
	for _, e := range p.Entries {
		if e.Eye != nil {
			t, ok = *e.Eye, true
			t.Person, t.At = p.Person, e.At
		}
	}
	return t, ok
}

// Mean is the mean of the last n marks, and how many there were.
func (p Progress) Mean(n int) (mean float64, of int) {
	ex := p.Exercises()
	ex = ex[max(len(ex)-n, 0):]
	for _, e := range ex {
		mean += e.Exercise.Score
	}
	if len(ex) == 0 {
		return 0, 0
	}
	return mean / float64(len(ex)), len(ex)
}

// Weakest is the question that costs most marks over the last n exercises; ok =
// false while there are fewer than three or all are good.
func (p Progress) Weakest(n int) (part Part, mean float64, ok bool) {
	ex := p.Exercises()
	ex = ex[max(len(ex)-n, 0):]
	if len(ex) < 3 {
		return "", 0, false
	}
	least := goodScore
	for _, q := range []Part{Where, Size, Judged, Why} {
		var sum, of float64
		for _, e := range ex {
			if s, have := e.Exercise.Parts[q]; have {
				sum += s
				of++
			}
		}
		if of > 0 && sum/of < least {
			part, least, ok = q, sum/of, true
		}
	}
	return part, least, ok
}

// WriteCSV writes the entries as a table: UTF-8, decimal points, mm, ISO 8601.
func (p Progress) WriteCSV(w io.Writer) error {
	c := csv.NewWriter(w)
	c.Write([]string{"person", "at", "kind", "what", "level", "mark", "mark_where", "mark_size", "mark_verdict", "mark_cause",
		"said_size_mm", "true_size_mm", "true_u95_mm", "said_cause", "true_cause", "eye_share", "eye_low95", "eye_high95", "eye_trials"})
	num := func(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
	for _, e := range p.Entries {
		row := make([]string, 19)
		row[0], row[1] = p.Person, e.At.UTC().Format(time.RFC3339)
		switch {
		case e.Exercise != nil:
			d := e.Exercise
			row[2], row[3], row[4], row[5] = KindExercise, d.Photo, strconv.Itoa(d.Level), num(d.Score)
			if d.Photo == "" {
				row[3] = fmt.Sprintf("seed %d no. %d", d.Seed, d.N)
			}
			for i, q := range []Part{Where, Size, Judged, Why} {
				if s, have := d.Parts[q]; have {
					row[6+i] = num(s)
				}
			}
			row[10], row[11], row[12] = num(d.Answer.said()), num(d.Key.Mismatch.Norm()), num(d.Key.U95MM)
			row[13], row[14] = string(d.Answer.Cause), string(d.Key.Cause)
		case e.Eye != nil:
			row[2] = KindEye
			row[15], row[16], row[17], row[18] = num(e.Eye.Share), num(e.Eye.Low95), num(e.Eye.High95), strconv.Itoa(e.Eye.Trials)
		case e.Lesson != nil:
			row[2], row[3] = KindLesson, e.Lesson.ID
		}
		c.Write(row)
	}
	c.Flush()
	return c.Error()
}
