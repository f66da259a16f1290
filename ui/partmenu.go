package ui

import (
	"evenrim/ui/part"

	"fyne.io/fyne/v2"
)

// partMenu is what the Part page can do, for those who use no pointer.
func (w *Window) partMenu() *fyne.Menu {
	on := func(label string, s fyne.Shortcut, f func(*part.Page)) *fyne.MenuItem {
		return item(label, s, w.onPart(f))
	}
	return fyne.NewMenu("Part",
		on("Sample part", ctrlShift(fyne.KeyA), (*part.Page).OpenSample),
		on("List of photos or walls…", ctrlShift(fyne.KeyG), (*part.Page).AskOpen),
		fyne.NewMenuItemSeparator(),
		on("Add a hole", ctrlShift(fyne.KeyH), (*part.Page).AddHole),
		on("Add a wall", ctrlShift(fyne.KeyI), (*part.Page).AddWall),
		fyne.NewMenuItemSeparator(),
		on("Stop reading the part's photos", nil, (*part.Page).Cancel),
		on("Look again at those stopped", nil, (*part.Page).Again),
		fyne.NewMenuItemSeparator(),
		on("Keep the part's readings", nil, (*part.Page).Keep),
		on("Save the part as lists…", nil, (*part.Page).AskSave),
		on("Report of the part…", nil, (*part.Page).AskReport),
	)
}

// onPart brings the Part page into view before it does f.
func (w *Window) onPart(f func(*part.Page)) func() {
	return func() {
		for i, l := range w.pages {
			if l.name != "Part" {
				continue
			}
			if w.open != i {
				w.turnTo(i)
			}
			if p, ok := l.page.(*part.Page); ok {
				f(p)
			}
		}
	}
}
