package model

import (
	"cmp"
	"slices"
)

// InReadingOrder sorts places as a page is read, row by row from the top, each from the
// left: numbered so, a person finds a number where it is expected. Places less than a
// radius higher or lower than a row's first are in its row.
func InReadingOrder(places []Circle) {
	slices.SortStableFunc(places, func(a, b Circle) int { return cmp.Compare(a.Y, b.Y) })
	for rest := places; len(rest) > 0; {
		n := 1
		for n < len(rest) && rest[n].Y-rest[0].Y < rest[0].R {
			n++
		}
		slices.SortStableFunc(rest[:n], func(a, b Circle) int { return cmp.Compare(a.X, b.X) })
		rest = rest[n:]
	}
}
