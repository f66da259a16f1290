package ui

import (
	"evenrim/ui/batches"
	"evenrim/ui/kit"
	"evenrim/ui/part"
	"evenrim/ui/planner"

	"fyne.io/fyne/v2"
)

// benchInFront says that the Bench is seen, and nothing lies over it.
func (w *Window) benchInFront() bool {
	return w.open == 0 && !w.cameraOn && w.win.Canvas().Overlays().Top() == nil
}

// atBench does f only while the Bench is seen: what changes a photo or its job card must
// not be set off from a page where neither can be seen. The toolkit lets a key do also
// what is grey in the menu, so it is asked here.
func (w *Window) atBench(f func()) func() {
	return func() {
		if w.benchInFront() {
			f()
		}
	}
}

// benchItem is a line of the menu for atBench; it is grey while another page is seen.
func (w *Window) benchItem(label string, s fyne.Shortcut, f func()) *fyne.MenuItem {
	m := item(label, s, w.atBench(f))
	w.benchItems = append(w.benchItems, m)
	return m
}

// greyMenu greys what only the Bench in sight can do.
func (w *Window) greyMenu() {
	menu := w.win.MainMenu()
	grey := w.open != 0 || w.cameraOn
	if menu == nil || len(w.benchItems) == 0 || w.benchItems[0].Disabled == grey {
		return
	}
	for _, m := range w.benchItems {
		m.Disabled = grey
	}
	w.win.SetMainMenu(menu)
}

// undo and redo are of the Bench while it is seen, and of the field with the cursor on
// another page or on what lies over one.
func (w *Window) undo() { w.travel(w.bench.Undo, (*kit.Entry).Undo) }
func (w *Window) redo() { w.travel(w.bench.Redo, (*kit.Entry).Redo) }

func (w *Window) travel(bench func(), field func(*kit.Entry)) {
	if w.benchInFront() {
		bench()
		return
	}
	if e, ok := w.win.Canvas().Focused().(*kit.Entry); ok {
		field(e)
	}
}

// report asks where to print what the page in front shows; a page without one does nothing.
func (w *Window) report() {
	if w.win.Canvas().Overlays().Top() != nil {
		return
	}
	switch p := w.now().(type) {
	case benchLeaf:
		p.SaveReport()
	case *part.Page:
		p.AskReport()
	case *batches.Page:
		p.AskReport()
	case *planner.Page:
		p.Typed('p') // its key for the setup sheet
	}
}
