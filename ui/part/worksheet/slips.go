package worksheet

import (
	"fmt"
	"slices"
	"strings"
)

// slip is a field as it was typed wrong. While there is one nothing is worked out: numbers
// of what stood there before would pass for those of what stands there now.
type slip struct {
	of                        any // the hole, photo or wall; the sheet for the part as a whole
	at                        int // which of its fields
	name, label, text, reason string
}

// watched notes where one of the fields is typed wrong, and brings back what was typed
// where they are made anew.
func (s *Sheet) watched(of any, name string, fields []Field) []Field {
	for i := range fields {
		f := &fields[i]
		if k := s.slipOf(of, i); k >= 0 {
			f.Text, f.Problem = s.slips[k].text, s.slips[k].reason
		}
		set := f.Set
		f.Set = func(text string) error {
			if k := s.slipOf(of, i); k >= 0 {
				s.slips = slices.Delete(s.slips, k, k+1)
			}
			err := set(text)
			if err != nil {
				s.slips = append(s.slips, slip{of, i, name, f.Label, text, err.Error()})
				s.WorkOut()
			}
			return err
		}
	}
	return fields
}

func (s *Sheet) slipOf(of any, at int) int {
	return slices.IndexFunc(s.slips, func(p slip) bool { return p.of == of && p.at == at })
}

// Slip says which field is typed wrong and how; "" for none.
func (s *Sheet) Slip() string {
	s.slips = slices.DeleteFunc(s.slips, func(p slip) bool { return !s.has(p.of) })
	if len(s.slips) == 0 {
		return ""
	}
	p := s.slips[0]
	return fmt.Sprintf("%s, %s: %s", strings.TrimSpace(p.name), p.label, p.reason)
}

// has says that what a field is of still belongs to the part.
func (s *Sheet) has(of any) bool {
	switch v := of.(type) {
	case *Hole:
		return slices.Contains(s.Holes, v)
	case *Wall:
		return slices.Contains(s.Walls, v)
	case *Photo:
		return slices.Contains(s.Photos(), v)
	}
	return true
}
