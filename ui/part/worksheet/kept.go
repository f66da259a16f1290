package worksheet

import (
	"slices"

	"evenrim/model"
)

// Once are the hole's photos that have a reading, a picture that is there twice once: by
// its first reading, which is the one that counts when they are joined.
func (h *Hole) Once() []*Photo {
	var out []*Photo
	for _, p := range h.Photos {
		if p.Reading != nil && !slices.ContainsFunc(out, func(o *Photo) bool { return o.Reading.SameHole(p.Reading) }) {
			out = append(out, p)
		}
	}
	return out
}

// NotKept counts readings that are to come into the record. One whose photo is being looked
// at again is not: its new one would have to take its place there.
// None is while a field is typed wrong: they would be kept with what stood there before.
func (s *Sheet) NotKept() int {
	n := 0
	if s.Slip() != "" {
		return n
	}
	for _, h := range s.Holes {
		for _, p := range s.ForRecord(h) {
			if p.ToKeep() {
				n++
			}
		}
	}
	return n
}

// ToKeep says that the photo's reading stands and is not in the record.
func (p *Photo) ToKeep() bool { return p.Stage == Done && p.Kept == "" }

// NothingToKeep says why no reading is to come into the record, and what to do about it;
// "" when there is one.
func (s *Sheet) NothingToKeep() string {
	done, all := s.Progress()
	read := slices.ContainsFunc(s.Holes, func(h *Hole) bool { return len(h.Once()) > 0 })
	switch {
	case s.Sample:
		return "There is nothing to keep: the sample part stays out of your record. Open a list of a part of your own."
	case s.Slip() != "":
		return "Nothing is kept while a field is typed wrong. " + s.Slip()
	case s.NotKept() > 0:
		return ""
	case done < all:
		return "There is nothing to keep yet: the photos are still being read. Keep the readings once they are there."
	case slices.ContainsFunc(s.Photos(), func(p *Photo) bool { return p.Stage == Stopped }):
		return "There is nothing to keep: looking at the photos was stopped. Look at them again first."
	case s.NotTwice() != "":
		return "There is nothing more to keep. " + s.NotTwice()
	case read:
		return "There is nothing to keep: every reading of this part is in the record already. Add a photo to have more."
	case all > 0:
		return "There is nothing to keep: no photo has given a reading. See at its hole why, and mend that first."
	}
	return "There is nothing to keep: no hole has a photo yet. Add a hole and its photo first."
}

// WasKept notes the record's name for a photo's reading r, unless it has another one by
// now. A copy of the picture in the same hole is in the record by it: like what is kept,
// it no longer follows the fields.
func (s *Sheet) WasKept(id int, r *model.Reading, kept string) {
	for _, h := range s.Holes {
		i := slices.IndexFunc(h.Photos, func(p *Photo) bool { return p.ID == id && p.Reading == r })
		if i < 0 {
			continue
		}
		h.Photos[i].Kept = kept
		for _, p := range h.Photos {
			if p.Kept == "" && p.Reading != nil && p.Reading.SameHole(r) {
				p.Kept = kept
			}
		}
	}
}
