package ui

import (
	"evenrim/ui/batches"

	"fyne.io/fyne/v2"
)

// batchMenu is what the Batches page can do, for those who use no pointer.
func (w *Window) batchMenu() *fyne.Menu {
	on := func(label string, s fyne.Shortcut, f func(*batches.Page)) *fyne.MenuItem {
		return item(label, s, w.onBatches(f))
	}
	return fyne.NewMenu("Record",
		on("Search", ctrl(fyne.KeyF), (*batches.Page).FocusSearch),
		fyne.NewMenuItemSeparator(),
		on("Your record", nil, (*batches.Page).OpenOwn),
		on("Demo shop", ctrlShift(fyne.KeyE), (*batches.Page).OpenDemo),
		on("Photos of a list…", ctrlShift(fyne.KeyL), (*batches.Page).AskList),
		fyne.NewMenuItemSeparator(),
		on("Report of the batches picked…", ctrlShift(fyne.KeyR), (*batches.Page).AskReport),
		on("Export what is found…", nil, (*batches.Page).AskExport),
		on("Import a table or zip…", nil, (*batches.Page).AskImport),
		fyne.NewMenuItemSeparator(),
		on("Back up everything…", nil, (*batches.Page).AskBackup),
		on("Restore a backup into a new folder…", nil, (*batches.Page).AskRestore),
		on("Check every reading and photo", nil, (*batches.Page).Check),
	)
}

// onBatches brings the Batches page into view before it does f.
func (w *Window) onBatches(f func(*batches.Page)) func() {
	return func() {
		for i, l := range w.pages {
			if l.name != "Batches" {
				continue
			}
			if w.open != i {
				w.turnTo(i)
			}
			if p, ok := l.page.(*batches.Page); ok {
				f(p)
			}
		}
	}
}
