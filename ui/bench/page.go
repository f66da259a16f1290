// Package bench is the page where a photo becomes a reading: photo, job card,
// result sheet, unrolled rim and the tray of photos. What is said and decided is
// package state's; this package lays it out and runs the work.
package bench

import (
	"time"

	"evenrim/model"
	"evenrim/ui/kit"
	"evenrim/ui/photo"
	"evenrim/ui/port"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
)

// Deps is what the page works with.
type Deps struct {
	Photos  port.PhotoReader
	Solve   port.Solver
	Keeper  port.Keeper // nil = nothing is kept
	Cards   port.Cards  // nil = no job cards are kept
	Samples []Sample
	Version string
	// Settle is how long a reading must stand unchanged before it is kept; 0 = 1.5 s.
	Settle time.Duration
	// Workers is how many photos are read at once; 0 = one a core.
	Workers int
	// Camera opens the live camera; nil = there is none.
	Camera func()
}

// helper is the reader where it takes a person's help; nil where it doesn't.
func (d Deps) helper() port.Helper {
	h, _ := d.Photos.(port.Helper)
	return h
}

// Sample is a photo that ships with the program, with its job card.
type Sample struct {
	Photo port.Source
	Card  model.JobCard
}

// Page is the Bench page. All methods are for the UI goroutine unless they say
// otherwise.
type Page struct {
	deps  Deps
	win   fyne.Window
	crew  *kit.Crew
	state *state.Bench

	work    work
	shelf   *shelf
	viewer  *photo.Viewer
	bar     *bar
	card    *cardForm
	sheet   *sheet
	strip   *strip
	tray    *tray
	kept    *keptList
	welcome *welcome
	help    *helping
	guide   *guide
	// shelfOfCards is where job cards are kept; shelf is the pictures'.
	shelfOfCards *cardShelf
	shut         func() // closes the explanation in view
	middle       *fyne.Container
	byHand       *fyne.Container // tools and guide above the photo
	byHandHeight float32
	drawer       *drawer
	content      fyne.CanvasObject

	shown  int // ID of the photo in the viewer; 0 = none
	closed bool
	lost   []string // what could not be kept while the page closed, in sentences

	// OnChange is told when units, title or anything that the shell shows may differ.
	OnChange func()
	// own is the job card from before a sample was opened with its own card, sampled.
	own     model.JobCard
	sampled *model.JobCard
	// OnUnits is told when the units shown have changed here.
	OnUnits func(state.Units)
}

// New builds the page; card is the job card to begin with.
func New(win fyne.Window, deps Deps, card model.JobCard) *Page {
	if deps.Settle == 0 {
		deps.Settle = 1500 * time.Millisecond
	}
	p := &Page{deps: deps, win: win, crew: &kit.Crew{}, state: state.NewBench(card), shelf: newShelf()}
	p.state.Version = deps.Version
	p.work.init(deps.Workers)
	p.viewer = photo.NewViewer()
	p.viewer.OnAxes = func(rad float64, done bool) {
		if s := p.state.Selected(); s != nil {
			rad = s.Snapped(rad)
		}
		p.apply(p.state.TurnPlusX(rad))
		if done {
			p.state.Pause()
		}
	}
	p.bar = newBar(p)
	p.shelfOfCards = newCardShelf(p)
	p.card = newCardForm(p)
	p.sheet = newSheet(p)
	p.strip = newStrip(p)
	p.tray = newTray(p)
	p.kept = newKeptList(p)
	p.welcome = newWelcome(p)
	p.help = newHelping(p)
	p.guide = newGuide(p)
	p.drawer = newDrawer(p)
	p.viewer.OnZoom = p.bar.showZoom
	p.content = p.arrange()
	p.refresh()
	p.kept.reload()
	p.shelfOfCards.reload()
	return p
}

// Content is the page's view.
func (p *Page) Content() fyne.CanvasObject { return p.content }

// Card is the job card as it stands, for the next start; not a sample's.
func (p *Page) Card() model.JobCard {
	card, _ := p.state.Form.Card()
	if p.onSampleCard() {
		own := p.own
		own.ShowInch = card.ShowInch
		return own
	}
	return card
}

// onSampleCard says whether the job card is a sample's and nothing on it was changed but
// what belongs to the photo.
func (p *Page) onSampleCard() bool {
	return p.sampled != nil && bareCard(p.state.Form) == *p.sampled
}

func bareCard(f state.CardForm) model.JobCard {
	c, _ := f.Card()
	c.PlusX, c.ShowInch = 0, false
	return c
}

// Units returns the units in use.
func (p *Page) Units() state.Units { return p.state.Units }

// ShowIn changes the units shown.
func (p *Page) ShowIn(u state.Units) {
	if u == p.state.Units {
		return
	}
	p.state.ShowIn(u)
	p.card.reload()
	p.kept.fitRows()
	p.kept.list.Refresh()
	p.refresh()
	if p.OnUnits != nil {
		p.OnUnits(u)
	}
}

// Open lays photos on the bench and begins to read them: every way in (dialog,
// drop, file argument, sample, record) ends here.
func (p *Page) Open(sources ...port.Source) {
	if len(sources) == 0 {
		return
	}
	if p.onSampleCard() { // a number by a sample's bore would be wrong for any other photo
		p.state.Form = state.FormOf(p.own)
		p.state.Form.Units = p.state.Units
	}
	p.lay(sources...)
}

func (p *Page) lay(sources ...port.Source) {
	p.state.Add(sources...)
	p.card.reload()
	p.pump()
	p.refresh()
	p.card.askFirst()
}

// OpenSample lays a sample with its own job card on the bench.
func (p *Page) OpenSample(i int) {
	if i < 0 || i >= len(p.deps.Samples) {
		return
	}
	if !p.onSampleCard() {
		p.own, _ = p.state.Form.Card()
		p.own.PlusX = 0
	}
	s := p.deps.Samples[i]
	s.Photo.Sample = true
	s.Card.ShowInch = p.state.Units == state.Inch
	p.state.Form = state.FormOf(s.Card)
	p.state.Form.Units = p.state.Units
	sampled := bareCard(p.state.Form)
	p.sampled = &sampled
	p.lay(s.Photo)
}

// apply runs the work that a change of the card calls for.
func (p *Page) apply(e state.Effects) {
	p.solve(e.Solve...)
	for _, id := range e.Trace {
		p.again(id)
	}
	p.refresh()
}

// Select shows a photo of the tray.
func (p *Page) Select(id int) {
	p.state.Select(id)
	p.turned()
}

// turned brings the page in line with the photo that is shown now.
func (p *Page) turned() {
	if s := p.state.Selected(); s != nil && s.Stage == state.NeedsCard && s.Card.BoreMM > 0 {
		p.solve(s.ID) // what was mistyped on it went with the form: its own card counts
	}
	p.card.reload()
	p.seeEdges()
	p.refresh()
}

// Step shows the next or previous photo.
func (p *Page) Step(by int) {
	p.state.Step(by)
	p.turned()
}

// Remove takes the photo shown off the bench.
func (p *Page) Remove() {
	if s := p.state.Selected(); s != nil {
		p.takeOff(s)
		p.turned()
	}
}

func (p *Page) takeOff(s *state.Photo) {
	p.stop(s.ID)
	s.Stand()
	if s.CopyOf == "" {
		p.keepReading(s) // there is no waiting for others of its turn set any more
	}
	p.state.Remove(s.ID)
	p.shelf.drop(s.ID)
	p.keepHeld() // a copy of it is no copy any more
	p.keepTurns()
}

// RemoveAll takes every photo off the bench; what was kept stays kept.
func (p *Page) RemoveAll() {
	p.EndTurns()
	for p.state.Selected() != nil {
		p.takeOff(p.state.Selected())
	}
	p.card.reload()
	p.refresh()
}

// refresh brings every view in line with the state.
func (p *Page) refresh() {
	p.showPhoto()
	p.help.refresh()
	p.guide.refresh()
	if h := p.byHand.MinSize().Height; h != p.byHandHeight {
		p.byHandHeight = h
		p.middle.Refresh() // the photo makes room for the tools
	}
	p.showOverlay()
	p.bar.refresh()
	p.card.refresh()
	p.sheet.refresh()
	p.strip.refresh()
	p.tray.refresh()
	p.welcome.refresh()
	p.drawer.refresh()
	if p.OnChange != nil {
		p.OnChange()
	}
}

// Title names what is shown, for the window's title.
func (p *Page) Title() string {
	if s := p.state.Selected(); s != nil {
		return s.Name
	}
	return ""
}

// Close ends all work and keeps what isn't kept yet. The page is done with then.
func (p *Page) Close() {
	if p.closed {
		return
	}
	p.closed = true
	p.stopAll()
	p.crew.Wait()
	p.landAll()
	p.keepAll()
}
