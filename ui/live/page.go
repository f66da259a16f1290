// Package live is the view of a camera at work: the picture with its rims, the
// number of the moment, steadiness, hints, and keeping a still for the bench. What
// it says and decides is State; this file lays it out and runs the work.
package live

import (
	"sync"

	"evenrim/model"
	"evenrim/model/live"
	"evenrim/ui/kit"
	"evenrim/ui/photo"
	"evenrim/ui/port"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
)

// Deps is what the view works with.
type Deps struct {
	Cameras port.Cameras
	Card    func() model.JobCard // the bench's, asked for when a source is opened
	Units   func() state.Units
	// SwapUnits changes the units of all pages; this one hears of it by ShowIn.
	SwapUnits func()
	// Keep gets a still that is to be read the whole way.
	Keep func(port.Source)
	// Leave is called when the user goes back to the bench.
	Leave func()
}

// Page is the live view. All methods are for the UI goroutine.
type Page struct {
	deps  Deps
	win   fyne.Window
	crew  *kit.Crew
	state State
	at    port.Watching // nil = nothing is watched
	run   int           // counts sources: what an old one still says is dropped
	film  string        // path of the video file watched last, to be played again

	viewer  *photo.Viewer
	inSight live.View // the moment that the viewer shows; while one is held not the newest
	side    *side
	content fyne.CanvasObject

	mu      sync.Mutex
	newest  *moment // not drawn yet; guarded by mu
	drawing bool    // guarded by mu
	ended   bool    // Close was called; guarded by mu
}

// moment is a view with its source's number.
type moment struct {
	run int
	v   live.View
}

// New builds the view; nothing is opened yet.
func New(win fyne.Window, deps Deps) *Page {
	p := &Page{deps: deps, win: win, crew: &kit.Crew{}, viewer: photo.NewViewer()}
	p.state.Units = deps.Units()
	p.state.Cameras = deps.Cameras.List()
	p.side = newSide(p)
	p.content = p.arrange()
	p.refresh()
	return p
}

// Content is the view.
func (p *Page) Content() fyne.CanvasObject { return p.content }

// Title names what is watched.
func (p *Page) Title() string { return p.state.Source }

// Show brings units and the list of cameras up to date.
func (p *Page) Show() {
	p.state.Units = p.deps.Units()
	p.LookAgain()
}

// ShowIn changes the units shown.
func (p *Page) ShowIn(u state.Units) {
	p.state.Units = u
	p.refresh()
}

// LookAgain lists the cameras anew.
func (p *Page) LookAgain() {
	p.state.Cameras = p.deps.Cameras.List()
	p.side.offer()
	p.refresh()
}

// OpenCamera watches a camera; OpenFilm a video file.
func (p *Page) OpenCamera(number int) {
	p.open(cameraName(number), func(card model.JobCard, show func(live.View)) (port.Watching, error) {
		return p.deps.Cameras.OpenCamera(number, card, show)
	})
}

// OpenFilm watches a video file.
func (p *Page) OpenFilm(path string) {
	p.film = path
	p.open(filmName(path), func(card model.JobCard, show func(live.View)) (port.Watching, error) {
		return p.deps.Cameras.OpenFilm(path, card, show)
	})
}

func (p *Page) open(name string, open func(model.JobCard, func(live.View)) (port.Watching, error)) {
	p.stop()
	p.state.Begin(name)
	run, card := p.run, p.deps.Card()
	p.refresh()
	p.crew.Go(func() {
		w, err := open(card, func(v live.View) { p.arrived(run, v) })
		if err == nil && p.over() {
			w.Close() // the window closed meanwhile
			return
		}
		p.crew.Do(func() {
			switch {
			case err != nil && run == p.run:
				p.state.Fail(err)
			case err == nil && (run != p.run || p.over()):
				p.crew.Go(w.Close) // another was chosen meanwhile
				return
			case err == nil:
				p.at = w
				p.state.Began()
				p.crew.Go(func() { p.attend(run, w) })
			}
			p.refresh()
		})
	})
}

// attend waits for a source's end, off the UI goroutine.
func (p *Page) attend(run int, w port.Watching) {
	err := w.Wait()
	p.crew.Do(func() {
		if err != nil && run == p.run {
			p.state.Fail(err)
			p.refresh()
		}
	})
}

// stop lets go of what is watched.
func (p *Page) stop() {
	p.run++
	if w := p.at; w != nil {
		p.at = nil
		p.crew.Go(w.Close)
	}
}

// arrived notes the newest moment and has it drawn, off the UI goroutine; what
// comes while the one before is drawn is left out.
func (p *Page) arrived(run int, v live.View) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if old := p.newest; old != nil && old.run == run && v.Picture == nil {
		v.Picture = old.v.Picture
		if v.Picture != nil {
			v.Scale = old.v.Scale
		}
	}
	p.newest = &moment{run, v}
	if !p.drawing && v.Picture != nil {
		p.drawing = true
		p.crew.Go(p.draw)
	}
}

// draw prepares the newest picture for the screen.
func (p *Page) draw() {
	p.mu.Lock()
	m := p.newest
	p.newest = nil
	p.mu.Unlock()
	pyramid, err := photo.NewPyramid(m.v.Picture)
	p.crew.Do(func() {
		p.mu.Lock()
		again := p.newest != nil && p.newest.v.Picture != nil
		p.drawing = again
		p.mu.Unlock()
		if again {
			p.crew.Go(p.draw)
		}
		if err != nil || m.run != p.run || p.over() {
			return
		}
		p.state.Take(m.v)
		if p.state.Frozen == nil {
			p.show(pyramid, m.v)
		}
		p.side.refresh()
	})
}

func (p *Page) show(pyramid *photo.Pyramid, v live.View) {
	p.inSight = v
	p.viewer.SetPhoto(pyramid)
	p.viewer.SetOverlay(overlayOf(v))
	p.approach()
}

// approach brings the hole close where that is wanted.
func (p *Page) approach() {
	if r := p.inSight.Reading; p.state.Near && r != nil {
		at := scaled(model.Vec{X: r.Outer.CX, Y: r.Outer.CY}, p.inSight.Scale)
		p.viewer.ShowSquare(at.X, at.Y, r.Outer.A*p.inSight.Scale*1.15)
	}
}

// Freeze holds the picture, or lets the camera run again; a film that is over begins anew.
func (p *Page) Freeze() {
	if p.state.Over {
		p.OpenFilm(p.film)
		return
	}
	if p.state.Frozen != nil {
		p.state.GoOn()
		p.refresh()
		return
	}
	if p.at == nil || p.state.View.Seq == 0 {
		return
	}
	p.still(live.Newest, func(s live.Still) { p.state.Freeze(s) })
}

// Keep gives the picture held, else the newest, to the bench.
func (p *Page) Keep() {
	if s := p.state.Frozen; s != nil {
		p.keep(*s)
		p.state.GoOn()
		p.refresh()
		return
	}
	p.still(live.Newest, p.keep)
}

// KeepSteadiest gives the steadiest picture of the last second to the bench.
func (p *Page) KeepSteadiest() { p.still(live.Steadiest, p.keep) }

func (p *Page) keep(s live.Still) {
	p.state.Kept = append(p.state.Kept, s.Name)
	p.deps.Keep(port.Source{Name: s.Name, Data: s.File})
}

func (p *Page) still(which live.Which, use func(live.Still)) {
	w, run := p.at, p.run
	if w == nil {
		return
	}
	p.crew.Go(func() {
		s, err := w.Still(which)
		p.crew.Do(func() {
			if run != p.run || p.over() {
				return
			}
			if err != nil {
				p.state.Problem = err.Error()
			} else {
				use(s)
			}
			p.refresh()
		})
	})
}

// ToggleNear brings the hole close, or shows the whole picture again: at once, because
// of a picture held or a film that is over no next one comes.
func (p *Page) ToggleNear() {
	if !p.state.CanNear() {
		return
	}
	p.state.Near = !p.state.Near
	if p.state.Near {
		p.approach()
	} else {
		p.viewer.Fit()
	}
	p.refresh()
}

// AskFilm asks for a video file.
func (p *Page) AskFilm() {
	kit.AskOpen(p.win, kit.FileWish{Title: "Open a video of a chamfered hole",
		Endings: []string{".avi", ".mp4", ".mov", ".mkv", ".AVI", ".MP4", ".MOV", ".MKV"}, Then: p.OpenFilm})
}

// Leave goes back to the bench and lets go of the camera.
func (p *Page) Leave() {
	p.stop()
	p.state = State{Units: p.state.Units, Cameras: p.state.Cameras, Kept: p.state.Kept}
	p.inSight = live.View{}
	p.viewer.SetPhoto(nil)
	p.viewer.SetOverlay(photo.Overlay{})
	p.refresh()
	if p.deps.Leave != nil {
		p.deps.Leave()
	}
}

// Typed implements the window's page.
func (p *Page) Typed(r rune) {
	switch r {
	case 'f', 'F':
		p.Freeze()
	case 'k', 'K':
		p.Keep()
	case 's', 'S':
		p.KeepSteadiest()
	case 'h', 'H':
		p.ToggleNear()
	case 'v', 'V':
		p.AskFilm()
	case 'u', 'U':
		if p.deps.SwapUnits != nil {
			p.deps.SwapUnits()
		}
	default:
		if n := int(r - '0'); n >= 0 && n <= 9 {
			p.OpenCamera(n)
		}
	}
}

// TypedKey implements the window's page.
func (p *Page) TypedKey(k fyne.KeyName) {
	switch k {
	case fyne.KeyEscape:
		p.Leave()
	case fyne.KeySpace:
		p.Freeze()
	case fyne.KeyReturn, fyne.KeyEnter:
		p.Keep()
	}
}

// Close ends all work.
func (p *Page) Close() {
	p.mu.Lock()
	was := p.ended
	p.ended = true
	p.mu.Unlock()
	if was {
		return
	}
	p.stop()
	p.crew.Wait()
}

// over says whether Close was called. It may be called from any goroutine.
func (p *Page) over() bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.ended
}
