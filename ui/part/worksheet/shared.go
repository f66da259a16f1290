package worksheet

import (
	"fmt"
	"slices"
	"strings"
)

// sharing are the other holes of the part that have photo p of hole h, too: the same hole
// in the same picture. It is in one of them by mistake, and nobody but the user knows which.
func (s *Sheet) sharing(h *Hole, p *Photo) []*Hole {
	var out []*Hole
	for _, o := range s.Holes {
		if o != h && slices.ContainsFunc(o.Photos, func(q *Photo) bool { return q.Reading != nil && q.Reading.SameHole(p.Reading) }) {
			out = append(out, o)
		}
	}
	return out
}

// ForRecord are the hole's photos whose readings are in the record as the hole's, or are to
// come there. One that another hole of the part has, too, would take that one's place: it
// stays out while the other is kept already, or comes first, as in a list.
func (s *Sheet) ForRecord(h *Hole) []*Photo {
	at := slices.Index(s.Holes, h)
	return slices.DeleteFunc(h.Once(), func(p *Photo) bool {
		return p.Kept == "" && slices.ContainsFunc(s.sharing(h, p), func(o *Hole) bool {
			return slices.Index(s.Holes, o) < at || slices.ContainsFunc(o.Photos, func(q *Photo) bool {
				return q.Kept != "" && q.Reading.SameHole(p.Reading)
			})
		})
	})
}

// NotTwice names the holes of which a photo stays out of the record, as it stands in
// another hole, too, and says what to do; "" for none.
func (s *Sheet) NotTwice() string {
	var names []string
	for i, h := range s.Holes {
		if len(s.ForRecord(h)) < len(h.Once()) {
			names = append(names, s.holeName(i))
		}
	}
	switch len(names) {
	case 0:
		return ""
	case 1:
		return fmt.Sprintf("A photo of hole %s is not kept: the same hole in the same picture stands in another hole, too. See at the hole which, and take the wrong one off.", names[0])
	}
	return fmt.Sprintf("Photos of holes %s are not kept: the same hole in the same picture stands in another hole, too. See at the holes which, and take the wrong ones off.", joined(names))
}

// sharedWords say on a hole's row which other holes have a photo of it; "" for none.
func (s *Sheet) sharedWords(h *Hole) string {
	var with []string
	for i, o := range s.Holes {
		if slices.ContainsFunc(h.Once(), func(p *Photo) bool { return slices.Contains(s.sharing(h, p), o) }) {
			with = append(with, s.holeName(i))
		}
	}
	if len(with) == 0 {
		return ""
	}
	holes := "hole "
	if len(with) > 1 {
		holes = "holes "
	}
	words := fmt.Sprintf("The same hole in the same picture stands in %s, too: which one is wrong? Take that one off, and add it with a photo of its own.", holes+joined(with))
	if len(s.ForRecord(h)) < len(h.Once()) {
		words += " Until then the record does not get this one."
	}
	return words
}

// holeName is what a hole is called in words.
func (s *Sheet) holeName(i int) string {
	if name := s.Holes[i].Name; name != "" {
		return name
	}
	return fmt.Sprintf("no. %d", i+1)
}

func joined(names []string) string {
	last := len(names) - 1
	if last == 0 {
		return names[0]
	}
	return strings.Join(names[:last], ", ") + " and " + names[last]
}
