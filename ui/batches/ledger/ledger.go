// Package ledger is what the Batches page shows and decides, without a window:
// what is searched for, which batches are picked, what they tell, in words and
// figures ready to lay out.
package ledger

import (
	"maps"
	"slices"
	"strings"

	"evenrim/model/chart"
	"evenrim/model/record"
)

// Source is where the readings shown come from.
type Source int

const (
	Own  Source = iota // the user's own record
	Demo               // the demo shop, a record of its own
	List               // photos of a list, not kept
)

// View is a leaf of the page.
type View int

const (
	Parts View = iota
	Photos
	Compare
	Charts
	Advice
	Gauge
)

// Views are the leaves with their names, in order.
var Views = []struct {
	View View
	Name string
}{{Parts, "Parts"}, {Photos, "Photos"}, {Compare, "Before and after"}, {Charts, "Run charts"}, {Advice, "What to move"}, {Gauge, "Gauge study"}}

// Ledger is the page's state.
type Ledger struct {
	Source  Source
	ListOf  string // the list's name
	Units   chart.Unit
	Filter  Filter
	View    View
	Batches []record.Value // in the record
	Picked  []string       // batches, in the order of picking
	Rims    bool           // drawn over the photos
	Chart   int            // picked batch whose charts are shown
	Shown   map[string]int // part whose photo is shown, by batch; missing = the typical one

	Entries []record.Entry // found, the last kept first
	Total   int            // that fit the filter
	Marked  map[record.ID]bool
	Chosen  record.ID // whose labels are shown; 0 = none

	Loaded *Loaded // what the picked batches tell; nil = not worked out

	typed map[typing]LabelForm // labels typed and not written yet
}

// New is an empty ledger.
func New() *Ledger {
	return &Ledger{Rims: true, Shown: map[string]int{}, Marked: map[record.ID]bool{}, typed: map[typing]LabelForm{}}
}

// Turn empties the ledger for another source.
func (l *Ledger) Turn(s Source) {
	n := New()
	n.Source, n.Units, n.Rims = s, l.Units, l.Rims
	n.typed = l.typed
	if s == List { // another list, other readings
		maps.DeleteFunc(n.typed, func(k typing, _ LabelForm) bool { return k.source == List })
	}
	*l = *n
}

// MaxPicked is how many batches can be told apart by mark and dash.
const MaxPicked = 4

// Pick adds a batch to those picked, or takes it off again. It returns a sentence
// when there is no room.
func (l *Ledger) Pick(name string) string {
	if i := slices.Index(l.Picked, name); i >= 0 {
		l.Picked = slices.Delete(l.Picked, i, i+1)
	} else if len(l.Picked) >= MaxPicked {
		return "Four batches are as many as can be told apart: take one off first."
	} else {
		l.Picked = append(l.Picked, name)
	}
	l.Chart = min(l.Chart, max(len(l.Picked)-1, 0))
	l.Loaded = nil
	return ""
}

// Listed are the batches to choose from: those picked, and those whose name holds
// what is searched for; all when none does.
func (l *Ledger) Listed() []record.Value {
	word := strings.ToLower(clean(l.Filter.Text))
	if word == "" {
		return l.Batches
	}
	fits := 0
	var out []record.Value
	for _, v := range l.Batches {
		named := strings.Contains(strings.ToLower(v.Name), word)
		if named {
			fits++
		}
		if named || l.Place(v.Name) >= 0 {
			out = append(out, v)
		}
	}
	if fits == 0 {
		return l.Batches
	}
	return out
}

// Place is where a batch stands among the picked, -1 = it isn't.
func (l *Ledger) Place(name string) int { return slices.Index(l.Picked, name) }

// Keep drops what is picked or marked and no longer there.
func (l *Ledger) Keep(batches []record.Value) {
	l.Batches = batches
	l.Picked = slices.DeleteFunc(l.Picked, func(n string) bool {
		return !slices.ContainsFunc(batches, func(v record.Value) bool { return v.Name == n })
	})
	l.Chart = min(l.Chart, max(len(l.Picked)-1, 0))
}

// Mark marks a reading or takes the mark off.
func (l *Ledger) Mark(id record.ID, on bool) {
	if on {
		l.Marked[id] = true
	} else {
		delete(l.Marked, id)
	}
}

// Entry is the entry of a reading found; nil = not among them.
func (l *Ledger) Entry(id record.ID) *record.Entry {
	for i := range l.Entries {
		if l.Entries[i].ID == id {
			return &l.Entries[i]
		}
	}
	return nil
}

// Glyph is how a picked batch is marked in lists, as on the target map.
func Glyph(place int) string {
	return []string{"●", "△", "□", "◊"}[((place%4)+4)%4]
}
