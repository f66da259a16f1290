package worksheet

import (
	"fmt"
	"strings"
)

// Unsaved says that the part has what no list has: something typed, added or taken off
// since it was opened or saved.
func (s *Sheet) Unsaved() bool { return !s.Empty() && s.asWritten() != s.saved }

// Saving takes the part as it stands; call what it returns once that can be opened again.
func (s *Sheet) Saving() (saved func()) {
	as := s.asWritten()
	return func() { s.saved = as }
}

// asWritten is all of the part that was typed or added, to tell whether it has changed.
func (s *Sheet) asWritten() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%q %v", s.Name, s.Size)
	for _, h := range s.Holes {
		fmt.Fprintf(&b, "\nhole %q %v %v", h.Name, h.At, h.Placed)
		for _, p := range h.Photos {
			fmt.Fprintf(&b, " photo %d %v", p.ID, p.Card)
		}
	}
	for _, w := range s.Walls {
		fmt.Fprintf(&b, "\nwall %q %v %v", w.Wall.Name, w.Wall, w.GapMM)
	}
	return b.String()
}
