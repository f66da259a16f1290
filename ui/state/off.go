package state

import (
	"slices"

	"evenrim/model"
)

// A photo may be taken off the bench before the record has its reading, or a turn set of
// it. It is off then, and known until they are kept.

// known is the photo with an ID, on the bench or off, or nil.
func (b *Bench) known(id int) *Photo {
	if p := b.Photo(id); p != nil {
		return p
	}
	if i := slices.IndexFunc(b.off, func(p *Photo) bool { return p.ID == id }); i >= 0 {
		return b.off[i]
	}
	return nil
}

// forget lets go of photos that are off and that nothing waits for any more.
func (b *Bench) forget() {
	sets := b.unkeptSets()
	b.off = slices.DeleteFunc(b.off, func(p *Photo) bool {
		ofSet := slices.ContainsFunc(sets, func(t *Turns) bool { return slices.Contains(t.Photos, p.ID) })
		return !ofSet && p.keeping == nil && !(p.Keepable() && p.CopyOf == "")
	})
}

// outdate lets go of photos that are off with a reading not kept, once a newer one of the
// same picture is: the older would take its place.
func (b *Bench) outdate(id int, by *model.Reading) {
	b.off = slices.DeleteFunc(b.off, func(p *Photo) bool {
		return p.ID != id && p.Keepable() && p.Reading.SameHole(by) && p.Reading.MadeAt.Before(by.MadeAt)
	})
}

// Stand lets the photo's reading in sight stand: the one that its rims, looked at again,
// were to give won't come any more.
func (p *Photo) Stand() {
	if p.Reading != nil && (p.Stage == Waiting || p.Stage == Working) {
		p.run++
		p.Stage, p.Doing = Done, ""
	}
}

// Keepable says whether the photo's reading may go into the record: it stands, isn't of a
// sample, and doesn't come from there.
func (p *Photo) Keepable() bool {
	return p.Reading != nil && p.Stage == Done && p.Kept == "" && !p.FromOld && !p.Source.Sample
}

// Keeping notes that the photo's reading is on its way into the record, and returns it.
func (p *Photo) Keeping() *model.Reading {
	p.Kept, p.keeping = BeingKept, p.Reading
	return p.Reading
}

// Unkept returns the photos, on the bench or off, whose reading isn't in the record yet.
func (b *Bench) Unkept() []*Photo {
	var out []*Photo
	for _, p := range slices.Concat(b.off, b.Photos) {
		if p.Keepable() && p.CopyOf == "" {
			out = append(out, p)
		}
	}
	return out
}

// WasKept notes the record's name for a reading, "" when it could not be kept, and returns
// its photo; a reading that has been replaced meanwhile stays in the record all the same.
func (b *Bench) WasKept(id int, r *model.Reading, kept string) *Photo {
	p := b.known(id)
	if p != nil {
		p.keeping = nil
		if kept != "" {
			p.keptBefore, p.keptCard, p.follows, p.outrun = kept, r.Job, false, false
		}
		if p.Reading == r {
			p.Kept = kept
		}
	}
	if kept != "" {
		for _, o := range b.Photos {
			if o.ID != id && o.Kept != "" && o.Kept != kept && o.Reading.SameHole(r) {
				o.outrun = true
			}
		}
		for _, t := range b.ended {
			if k := slices.Index(t.Used, r); k >= 0 {
				t.names[k] = kept
			}
		}
		b.outdate(id, r)
	}
	b.forget()
	return p
}
