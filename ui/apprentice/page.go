// Package apprentice is the page that teaches a person to read a mismatch by eye:
// lessons, practice, the eye test, own photos as lessons, progress. What it says
// and decides is package study's and model/practice's; this package lays it out
// and runs the work.
package apprentice

import (
	"context"
	"math/rand/v2"
	"time"

	"evenrim/model/chart"
	"evenrim/model/practice"
	"evenrim/ui/bench"
	"evenrim/ui/kit"
	"evenrim/ui/port"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// Deps is what the page works with.
type Deps struct {
	Photos  port.PhotoReader
	Solve   port.Solver
	Keeper  port.Keeper // nil = no own records to practise on
	Studio  port.Photographer
	Diary   port.Diary // nil = nothing is kept
	Lessons []practice.Lesson
	Samples []bench.Sample // for reading along
	Version string
	Inch    bool          // units to begin with
	Seed    func() uint64 // of a new series or test; nil = random
}

const (
	personPref = "apprentice.person"
)

// section is one of the page's parts.
type section interface {
	content() fyne.CanvasObject
	show()    // it comes into view
	refresh() // units, person or progress may differ
	typed(r rune)
	key(k fyne.KeyName)
}

// Page is the Apprentice page. All methods are for the UI goroutine.
type Page struct {
	deps     Deps
	win      fyne.Window
	crew     *kit.Crew
	ctx      context.Context
	stop     context.CancelFunc
	units    chart.Unit
	person   string // nickname; "" = nobody, nothing is kept
	progress practice.Progress
	people   []string

	sections []section
	tabs     []*kit.Tap
	open     int
	desk     *fyne.Container
	who      *kit.Line
	unitTap  *kit.Button
	content  fyne.CanvasObject
	// OnUnits is told when the units shown have changed here.
	OnUnits func(chart.Unit)
}

// New builds the page.
func New(win fyne.Window, deps Deps) *Page {
	if deps.Seed == nil {
		deps.Seed = func() uint64 { return rand.Uint64() >> 40 } // short enough to write down
	}
	p := &Page{deps: deps, win: win, crew: &kit.Crew{}}
	p.ctx, p.stop = context.WithCancel(context.Background())
	pref := fyne.CurrentApp().Preferences()
	p.person = pref.String(personPref)
	p.units = chart.UnitOf(deps.Inch)
	p.sections = []section{newLessons(p), newPractice(p), newEye(p), newAlong(p), newProgress(p)}
	p.arrange([]string{"Lessons", "Practice", "Your eye", "Read along", "Progress"})
	p.turnTo(0)
	p.reload()
	return p
}

func (p *Page) arrange(names []string) {
	row := kit.Row(0, -1)
	for i, n := range names {
		t := kit.NewTap(kit.Tall(container.NewCenter(kit.NewLine(n, 1, kit.Ink)), 0, touch-16), func() { p.turnTo(i) })
		t.BarSide = kit.BarTop
		p.tabs = append(p.tabs, t)
		row.Add(t)
	}
	p.who = kit.NewLine("", 0.9, kit.Ink).Cut()
	p.who.Align = fyne.TextAlignTrailing
	who := kit.NewTap(kit.Tall(p.who, 12, 0), func() { p.turnTo(len(p.sections) - 1) })
	who.Pad = 2 // large text leaves little for it
	p.unitTap = kit.NewButton("mm", p.swapUnits)
	bar := kit.Row(8, 1, row, kit.Tall(who, 0, touch), kit.Tall(p.unitTap, 54, touch))
	p.desk = container.NewStack()
	for _, s := range p.sections {
		s.content().Hide()
		p.desk.Add(s.content())
	}
	p.content = kit.NewGround(kit.Paper, 0, container.NewBorder(
		container.NewVBox(kit.NewGround(kit.Paper, 6, bar), kit.Tall(kit.NewGround(kit.Rule, 0, container.NewStack()), 0, 1)), nil, nil, nil, p.desk))
}

// turnTo brings a section into view.
func (p *Page) turnTo(at int) {
	if at < 0 || at >= len(p.sections) {
		return
	}
	p.open = at
	for i, s := range p.sections {
		p.tabs[i].Select(i == at)
		if i == at {
			s.content().Show()
		} else {
			s.content().Hide()
		}
	}
	p.sections[at].show()
	p.refresh()
}

// Content is the page's view.
func (p *Page) Content() fyne.CanvasObject { return p.content }

// Title names what the page shows.
func (p *Page) Title() string { return "Apprentice" }

// Show is called each time that the page comes into view.
func (p *Page) Show() { p.sections[p.open].show() }

// Typed turns to a section by its number and hands other letters on.
func (p *Page) Typed(r rune) {
	if r >= '1' && int(r-'1') < len(p.sections) {
		p.win.Canvas().Unfocus() // a slider that goes out of sight would keep the arrows
		p.turnTo(int(r - '1'))
		return
	}
	if r == 'u' || r == 'U' {
		p.swapUnits()
		return
	}
	p.sections[p.open].typed(r)
}

// TypedKey hands a key on.
func (p *Page) TypedKey(k fyne.KeyName) { p.sections[p.open].key(k) }

// Close ends all work. What was done is kept already.
func (p *Page) Close() {
	p.stop()
	p.crew.Wait()
}

func (p *Page) swapUnits() { p.ShowIn(1 - p.units) }

// ShowIn changes the units shown.
func (p *Page) ShowIn(u chart.Unit) {
	if u == p.units {
		return
	}
	p.units = u
	p.refresh()
	if p.OnUnits != nil {
		p.OnUnits(u)
	}
}

// setPerson changes who practises; "" = nobody.
func (p *Page) setPerson(name string) {
	p.person = name
	p.progress = practice.Progress{Person: name}
	fyne.CurrentApp().Preferences().SetString(personPref, name)
	p.reload()
}

// reload reads the person's entries and who else there is.
func (p *Page) reload() {
	p.refresh()
	if p.deps.Diary == nil {
		return
	}
	name := p.person
	p.crew.Go(func() {
		people, err := p.deps.Diary.People(p.ctx)
		var progress practice.Progress
		if err == nil && name != "" {
			progress, err = p.deps.Diary.Progress(p.ctx, name)
		}
		p.crew.Do(func() {
			if err != nil {
				p.complain("The practice record", err)
				return
			}
			p.people = people
			if name == p.person && name != "" {
				p.progress = progress
			}
			p.refresh()
		})
	})
}

// keep writes an entry for the person, if there is one.
func (p *Page) keep(e practice.Entry) {
	e.At = time.Now()
	p.progress.Entries = append(p.progress.Entries, e)
	if p.deps.Diary == nil || p.person == "" {
		return
	}
	name := p.person
	p.crew.Go(func() {
		if err := p.deps.Diary.Write(context.WithoutCancel(p.ctx), name, e); err != nil {
			p.crew.Do(func() { p.complain("Not kept", err) })
		}
	})
}

func (p *Page) complain(head string, err error) {
	if p.ctx.Err() == nil {
		kit.Tell(p.win, head, err.Error())
	}
}

// refresh brings every view in line with the state.
func (p *Page) refresh() {
	who := []string{p.person, ""}
	if p.person == "" {
		who = []string{"no name: nothing is kept", "no name", ""}
	}
	p.who.SetAny(who)
	if u := p.units.String(); p.unitTap.Text != u {
		p.unitTap.SetText(u)
	}
	for i, s := range p.sections {
		if i == p.open {
			s.refresh()
		}
	}
}
