// Package batches is the page of kept readings: found, labelled, laid side by
// side, batch against batch. What is said and decided is package ledger's; this
// package lays it out and runs the work.
package batches

import (
	"context"
	"time"

	"evenrim/model/chart"
	"evenrim/model/record"
	"evenrim/ui/batches/ledger"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/port"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// touch is the least height of what a finger has to hit.
const touch = 44

// Deps is what the page works with.
type Deps struct {
	Archives port.Archives
	Photos   port.PhotoReader // shows kept photos; nil = rims alone
	Version  string
	Who      string // writes labels, for their history
	// Reopen lays a reading of the user's own record on the bench; nil = can't.
	Reopen func(id string)
}

// Page is the Batches page. All methods are for the UI goroutine.
type Page struct {
	deps  Deps
	win   fyne.Window
	crew  *kit.Crew
	state *ledger.Ledger

	archive port.Archive // nil = not open yet
	ctx     context.Context
	stop    context.CancelFunc
	turns   int // generation of the record shown
	asked   int // generation of the search
	loading int // generation of the loading of batches
	cancel  context.CancelFunc

	bar     *bar
	shelf   *shelf
	tabs    []*kit.Tap
	views   map[ledger.View]view
	desk    *fyne.Container
	notice  *notice
	content fyne.CanvasObject
	typing  *time.Timer

	// OnChange is told when the title may differ.
	OnChange func()
	// OnUnits is told when the units shown have changed here.
	OnUnits func(chart.Unit)
}

// view is one leaf of the page.
type view interface {
	object() fyne.CanvasObject
	refresh() // called while it is in view, whenever what it shows may have changed
}

// New builds the page; it asks for the record when it is first shown.
func New(win fyne.Window, deps Deps) *Page {
	p := &Page{deps: deps, win: win, crew: &kit.Crew{}, state: ledger.New()}
	p.ctx, p.stop = context.WithCancel(context.Background())
	p.notice = newNotice(p)
	p.bar = newBar(p)
	p.shelf = newShelf(p)
	p.views = map[ledger.View]view{
		ledger.Parts: newTable(p), ledger.Photos: newPhotos(p), ledger.Compare: newCompare(p),
		ledger.Charts: newCharts(p), ledger.Advice: newAdvice(p), ledger.Gauge: newGauge(p),
	}
	p.desk = container.NewStack()
	var tabs []fyne.CanvasObject
	for _, v := range ledger.Views {
		p.desk.Add(p.views[v.View].object())
		t := kit.NewTap(kit.NewLine(v.Name, 1, kit.Ink).Centred(), func() { p.Turn(v.View) })
		t.BarSide, t.Pad = kit.BarTop, 11
		p.tabs = append(p.tabs, t)
		tabs = append(tabs, kit.Tall(t, 0, touch))
	}
	right := container.NewBorder(kit.NewGround(kit.Margin, 0, kit.Wrapped(2, tabs...)), nil, nil, nil, p.desk)
	body := &fyne.Container{Layout: sides{}, Objects: []fyne.CanvasObject{p.shelf.content, right}}
	p.content = kit.NewGround(kit.Paper, 0, container.NewBorder(container.NewVBox(p.bar.content, p.notice.content), nil, nil, nil, body))
	p.refresh()
	return p
}

// sides gives the list of batches a share of the width, the leaf the rest.
type sides struct{}

func (sides) Layout(o []fyne.CanvasObject, s fyne.Size) {
	left := min(max(s.Width*0.2, 210*look.Zoom()), s.Width*0.25)
	o[0].Move(fyne.NewPos(0, 0))
	o[0].Resize(fyne.NewSize(left, s.Height))
	o[1].Move(fyne.NewPos(left, 0))
	o[1].Resize(fyne.NewSize(s.Width-left, s.Height))
}

// MinSize leaves room for the bar and a notice above at any text size: what is less than the
// page needs scrolls.
func (sides) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(760, 240) }

// Content is the page's view.
func (p *Page) Content() fyne.CanvasObject { return p.content }

// Title names what the page shows.
func (p *Page) Title() string {
	switch p.state.Source {
	case ledger.Demo:
		return "Demo shop"
	case ledger.List:
		return p.state.ListOf
	}
	return "Batches"
}

// Show looks again at what has been kept.
func (p *Page) Show() {
	if p.archive == nil && p.state.Source == ledger.Own {
		p.openOwn()
		return
	}
	p.search()
}

// Close ends the page's work.
func (p *Page) Close() {
	p.stop()
	p.views[ledger.Photos].(*photos).still()
	p.crew.Wait()
}

// Turn shows a leaf.
func (p *Page) Turn(v ledger.View) {
	p.state.View = v
	p.refresh()
}

// refresh brings every visible view in line with the state.
func (p *Page) refresh() {
	for i, v := range ledger.Views {
		on := v.View == p.state.View
		p.tabs[i].Select(on)
		o := p.views[v.View].object()
		if on {
			p.views[v.View].refresh()
			o.Show()
		} else {
			o.Hide()
		}
	}
	if p.state.View != ledger.Photos {
		p.views[ledger.Photos].(*photos).still()
	}
	p.bar.refresh()
	p.shelf.refresh()
	if p.OnChange != nil {
		p.OnChange()
	}
}

// Typed does what a plain letter asks for.
func (p *Page) Typed(r rune) {
	switch {
	case r >= '1' && int(r-'1') < len(ledger.Views):
		p.Turn(ledger.Views[r-'1'].View)
	case r == '/' || r == 's' || r == 'S':
		p.FocusSearch()
	case r == 'f' || r == 'F':
		p.bar.toggleFilter()
	case r == 'u' || r == 'U':
		p.SwapUnits()
	case r == 'r' || r == 'R':
		p.views[ledger.Photos].(*photos).swapRims()
	case r == 'b' || r == 'B':
		p.views[ledger.Photos].(*photos).toggleBlink()
	case r == ' ':
		p.views[ledger.Photos].(*photos).flip()
	}
}

// TypedKey does what another key asks for.
func (p *Page) TypedKey(k fyne.KeyName) {
	switch k {
	case fyne.KeyPageDown, fyne.KeyRight:
		p.views[ledger.Photos].(*photos).step(0, 1)
	case fyne.KeyPageUp, fyne.KeyLeft:
		p.views[ledger.Photos].(*photos).step(0, -1)
	case fyne.KeyEscape:
		p.notice.hide()
	}
}

// FocusSearch puts the cursor into the search field.
func (p *Page) FocusSearch() { p.win.Canvas().Focus(p.bar.search) }

// SwapUnits changes between mm and inches.
func (p *Page) SwapUnits() { p.ShowIn(1 - p.state.Units) }

// ShowIn changes the units shown.
func (p *Page) ShowIn(u chart.Unit) {
	if u == p.state.Units {
		return
	}
	p.state.Units = u
	p.refresh()
	if p.OnUnits != nil {
		p.OnUnits(u)
	}
}

// Pick adds a batch to those that are compared, or takes it off.
func (p *Page) Pick(name string) {
	if problem := p.state.Pick(name); problem != "" {
		p.notice.say(problem)
		return
	}
	p.search()
}

// choose shows a reading's labels.
func (p *Page) choose(id record.ID) {
	p.state.Chosen = id
	p.views[ledger.Parts].(*table).showLabels()
}
