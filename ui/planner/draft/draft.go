package draft

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/plan"
	"evenrim/model/practice"
	"evenrim/ui/state"
)

// Draft is what was typed. Untouched fields have their default in the units shown.
type Draft struct {
	Units  chart.Unit
	typed  map[string]string
	people []practice.Threshold
}

// New returns a draft with nothing typed.
func New() *Draft { return &Draft{typed: map[string]string{}} }

// Typed are the fields that differ from their defaults, to be remembered.
func (d *Draft) Typed() map[string]string {
	out := map[string]string{}
	for k, v := range d.typed {
		out[k] = v
	}
	return out
}

// Restore puts remembered fields back; keys that are none are left out.
func (d *Draft) Restore(typed map[string]string) {
	for k, v := range typed {
		if _, ok := field(k); ok {
			d.typed[k] = v
		}
	}
}

func field(key string) (Field, bool) {
	for _, s := range Sections {
		for _, f := range Fields(s) {
			if f.Key == key {
				return f, true
			}
		}
	}
	return Field{}, false
}

// People tells whose eyes were tested; the last one tested is chosen unless a
// person was chosen by hand.
func (d *Draft) People(list []practice.Threshold) {
	d.people = nil
	var last practice.Threshold
	for _, t := range list {
		if t.Known() {
			d.people = append(d.people, t)
			if t.At.After(last.At) || last.Person == "" {
				last = t
			}
		}
	}
	if _, chosen := d.typed["person"]; !chosen && last.Person != "" {
		d.typed["person"] = last.Person
	}
}

// Tested are the people whose eyes were tested.
func (d *Draft) Tested() []practice.Threshold { return d.people }

// Fields are a section's fields as they stand, people filled in.
func (d *Draft) Fields(s Section) []Field {
	fs := Fields(s)
	for i, f := range fs {
		if f.Key == "person" {
			for _, t := range d.people {
				fs[i].Options = append(fs[i].Options, t.Person)
			}
		}
		if f.Key == "material" {
			if m, ok := plan.MaterialNamed(d.Text("material")); ok {
				fs[i].Why = fmt.Sprintf("%.1f millionths a K: %s.", m.PerK*1e6, m.Source)
			}
		}
	}
	return fs
}

// Text is what stands in a field.
func (d *Draft) Text(key string) string {
	if t, ok := d.typed[key]; ok {
		return t
	}
	f, _ := field(key)
	if key == "eye" {
		if t, ok := d.person(); ok {
			return trimNumber(100*t.Share, 1)
		}
	}
	if t, ok := d.cameraText(key); ok {
		return t
	}
	if f.Kind == Length {
		if f.MM < 0 && !f.Coordinate {
			return ""
		}
		return strings.Replace(d.Units.Plain(f.MM), "−", "-", 1)
	}
	if f.Kind == Lines || f.Kind == Pair {
		return inUnits(key, f.Text, d.Units)
	}
	return f.Text
}

// usual is what stands in a field as long as nobody has changed it.
func (d *Draft) usual(key string) string {
	own, is := d.typed[key]
	delete(d.typed, key)
	text := d.Text(key)
	if is {
		d.typed[key] = own
	}
	return text
}

// cameraText fills a camera's figures in from the one chosen.
func (d *Draft) cameraText(key string) (string, bool) {
	switch key {
	case "pixels", "field", "sensor", "lens", "nearest":
	default:
		return "", false
	}
	c, ok := plan.CameraNamed(d.Text("camera"))
	if !ok {
		return "", true
	}
	positive := func(v float64) string {
		if v == 0 {
			return ""
		}
		return trimNumber(v, 2)
	}
	switch key {
	case "pixels":
		return fmt.Sprintf("%d x %d", c.WidthPx, c.HeightPx), true
	case "field":
		return positive(c.FieldRad * 180 / math.Pi), true
	case "sensor":
		return positive(c.SensorMM), true
	case "lens":
		return positive(c.LensMM), true
	}
	return positive(c.NearestMM), true
}

func trimNumber(v float64, decimals int) string {
	k := math.Pow10(decimals)
	return strconv.FormatFloat(math.Round(v*k)/k, 'f', -1, 64)
}

// Set changes a field as typed; a text that is the default again is forgotten.
func (d *Draft) Set(key, text string) {
	delete(d.typed, key)
	if d.Text(key) != text {
		d.typed[key] = text
	}
	if key == "camera" {
		for _, k := range []string{"pixels", "field", "sensor", "lens", "nearest"} {
			delete(d.typed, k)
		}
	}
	if key == "person" {
		delete(d.typed, "eye")
		d.typed[key] = text // chosen by hand, even if it is the default
	}
}

// Own says that a field was changed from its default.
func (d *Draft) Own(key string) bool { _, ok := d.typed[key]; return ok }

// ShowIn changes the units shown; what was typed without a unit keeps its meaning.
func (d *Draft) ShowIn(u chart.Unit) {
	for k, t := range d.typed {
		if f, ok := field(k); ok && f.Kind == Length {
			d.typed[k] = state.WithUnit(t, d.Units)
		}
	}
	for _, k := range []string{"features", "a-touches", "b-touches", "new"} {
		// Coordinates in lines are bare numbers: they are rewritten.
		if t, ok := d.typed[k]; ok && u != d.Units {
			d.typed[k] = rewrite(k, t, d.Units, u)
		}
	}
	d.Units = u
}

// rewrite turns the bare coordinates of a field of lines from one unit into another. A line
// that cannot be read stays as it is: half of it in another unit would be neither.
func rewrite(key, text string, from, to chart.Unit) string {
	var b strings.Builder
	for len(text) > 0 {
		end := strings.IndexAny(text, "\n;")
		if end < 0 {
			end = len(text)
		}
		b.WriteString(rewriteLine(key, text[:end], from, to))
		text = text[end:]
		if len(text) > 0 {
			b.WriteByte(text[0])
			text = text[1:]
		}
	}
	return b.String()
}

func rewriteLine(key, line string, from, to chart.Unit) string {
	words := wordsOf(key, line)
	n := len(words)
	if n < 2 || n != 2 && key != "features" {
		return line
	}
	for k := n - 2; k < n; k++ {
		mm, err := coordinate(words[k], from, true)
		if err != nil {
			return line
		}
		if state.WithUnit(words[k], from) != words[k] { // bare
			words[k] = trimNumber(to.Of(mm), map[chart.Unit]int{chart.MM: 4, chart.Inch: 5}[to])
		}
	}
	return strings.Join(words, " ")
}

// wordsOf are a line's words; touches may name the machine's axes.
func wordsOf(key, line string) []string {
	if key == "a-touches" || key == "b-touches" {
		line = strings.NewReplacer("X", " ", "Y", " ").Replace(line)
	}
	return strings.Fields(line)
}

// Problem is a field that cannot be read or used.
type Problem struct{ Key, Sentence string }

func (p *Problem) Error() string { return p.Sentence }

// reader reads fields and keeps the first problem of each.
type reader struct {
	d        *Draft
	problems []*Problem
}

func (r *reader) fail(key, format string, a ...any) {
	r.problems = append(r.problems, &Problem{key, fmt.Sprintf(format, a...)})
}

func (r *reader) mm(key string) float64 {
	f, _ := field(key)
	text := strings.TrimSpace(r.d.Text(key))
	if !r.d.Own(key) && f.Kind == Length && f.MM >= 0 {
		return f.MM // exactly, not as shown
	}
	if text == "" {
		if f.Empty == "" {
			r.fail(key, "%s: nothing is entered; 0 if there is none. The field came with %s.", f.Name, r.d.usual(key))
		}
		return 0
	}
	mm, err := coordinate(text, r.d.Units, f.Coordinate)
	if err != nil {
		r.fail(key, "%s: %s", f.Name, err)
	}
	return mm
}

// coordinate reads a length that may be negative.
func coordinate(text string, u chart.Unit, mayBeNegative bool) (float64, error) {
	t := strings.TrimSpace(strings.Replace(text, "−", "-", 1))
	sign := 1.0
	if mayBeNegative {
		switch {
		case strings.HasPrefix(t, "-"):
			sign, t = -1, t[1:]
		case strings.HasPrefix(t, "+"):
			t = t[1:]
		}
	}
	mm, err := model.ParseLength(state.WithUnit(t, u))
	return sign * mm, err
}

func (r *reader) number(key string) float64 {
	f, _ := field(key)
	text := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(r.d.Text(key)), f.Suffix))
	if text == "" {
		if f.Empty == "" {
			r.fail(key, "%s: a number is needed. The field came with %s.", f.Name, r.d.usual(key))
		}
		return 0
	}
	if f.Suffix == "mm" {
		mm, err := model.ParseLength(text)
		if err != nil {
			r.fail(key, "%s: %s", f.Name, err)
		}
		return mm
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		r.fail(key, "%s: %q is no number.", f.Name, text)
		return 0
	}
	return v
}

func (r *reader) choice(key string) string {
	t := r.d.Text(key)
	f, _ := field(key)
	if key != "person" && !slices.Contains(f.Options, t) {
		r.fail(key, "%s: choose one of %s.", f.Name, strings.Join(f.Options, "; ")) // some have a comma
	}
	return t
}

// Problems are the sentences beside a section's fields, by key.
func (d *Draft) Problems(s Section) map[string]string {
	_, err := d.Plan(s, true)
	out := map[string]string{}
	var all Problems
	if errors.As(err, &all) {
		for _, p := range all {
			if out[p.Key] == "" {
				out[p.Key] = p.Sentence
			}
		}
	}
	return out
}

// Problems are all that is wrong with a section, in the order of its fields.
type Problems []*Problem

func (p Problems) Error() string { return p[0].Sentence }
