package ledger

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"evenrim/model"
	"evenrim/model/batch"
	"evenrim/model/chart"
	"evenrim/model/record"
	"evenrim/model/report"
	"evenrim/ui/port"
)

// Loaded is what the picked batches tell.
type Loaded struct {
	Batches  []batch.Batch // in the order of picking
	Answers  []report.BatchAnswer
	Compares []report.CompareAnswer // each batch against the one before it
	Funnels  []batch.FunnelShow     // what correcting would do to such parts
	Notes    []string

	Entries map[*model.Reading]record.Entry
	study   []batch.PersonReading
}

// mostReadings is how many readings of a batch are worked with.
const mostReadings = 3000

// Load reads the readings of the batches named that fit q and works them out.
func Load(ctx context.Context, a port.Archive, names []string, q record.Query) (*Loaded, error) {
	l := &Loaded{Entries: map[*model.Reading]record.Entry{}}
	for _, name := range names {
		b, err := l.read(ctx, a, name, q)
		if err != nil {
			return nil, err
		}
		if len(b.Parts) == 0 {
			l.Notes = append(l.Notes, fmt.Sprintf("Of %s no reading fits the search.", report.BatchName(name)))
			continue
		}
		l.Batches = append(l.Batches, b)
	}
	var err error
	if l.Answers, err = report.AnswerBatches(l.Batches); err != nil {
		return nil, err
	}
	l.Funnels = report.FunnelsOf(l.Answers)
	for i, b := range l.Batches {
		if i == 0 {
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		c, err := report.AnswerCompare(l.Batches[i-1], b)
		if err != nil {
			return nil, err
		}
		l.Compares = append(l.Compares, c)
	}
	return l, nil
}

// read takes the readings of one batch, the first kept first; one that corrects another
// stands where that one stood.
func (l *Loaded) read(ctx context.Context, a port.Archive, name string, q record.Query) (batch.Batch, error) {
	q.Batch, q.Limit, q.Before = name, mostReadings+1, 0
	entries, err := a.Find(ctx, q)
	if err != nil {
		return batch.Batch{}, err
	}
	if len(entries) > mostReadings {
		entries = entries[:mostReadings]
		l.Notes = append(l.Notes, fmt.Sprintf("Of %s only the last %d readings are worked with: narrow the search by days.", report.BatchName(name), mostReadings))
	}
	var items []batch.Item
	slices.SortFunc(entries, func(a, b record.Entry) int { return cmp.Compare(a.First, b.First) })
	for _, e := range entries {
		r, _, err := a.Get(ctx, e.ID)
		if err != nil {
			return batch.Batch{}, err
		}
		l.Entries[r] = e
		items = append(items, batch.Item{Batch: e.Batch, Part: e.Part, Hole: e.Hole, HoleAt: e.HoleAt, TurnRad: e.TurnRad, Reading: r})
	}
	// Names are found without regard to case: one batch for all spellings.
	for i := range items {
		items[i].Batch = name
	}
	groups, err := batch.Group(items)
	if err != nil || len(groups) == 0 {
		return batch.Batch{}, err
	}
	for _, p := range groups[0].Parts {
		for _, r := range p.Readings {
			if e := l.Entries[r]; e.Operator != "" {
				part := NameOf(e)
				if e.Part == "" {
					part = e.PhotoName // whole: files of one name in two folders are two parts; a hole alone names none
				}
				l.study = append(l.study, batch.PersonReading{Part: part, Person: e.Operator, D: r.Mismatch})
			}
		}
	}
	return groups[0], nil
}

// StudyWords are the gauge study of the picked batches, by axis; ok is false when
// the readings make none, and the words then say what is missing.
func (l *Loaded) StudyWords(u chart.Unit) (x, y []string, ok bool) {
	tolerance := 0.0
	if len(l.Batches) > 0 {
		tolerance = l.Batches[0].ToleranceMM
	}
	sx, sy, err := batch.StudyAxes(l.study, tolerance)
	if err != nil {
		why := strings.TrimPrefix(err.Error(), "batch: ")
		why = strings.TrimSuffix(why, ": "+batch.ErrTooFew.Error())
		return []string{"These readings make no gauge study: " + why + "."}, nil, false
	}
	return report.StudyWords("X", sx, u), report.StudyWords("Y", sy, u), true
}

// PartRow words a part of a picked batch.
func (l *Loaded) PartRow(place, part int, u chart.Unit) Row {
	b := l.Batches[place]
	p := b.Parts[part]
	u95 := model.U95(p.Cov)
	if len(p.Readings) == 1 {
		u95 = p.Readings[0].U95MM
	}
	d := u.Decimals(u95)
	row := Row{Verdict: p.Verdict(b.ToleranceMM, b.Zone), Name: p.Name, Batch: b.Name, X: u.Signed(p.D.X, d), Y: u.Signed(p.D.Y, d), D: u.Format(p.D.Norm(), d), PM: "± " + u.FormatU(u95, d)}
	if len(p.Readings) > 0 {
		e := l.Entries[p.Readings[0]]
		old := RowOf(e, u)
		row.ID, row.Made, row.Remark, row.Photographed = e.ID, old.Made, old.Remark, old.Photographed
		if len(p.Readings) == 1 {
			row.Verdict = e.Verdict
		} else {
			row.Name += fmt.Sprintf(" (%d photos)", len(p.Readings))
		}
	}
	return row
}

// PartRows are all parts of the picked batches, batch by batch.
func (l *Loaded) PartRows(u chart.Unit) []Row {
	var out []Row
	for i, b := range l.Batches {
		for j := range b.Parts {
			out = append(out, l.PartRow(i, j, u))
		}
	}
	return out
}

// Shown is the part of a picked batch whose photo is shown: the one stepped to,
// else the one nearest to the mean. -1 without parts.
func (l *Ledger) ShownPart(place int) int {
	b := l.Loaded.Batches[place]
	if i, ok := l.Shown[b.Name]; ok && i < len(b.Parts) {
		return i
	}
	return batch.Typical(b.Parts)
}

// Step shows the next part of a picked batch, or the one before.
func (l *Ledger) Step(place, by int) {
	b := l.Loaded.Batches[place]
	if n := len(b.Parts); n > 0 {
		l.Shown[b.Name] = ((l.ShownPart(place)+by)%n + n) % n
	}
}

// ShownReading is the reading whose photo stands for a picked batch; nil = none.
func (l *Ledger) ShownReading(place int) *model.Reading {
	i := l.ShownPart(place)
	if i < 0 {
		return nil
	}
	if r := l.Loaded.Batches[place].Parts[i].Readings; len(r) > 0 {
		return r[0]
	}
	return nil
}

// PanelWords are the name and figures above a photo.
func (l *Ledger) PanelWords(place int) (name, words string) {
	b := l.Loaded.Batches[place]
	i := l.ShownPart(place)
	if i < 0 {
		return b.Name, ""
	}
	r := l.Loaded.PartRow(place, i, l.Units)
	return b.Name + ", part " + r.Name, fmt.Sprintf("X %s   Y %s   %s %s   %s", r.X, r.Y, r.PM, l.Units, r.Verdict)
}
