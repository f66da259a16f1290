package ledger

import (
	"fmt"
	"strings"
	"time"

	"evenrim/model"
	"evenrim/model/record"
)

// Filter is what the search fields say, as typed.
type Filter struct {
	Text     string
	From, To string // days
	Job      string
	Part     string
	Tag      string
	Verdict  model.Verdict // "" = any
	Replaced bool          // also readings that a later one corrects
}

// Empty tells that nothing narrows the search.
func (f Filter) Empty() bool { return f == Filter{} }

// Query is the search; problem is a sentence when a field can't be understood.
func (f Filter) Query() (q record.Query, problem string) {
	q = record.Query{Text: f.Text, Job: clean(f.Job), Part: clean(f.Part), Tag: clean(f.Tag), Verdict: f.Verdict, WithReplaced: f.Replaced}
	var err error
	if q.From, err = day(f.From, 0); err != nil {
		return q, "From: " + err.Error()
	}
	if q.To, err = day(f.To, 1); err != nil {
		return q, "To: " + err.Error()
	}
	if !q.From.IsZero() && !q.To.IsZero() && !q.From.Before(q.To) {
		return q, "The last day comes before the first."
	}
	return q, ""
}

func clean(s string) string { return strings.TrimSpace(s) }

// day reads a day as typed, in the user's own time; plus days later.
func day(s string, plus int) (time.Time, error) {
	if s = clean(s); s == "" {
		return time.Time{}, nil
	}
	for _, layout := range []string{"2006-01-02", "2.1.2006", "2006-1-2"} {
		if t, err := time.ParseInLocation(layout, s, time.Local); err == nil {
			return t.AddDate(0, 0, plus), nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is no day: write it as 2031-03-14.", s)
}

// Found says how many readings there are and whether something narrows them.
func (l *Ledger) Found() string {
	n := len(l.Entries)
	switch {
	case l.Total == 0 && l.Filter.Empty() && len(l.Picked) == 0:
		return "No reading yet."
	case l.Total == 0:
		return "No reading fits the search."
	case n < l.Total:
		return fmt.Sprintf("%s of %s readings", thousands(n), thousands(l.Total))
	case l.Total == 1:
		return "1 reading"
	}
	return thousands(l.Total) + " readings"
}

// thousands groups digits by thin spaces.
func thousands(n int) string {
	s := fmt.Sprint(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "\u00a0" + s[i:]
	}
	return s
}

// Counted is a number of things.
func Counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	if strings.HasSuffix(what, "ch") {
		what += "e"
	}
	return thousands(n) + " " + what + "s"
}
