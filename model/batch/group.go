package batch

import (
	"fmt"
	"path/filepath"
	"slices"

	"evenrim/model"
)

// Item is one reading with what the list or the record says it belongs to.
type Item struct {
	Batch, Part, Hole string
	HoleAt            *model.Vec // mm; nil = not said
	TurnRad           *float64   // nil = not said
	Reading           *model.Reading
}

// Batch is the parts of one name, in the order of their first reading.
type Batch struct {
	Name        string
	Parts       []Part
	ToleranceMM float64 // of its first reading
	Zone        model.Zone
	Flip        model.FlipAxis
	ShowInch    bool
	Warnings    []string
}

// Group joins items to batches: the photos of one hole are a turn set, the holes
// of one part make its shift. A reading that names no part is a part of its own.
// Of several readings of one hole in one picture the last counts, at the place of the
// first: it is one part, whatever names it was given.
func Group(items []Item) ([]Batch, error) {
	var out []Batch
	for _, list := range groupBy(items, func(i int, it Item) string { return it.Batch }) {
		first := list[0].Reading.Job.WithDefaults()
		b := Batch{Name: list[0].Batch, ToleranceMM: first.ToleranceMM, Zone: first.Zone, Flip: first.Flip, ShowInch: first.ShowInch}
		other := false
		for _, it := range list {
			j := it.Reading.Job.WithDefaults()
			other = other || j.ToleranceMM != b.ToleranceMM || j.Zone != b.Zone || j.Flip != b.Flip
		}
		list, twice := once(list)
		b.Warnings = append(b.Warnings, twice...)
		if other {
			b.Warnings = append(b.Warnings, "The readings of this batch have different tolerances, zones or flip axes: those of the first are used.")
		}
		for _, part := range groupBy(list, func(i int, it Item) string {
			if it.Part == "" {
				return fmt.Sprint("\x00", i) // no name is like it
			}
			return it.Part
		}) {
			p, warnings, err := partOf(part)
			if err != nil {
				return nil, fmt.Errorf("batch %q: %w", b.Name, err)
			}
			b.Parts, b.Warnings = append(b.Parts, p), append(b.Warnings, warnings...)
		}
		out = append(out, b)
	}
	return out, nil
}

// once leaves one reading of each hole in each picture, and says of which there were more.
func once(items []Item) (out []Item, warnings []string) {
	at := map[string][]int{} // places in out, by picture
	said := map[string]bool{}
	for _, it := range items {
		sha := it.Reading.Photo.SHA256
		i := slices.IndexFunc(at[sha], func(i int) bool { return it.Reading.SameHole(out[i].Reading) })
		if i < 0 {
			at[sha] = append(at[sha], len(out))
			out = append(out, it)
			continue
		}
		first := &out[at[sha][i]]
		as := ""
		if first.Part != it.Part && it.Part != "" && first.Part != "" {
			as = fmt.Sprintf(", as part %s and as part %s", first.Part, it.Part)
		}
		w := fmt.Sprintf("Photo %s was read more than once%s: it is one part, and its last reading counts.", it.Reading.Photo.Name, as)
		if !said[w] {
			said[w] = true
			warnings = append(warnings, w)
		}
		if it.Part == "" {
			it.Part, it.Hole, it.HoleAt, it.TurnRad = first.Part, first.Hole, first.HoleAt, first.TurnRad
		}
		*first = it
	}
	return out, warnings
}

// groupBy parts items by key, groups and items in the order of first appearance.
func groupBy(items []Item, key func(int, Item) string) [][]Item {
	at := map[string]int{}
	var out [][]Item
	for i, it := range items {
		k := key(i, it)
		if _, ok := at[k]; !ok {
			at[k] = len(out)
			out = append(out, nil)
		}
		out[at[k]] = append(out[at[k]], it)
	}
	return out
}

func partOf(items []Item) (Part, []string, error) {
	name := items[0].Part
	if name == "" {
		name = filepath.Base(items[0].Reading.Photo.Name) // without its folders
	}
	p := Part{Name: name}
	var photos []model.HolePhoto
	for _, it := range items {
		p.Readings = append(p.Readings, it.Reading)
		photos = append(photos, model.HolePhoto{Hole: it.Hole, At: it.HoleAt, TurnRad: it.TurnRad, Reading: it.Reading})
	}
	holes, err := model.JoinHoles(photos)
	if err != nil {
		return Part{}, nil, fmt.Errorf("part %s: %w", name, err)
	}
	var warnings []string
	for _, h := range holes {
		if h.Set != nil {
			warnings = append(warnings, h.Set.Warnings...)
		}
	}
	for _, h := range holes {
		p.Shared = p.Shared.Add(h.CameraCov.Rotate(-h.PlusX).Scale(1 / float64(len(holes))))
	}
	if len(holes) == 1 {
		p.D, p.Cov = holes[0].Mismatch, holes[0].Cov
	} else {
		fit, err := model.FitPart(name, holes, nil)
		if err != nil {
			return Part{}, nil, err
		}
		p.D, p.Cov = fit.Shift, model.Sym2{XX: fit.Cov[0][0], XY: fit.Cov[0][1], YY: fit.Cov[1][1]}
		warnings = append(warnings, fit.Warnings...)
	}
	// The camera's share can't be more than all.
	if o := p.own(); o.XX < 0 || o.YY < 0 || o.Det() < 0 {
		p.Shared = p.Cov
	}
	return p, warnings, nil
}
