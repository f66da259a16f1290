// Package part is the page of one part: its holes and walls, where setup 2 as a
// whole landed, why, and what to do about it. What is said and decided is package
// worksheet's; this package lays it out and runs the work.
package part

import (
	"context"
	"encoding/json"
	"runtime"

	"evenrim/model"
	"evenrim/ui/kit"
	"evenrim/ui/part/worksheet"
	"evenrim/ui/port"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// touch is the least height of what a finger has to hit.
const touch = 44

const cardPref = "part.card"

// Sample is the part that ships with the program.
type Sample struct {
	Readings, Walls []byte // lists
	Photos          map[string][]byte
}

// Deps is what the page works with.
type Deps struct {
	Photos  port.PhotoReader
	Solve   port.Solver
	Keeper  port.Keeper // nil = nothing is kept or taken from the record
	Sample  *Sample     // nil = none
	Version string
	Inch    bool // units to begin with
	Workers int  // photos read at once; 0 = one a core
}

// Page is the Part page. All methods are for the UI goroutine.
type Page struct {
	deps  Deps
	win   fyne.Window
	crew  *kit.Crew
	ctx   context.Context
	stop  context.CancelFunc
	state *worksheet.Sheet
	files map[string][]byte // photos of the sample, while it is shown

	work    work
	bar     *bar
	notice  *notice
	drawing *drawing
	rows    *rows
	answer  *answer
	welcome *welcome
	body    *fyne.Container
	content fyne.CanvasObject

	// OnChange is told when the title may differ.
	OnChange func()
	// OnUnits is told when the units shown have changed here.
	OnUnits func(state.Units)
}

// New builds the page, empty.
func New(win fyne.Window, deps Deps) *Page {
	if deps.Workers <= 0 {
		deps.Workers = runtime.GOMAXPROCS(0)
	}
	p := &Page{deps: deps, win: win, crew: &kit.Crew{}}
	p.ctx, p.stop = context.WithCancel(context.Background())
	p.work.init()
	p.state = worksheet.New(p.lastCard(), deps.Solve)
	p.notice = newNotice(p)
	p.bar = newBar(p)
	p.drawing = newDrawing(p)
	p.rows = newRows(p)
	p.answer = newAnswer(p)
	p.welcome = newWelcome(p)
	p.body = &fyne.Container{Layout: sides{}, Objects: []fyne.CanvasObject{
		&fyne.Container{Layout: &halves{p}, Objects: []fyne.CanvasObject{p.drawing.content, p.rows.bar, p.rows.paper.box}},
		p.answer.content}}
	p.content = kit.NewGround(kit.Paper, 0, container.NewBorder(container.NewVBox(p.bar.content, p.notice.content), nil, nil, nil,
		container.NewStack(p.body, p.welcome.content)))
	p.refresh()
	return p
}

// lastCard has the sizes used last; never results.
func (p *Page) lastCard() model.JobCard {
	var c model.JobCard
	if err := json.Unmarshal([]byte(fyne.CurrentApp().Preferences().String(cardPref)), &c); err != nil {
		c = model.JobCard{}
	}
	c.ShowInch = c.ShowInch || p.deps.Inch
	return c
}

// Content is the page's view.
func (p *Page) Content() fyne.CanvasObject { return p.content }

// Title names what the page shows.
func (p *Page) Title() string {
	if p.state.Name != "" {
		return p.state.Name
	}
	return "Part"
}

// Show is called each time that the page comes into view.
func (p *Page) Show() {}

// Close ends the page's work and remembers the sizes.
func (p *Page) Close() {
	p.stop()
	if !p.state.Sample {
		card := p.state.Card
		card.PlusX, card.Flip, card.ShowInch = 0, p.state.Flip, p.state.Units == state.Inch
		if b, err := json.Marshal(card); err == nil {
			fyne.CurrentApp().Preferences().SetString(cardPref, string(b))
		}
	}
	p.crew.Wait()
}

// Typed does what a plain letter asks for.
func (p *Page) Typed(r rune) {
	switch r {
	case 'o', 'O':
		p.AskOpen()
	case 'h', 'H':
		p.AddHole()
	case 'w', 'W':
		p.AddWall()
	case 'u', 'U':
		p.SwapUnits()
	case 's', 'S':
		p.AskSave()
	case 'p', 'P':
		p.AskReport()
	case '1', '2', '3', '4':
		p.rows.turn(int(r - '1'))
	}
}

// TypedKey does what another key asks for.
func (p *Page) TypedKey(k fyne.KeyName) {
	switch k {
	case fyne.KeyDown:
		p.rows.step(1)
	case fyne.KeyUp:
		p.rows.step(-1)
	case fyne.KeyEscape:
		p.notice.hide()
	}
}

// SwapUnits changes between mm and inches.
func (p *Page) SwapUnits() { p.ShowIn(1 - p.state.Units) }

// ShowIn changes the units shown.
func (p *Page) ShowIn(u state.Units) {
	if u == p.state.Units {
		return
	}
	p.state.Units = u
	p.state.Card.ShowInch = u == state.Inch
	p.state.WorkOut()
	p.changed()
	if p.OnUnits != nil {
		p.OnUnits(u)
	}
}

// AddHole adds a hole and opens its fields.
func (p *Page) AddHole() {
	p.state.AddHole()
	p.rows.turn(holesTab)
	p.changed()
}

// AddWall adds a wall and opens its fields.
func (p *Page) AddWall() {
	p.state.AddWall()
	p.state.WorkOut()
	p.rows.turn(wallsTab)
	p.changed()
}

// changed makes every view anew, fields included.
func (p *Page) changed() {
	p.rows.forget()
	p.refresh()
}

// refresh brings every view in line with the state and begins to read what waits;
// fields that are being typed in stay.
func (p *Page) refresh() {
	p.pump()
	if p.state.Empty() {
		p.body.Hide()
		p.welcome.content.Show()
	} else {
		p.welcome.content.Hide()
		p.body.Show()
		p.drawing.refresh()
		p.rows.refresh()
		p.answer.refresh()
	}
	p.bar.refresh()
	if p.OnChange != nil {
		p.OnChange()
	}
}
