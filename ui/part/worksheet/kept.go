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

// NotKept counts readings that are to come into the record.
func (s *Sheet) NotKept() int {
	n := 0
	for _, h := range s.Holes {
		for _, p := range h.Once() {
			if p.Kept == "" {
				n++
			}
		}
	}
	return n
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
