package ledger

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/record"
	"evenrim/ui/port"
)

// Row is one line of the table, in words.
type Row struct {
	ID                      record.ID
	Verdict                 model.Verdict
	Name                    string // part and hole, or the photo's name
	Batch                   string
	X, Y, D                 string
	PM                      string
	Made                    string
	Remark                  string // note, tags, correction
	Photographed, Corrected bool
}

// RowOf words an entry of the record.
func RowOf(e record.Entry, u chart.Unit) Row {
	d := u.Decimals(e.U95MM)
	r := Row{ID: e.ID, Verdict: e.Verdict, Name: NameOf(e), Batch: e.Batch,
		X: u.Signed(e.Mismatch.X, d), Y: u.Signed(e.Mismatch.Y, d), D: u.Format(e.Mismatch.Norm(), d),
		PM: "± " + u.FormatU(e.U95MM, d), Made: madeAt(e),
		Photographed: e.PhotoSHA256 != "", Corrected: e.ReplacedBy != 0}
	var remark []string
	if e.ReplacedBy != 0 {
		remark = append(remark, fmt.Sprintf("corrected by no. %d", e.ReplacedBy))
	}
	if e.Note != "" {
		remark = append(remark, e.Note)
	}
	for _, t := range e.Tags {
		remark = append(remark, "#"+t)
	}
	r.Remark = strings.Join(remark, " · ")
	return r
}

// NameOf is what a reading is called in lists.
func NameOf(e record.Entry) string {
	switch {
	case e.Part != "" && e.Hole != "":
		return e.Part + " · " + e.Hole
	case e.Part != "":
		return e.Part
	}
	return filepath.Base(e.PhotoName) // without its folders
}

func madeAt(e record.Entry) string { return e.MadeAt.Local().Format("2006-01-02 15:04") }

// TitleOf names a reading in full, with when it was made: a table's columns may be too
// narrow for that, or left out.
func TitleOf(e record.Entry) string {
	t := fmt.Sprintf("No. %d, %s", e.ID, NameOf(e))
	if e.Batch != "" {
		t += ", batch " + e.Batch
	}
	return t + ", made " + madeAt(e)
}

// LabelForm is the fields of what a shop writes about readings, as typed.
type LabelForm struct {
	Part, Hole, Batch, Note, Operator, Machine, Tags string
}

// FormOf fills the form from a reading's labels.
func FormOf(l record.Labels) LabelForm {
	return LabelForm{l.Part, l.Hole, l.Batch, l.Note, l.Operator, l.Machine, strings.Join(l.Tags, ", ")}
}

// Onto is old with what the form says. With several readings a field left empty
// leaves theirs as it is; with one it empties it.
func (f LabelForm) Onto(old record.Labels, several bool) record.Labels {
	set := func(to *string, v string) {
		if v = strings.TrimSpace(v); v != "" || !several {
			*to = v
		}
	}
	set(&old.Part, f.Part)
	set(&old.Hole, f.Hole)
	set(&old.Batch, f.Batch)
	set(&old.Note, f.Note)
	set(&old.Operator, f.Operator)
	set(&old.Machine, f.Machine)
	if strings.TrimSpace(f.Tags) != "" || !several {
		old.Tags = nil
		for _, t := range strings.FieldsFunc(f.Tags, func(r rune) bool { return r == ',' || r == ';' || r == '#' }) {
			if t = strings.TrimSpace(t); t != "" {
				old.Tags = append(old.Tags, t)
			}
		}
	}
	return old
}

// HistoryWords are the labels a reading has had, the oldest first.
func HistoryWords(h []record.LabelEntry) []string {
	var out []string
	for i, e := range h {
		var said []string
		add := func(name, v, before string) {
			switch {
			case v == before:
			case v == "":
				said = append(said, name+" emptied")
			default:
				said = append(said, name+" “"+v+"”")
			}
		}
		var old record.Labels
		if i > 0 {
			old = h[i-1].Labels
		}
		add("part", e.Part, old.Part)
		add("hole", e.Hole, old.Hole)
		add("batch", e.Batch, old.Batch)
		add("note", e.Note, old.Note)
		add("person", e.Operator, old.Operator)
		add("machine", e.Machine, old.Machine)
		add("tags", strings.Join(e.Tags, ", "), strings.Join(old.Tags, ", "))
		if len(said) == 0 {
			continue
		}
		who := e.Who
		if who != "" {
			who = ", " + who
		}
		out = append(out, e.At.Local().Format("2006-01-02 15:04")+who+": "+strings.Join(said, ", ")+".")
	}
	return out
}

// Write has who add what the form says to the labels of readings and returns how many
// got a new line; those that say it already get none.
func Write(ctx context.Context, a port.Archive, who string, ids []record.ID, f LabelForm, several bool) (n int, err error) {
	slices.Sort(ids)
	for _, id := range ids {
		_, e, err := a.Get(ctx, id)
		if err != nil {
			return n, err
		}
		now := f.Onto(e.Labels, several)
		if FormOf(now) == FormOf(e.Labels) {
			continue
		}
		if err := a.Label(ctx, id, who, now); err != nil {
			return n, err
		}
		n++
	}
	return n, nil
}

// CorrectionWords say which reading e stands for, and which stands for it.
func CorrectionWords(e record.Entry) (out []string) {
	if e.Replaces != 0 {
		out = append(out, fmt.Sprintf("It corrects no. %d, by %s: %s", e.Replaces, e.Who, e.Why))
	}
	if e.ReplacedBy != 0 {
		out = append(out, fmt.Sprintf("No. %d corrects it, and counts instead.", e.ReplacedBy))
	}
	return out
}
