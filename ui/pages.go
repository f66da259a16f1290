package ui

import (
	"evenrim/model/chart"
	"evenrim/ui/apprentice"
	"evenrim/ui/batches"
	"evenrim/ui/bench"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/part"
	"evenrim/ui/planner"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// page is a leaf of the notebook. All calls come from the UI goroutine.
type page interface {
	// Content is the page's view; always the same object.
	Content() fyne.CanvasObject
	// Title names what the page shows, for the window's title; "" = nothing.
	Title() string
	// ShowIn changes the units shown.
	ShowIn(u chart.Unit)
	// Show is called each time that the page comes into view.
	Show()
	// Typed is a plain letter while nothing has the focus, TypedKey another key.
	Typed(r rune)
	TypedKey(k fyne.KeyName)
	// Close ends the page's work and keeps what is left to keep.
	Close()
}

// leaf is a page with its tab. A page is made when it is first shown, so that
// pages nobody opens cost no time at the start.
type leaf struct {
	name string
	icon look.Icon
	make func() page

	page page
	tab  *kit.Tap
}

// leaves are the pages in the order of their tabs and of the keys Alt+1, Alt+2, …
func (w *Window) leaves() []*leaf {
	return []*leaf{
		{name: "Bench", icon: look.IconBench, make: func() page { return benchLeaf{w.bench, w} }},
		{name: "Part", icon: look.IconPart, make: w.makePart},
		{name: "Batches", icon: look.IconBatches, make: w.makeBatches},
		{name: "Apprentice", icon: look.IconApprentice, make: w.makeApprentice},
		{name: "Planner", icon: look.IconPlanner, make: w.makePlanner},
	}
}

// makeApprentice makes the Apprentice page.
func (w *Window) makeApprentice() page {
	p := apprentice.New(w.win, w.deps.Apprentice)
	p.OnUnits = w.showIn
	return p
}

// makePlanner makes the Planner page, which remembers what was typed.
func (w *Window) makePlanner() page {
	deps := w.deps.Planner
	deps.Prefs = w.app.Preferences()
	p := planner.New(w.win, deps)
	p.OnUnits = w.showIn
	return p
}

// makePart makes the Part page.
func (w *Window) makePart() page {
	p := part.New(w.win, w.deps.Part)
	p.OnChange, p.OnUnits = w.titled, w.showIn
	return p
}

// makeBatches makes the Batches page, from which a reading goes back to the bench.
func (w *Window) makeBatches() page {
	deps := w.deps.Batches
	deps.Reopen = func(id string) { w.onBench(func() { w.bench.Reopen(id) })() }
	p := batches.New(w.win, deps)
	p.OnChange, p.OnUnits = w.titled, w.showIn
	return p
}

// showIn changes the units of all pages: a shop thinks in one. The Bench remembers them
// with its job card.
func (w *Window) showIn(u chart.Unit) {
	for _, l := range w.pages {
		if l.page != nil {
			l.page.ShowIn(u)
		}
	}
	if w.camera != nil {
		w.camera.ShowIn(u)
	}
}

// turnTo shows the page at a place of the row of tabs.
func (w *Window) turnTo(at int) {
	if at < 0 || at >= len(w.pages) {
		return
	}
	w.putCameraAway()
	l := w.pages[at]
	if l.page == nil {
		l.page = l.make()
		l.page.ShowIn(w.bench.Units())
		w.desk.Add(l.page.Content())
	}
	w.open = at
	for i, o := range w.pages {
		o.tab.Select(i == at)
		if o.page == nil {
			continue
		}
		if i == at {
			o.page.Content().Show()
		} else {
			o.page.Content().Hide()
		}
	}
	w.win.Canvas().Unfocus()
	l.page.Show()
	w.greyMenu()
	w.titled()
}

// now is the page in view.
func (w *Window) now() page {
	if w.cameraOn {
		return w.camera
	}
	return w.pages[w.open].page
}

// onBench brings the Bench page into view before it does f.
func (w *Window) onBench(f func()) func() {
	return func() {
		if w.open != 0 || w.cameraOn {
			w.turnTo(0)
		}
		f()
	}
}

// rail is the row of tabs on the left edge, as in a notebook.
func (w *Window) rail() fyne.CanvasObject {
	tab := func(icon look.Icon, words string, tap func()) *kit.Tap {
		sign := kit.NewSign(icon, railSign(w.theme.Scale))
		w.signs = append(w.signs, sign)
		t := kit.NewTap(kit.Tall(kit.Column(3, container.NewCenter(sign), kit.NewLine(words, 0.8, kit.Ink).Centred()), 56, 0), tap)
		t.Pad = 9
		return t
	}
	var tabs []fyne.CanvasObject
	for i, l := range w.pages {
		l.tab = tab(l.icon, l.name, func() { w.turnTo(i) })
		tabs = append(tabs, l.tab)
	}
	foot := kit.Column(2,
		tab(look.IconKept, "Kept", w.onBench(w.bench.ToggleKept)),
		tab(look.IconLight, "Light", w.swapLight))
	return kit.NewGround(kit.Margin, 0, container.NewBorder(nil, foot, nil, nil, container.NewVScroll(kit.Column(2, tabs...))))
}

// railSign is how large a tab's icon is beside its word: at large text the words need
// the height, so that all tabs are in sight in the smallest window.
func railSign(scale float32) float32 { return min(1.8, 2.4/max(scale, 1)) }

// benchLeaf is the Bench page as a page of the window.
type benchLeaf struct {
	*bench.Page
	w *Window
}

func (benchLeaf) Show() {}

func (l benchLeaf) Typed(r rune) {
	if l.ChoosePlace(int(r - '0')) {
		return
	}
	switch b := l.Page; r {
	case 'o', 'O':
		b.AskOpen()
	case 'r', 'R':
		b.ToggleRims()
	case 'u', 'U':
		b.SwapUnits()
	case 'h', 'H':
		b.ShowHole()
	case 'j', 'J':
		b.ToggleCard()
	case 'k', 'K':
		b.ToggleKept()
	case 'g', 'G':
		b.ToggleHelp()
	case 't', 'T':
		b.StartTurns()
	case '?':
		l.w.showKeys()
	case '0', 'f', 'F':
		b.Fit()
	case '1':
		b.OneToOne()
	case '+', '=':
		b.ZoomBy(1.25)
	case '-':
		b.ZoomBy(0.8)
	}
}

func (l benchLeaf) TypedKey(k fyne.KeyName) {
	switch k {
	case fyne.KeyPageDown:
		l.Step(1)
	case fyne.KeyPageUp:
		l.Step(-1)
	case fyne.KeyEscape:
		l.Escape()
	}
}
