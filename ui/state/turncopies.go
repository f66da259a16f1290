package state

import (
	"slices"
	"time"

	"evenrim/model"
)

// A picture that is opened twice, under two names, may be taken for two photos of a turn
// set. It is one: the set counts its first reading, and that one alone is kept.

// ofDifferent is what the different pictures of a joined set say together, nil when there
// is only one; turns are how far each photo is turned from the first, rad.
func (t *Turns) ofDifferent(turns []float64) *model.Joined {
	var readings []*model.Reading
	var rad []float64
	different, _ := model.DistinctPhotos(t.Used)
	for i, r := range t.Used {
		if different[i] {
			readings, rad = append(readings, r), append(rad, turns[i])
		}
	}
	if len(readings) == len(t.Used) {
		return t.Result
	}
	h, err := model.JoinHole("", nil, readings, rad)
	if err != nil {
		return nil // fewer photos of one hole than have been joined already
	}
	return h.Joined(t.Result.Version, t.Result.MadeAt)
}

// findCopies notes which photos of the set are copies of an earlier one of it.
func (b *Bench) findCopies() {
	var before []*Photo
	for _, id := range b.Turns.Photos {
		p := b.Photo(id)
		if p == nil || p.Reading == nil {
			continue
		}
		p.CopyOf = ""
		if i := slices.IndexFunc(before, func(o *Photo) bool { return o.Reading.SameHole(p.Reading) }); i >= 0 {
			p.CopyOf = before[i].Name
		}
		before = append(before, p)
	}
}

// Withheld says that a photo's reading is not to be kept, or not yet: it is a copy of an
// earlier one of its turn set, or may turn out to be one.
func (b *Bench) Withheld(p *Photo) bool {
	if p.CopyOf != "" {
		return true
	}
	t := b.Turns
	if t == nil {
		return false
	}
	return slices.ContainsFunc(t.Photos[:max(slices.Index(t.Photos, p.ID), 0)], func(id int) bool {
		o := b.Photo(id)
		if o == nil || o.Info.SHA256 != "" && o.Info.SHA256 != p.Info.SHA256 {
			return false
		}
		return o.Stage == Waiting || o.Stage == Working
	})
}

// Outrun are the photos whose readings the joined set counts, while the record counts one of
// a copy that was read later. Each is given its reading anew, to be kept once more: a set of
// readings that have been replaced would be outdated from the start.
func (b *Bench) Outrun() (again []*Photo) {
	t := b.Turns
	if t == nil || t.ToKeep == nil || t.Kept != "" {
		return nil
	}
	different, _ := model.DistinctPhotos(t.Used)
	for i, id := range t.Photos {
		p := b.Photo(id)
		if p == nil || !p.outrun || p.FromOld || p.Reading != t.Used[i] || !different[i] {
			continue
		}
		r := *p.Reading
		r.MadeAt = time.Now() // the record takes a reading only once
		p.Reading, t.Used[i], p.Kept, p.outrun = &r, &r, "", false
		again = append(again, p)
	}
	return again
}
