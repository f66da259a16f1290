package uitest

import "fyne.io/fyne/v2"

// Room is what the smallest window has left for a page beside its tabs and below its
// menu at a text scale. TestPagesHaveThatRoom (package ui) holds it.
func Room(scale float32) fyne.Size {
	return fyne.NewSize(1024-(30+58*scale), 700-(12+30*scale))
}
