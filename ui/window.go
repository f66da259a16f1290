package ui

import (
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"strings"

	"evenrim/model"
	"evenrim/ui/apprentice"
	"evenrim/ui/bench"
	"evenrim/ui/kit"
	"evenrim/ui/live"
	"evenrim/ui/look"
	"evenrim/ui/part"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// Preferences: how the window was left. Never results.
const (
	lightPref  = "window.light"
	textPref   = "window.text"
	widthPref  = "window.width"
	heightPref = "window.height"
	cardPref   = "bench.card"
)

// Least size of the window.
const minWidth, minHeight = 1024, 700

// Window is the program's window with its pages.
type Window struct {
	app   fyne.App
	win   fyne.Window
	theme *look.Theme
	deps  Deps
	bench *bench.Page
	pages []*leaf
	signs []*kit.Sign     // on the tabs
	open  int             // place of the page in view
	desk  *fyne.Container // holds the pages made so far, one of them visible

	camera   *live.Page // nil before it is first shown
	cameraOn bool       // lies over the bench

	told   bool // what could not be kept was said
	ending bool // from outside
	gone   bool // closed in good order
}

// NewWindow builds the window without showing it.
func NewWindow(app fyne.App, deps Deps, open Opening) *Window {
	w := &Window{app: app, theme: dress(app), win: app.NewWindow("Evenrim"), deps: deps}
	w.win.SetPadded(false)
	w.win.SetMaster()
	card := w.lastCard()
	if open.Card != nil {
		card = laidOver(card, *open.Card)
	}
	if deps.Cameras != nil {
		deps.Deps.Camera = w.ShowCamera
	}
	w.bench = bench.New(w.win, deps.Deps, card)
	w.bench.OnChange, w.bench.OnUnits = w.titled, w.showIn
	w.pages = w.leaves()
	w.desk = container.NewStack()
	w.win.SetContent(container.NewBorder(nil, nil, w.rail(), nil, w.desk))
	w.turnTo(0)
	w.win.SetMainMenu(w.menu(len(deps.Samples)))
	p := app.Preferences()
	w.win.Resize(fyne.NewSize(
		max(float32(p.FloatWithFallback(widthPref, 1440)), minWidth),
		max(float32(p.FloatWithFallback(heightPref, 900)), minHeight)))
	w.win.SetOnDropped(func(_ fyne.Position, uris []fyne.URI) {
		if p, ok := w.now().(*part.Page); ok {
			p.OpenURIs(uris)
			return
		}
		if p, ok := w.now().(*apprentice.Page); ok && p.Dropped(uris) {
			return
		}
		w.onBench(func() { w.bench.OpenURIs(uris) })()
	})
	w.win.SetCloseIntercept(w.close)
	w.win.Canvas().SetOnTypedRune(w.typed)
	w.win.Canvas().SetOnTypedKey(func(e *fyne.KeyEvent) { w.typedKey(e.Name) })
	switch {
	case open.Camera != "":
		w.watch(open.Camera)
	case len(open.Photos) > 0:
		w.bench.Open(open.Photos...)
	case open.Sample:
		w.bench.OpenSample(0)
	}
	w.titled()
	return w
}

// Bench is the Bench page.
func (w *Window) Bench() *bench.Page { return w.bench }

// typed passes a letter to the page, unless a dialog lies over it: the page must not
// do what cannot be seen.
func (w *Window) typed(r rune) {
	if w.win.Canvas().Overlays().Top() == nil {
		w.now().Typed(r)
	}
}

// typedKey passes a key to the page, or closes the dialog that lies over it.
func (w *Window) typedKey(k fyne.KeyName) {
	switch {
	case w.win.Canvas().Overlays().Top() != nil:
		if k == fyne.KeyEscape {
			kit.Dismiss(w.win.Canvas())
		}
	case k == fyne.KeyF1:
		w.showKeys()
	default:
		w.now().TypedKey(k)
	}
}

func (w *Window) titled() {
	title := "Evenrim"
	if t := w.now().Title(); t != "" {
		title = t + " · Evenrim"
	}
	if w.win.Title() != title {
		w.win.SetTitle(title)
	}
}

// close keeps what is left to keep, remembers the window and ends the program.
func (w *Window) close() {
	if lost := w.keep(); len(lost) > 0 && !w.told && !w.ending {
		w.told = true
		w.tellLost(lost)
		return
	}
	w.shut()
}

// keep ends the pages' work and keeps what is left to keep, and how the window was left.
// It returns what could not be kept, in words, which it has said on stderr too.
func (w *Window) keep() (lost []string) {
	p := w.app.Preferences()
	s := w.win.Canvas().Size()
	p.SetFloat(widthPref, float64(s.Width))
	p.SetFloat(heightPref, float64(s.Height))
	if b, err := json.Marshal(w.bench.Card()); err == nil {
		p.SetString(cardPref, string(b))
	}
	if w.camera != nil {
		w.camera.Close()
	}
	for _, l := range w.pages {
		if l.page != nil {
			l.page.Close()
		}
	}
	if lost = w.bench.Lost(); len(lost) > 0 {
		fmt.Fprintln(os.Stderr, strings.Join(lost, "\n"))
	}
	return lost
}

// shut closes the window once everything is kept, or given up.
func (w *Window) shut() {
	kit.ShutDoor()
	w.gone = true
	w.win.Close()
}

// end is close for a program that is told to end: nobody is there to answer.
func (w *Window) end() {
	w.ending = true
	w.close()
}

// tellLost says before the window closes what could not be kept. Pressing the cross
// again closes it.
func (w *Window) tellLost(lost []string) {
	var s *kit.Sheet
	body := kit.Column(10)
	for _, words := range append(lost, "The photos themselves are where they were.") {
		body.Add(kit.NewProse(words, 1, kit.Ink))
	}
	again := kit.NewButton("Try again", func() {
		s.Hide()
		w.bench.KeepAgain()
		w.told = false
		w.close()
	})
	shut := kit.NewButton("Close without them", func() { s.Hide(); w.shut() })
	size := w.win.Canvas().Size()
	s = kit.ShowSheet(w.win, "Not everything is kept", container.NewVScroll(body), fyne.NewSize(size.Width*0.6, size.Height*0.6), shut, again)
}

func (w *Window) lastCard() model.JobCard {
	var c model.JobCard
	if err := json.Unmarshal([]byte(w.app.Preferences().String(cardPref)), &c); err != nil {
		return model.JobCard{}
	}
	c.PlusX = 0 // belongs to a photo, not to a job
	return c
}

// laidOver is a card with what another says in its place: all but its zeros.
func laidOver(card, given model.JobCard) model.JobCard {
	card.Name = cmp.Or(given.Name, card.Name)
	card.BoreMM, card.ChamferMM = cmp.Or(given.BoreMM, card.BoreMM), cmp.Or(given.ChamferMM, card.ChamferMM)
	card.HalfAngle, card.ThicknessMM = cmp.Or(given.HalfAngle, card.HalfAngle), cmp.Or(given.ThicknessMM, card.ThicknessMM)
	card.PlusX, card.ToleranceMM = cmp.Or(given.PlusX, card.PlusX), cmp.Or(given.ToleranceMM, card.ToleranceMM)
	card.Zone, card.Flip = cmp.Or(given.Zone, card.Zone), cmp.Or(given.Flip, card.Flip)
	card.ShowInch = card.ShowInch || given.ShowInch
	return card
}

// setLight changes whose light the window follows.
func (w *Window) setLight(m look.Mode) {
	w.theme = &look.Theme{Mode: m, Scale: w.theme.Scale}
	w.app.Preferences().SetInt(lightPref, int(m))
	w.app.Settings().SetTheme(w.theme)
	w.win.SetMainMenu(w.win.MainMenu()) // the bar keeps its old colour otherwise
}

func (w *Window) swapLight() {
	if look.Now().Dark {
		w.setLight(look.AlwaysDay)
	} else {
		w.setLight(look.AlwaysNight)
	}
}

// textScales are the text sizes offered.
var textScales = []float32{1, 1.25, 1.5, 2}

func (w *Window) setText(scale float32) {
	w.theme = &look.Theme{Mode: w.theme.Mode, Scale: scale}
	w.app.Preferences().SetFloat(textPref, float64(scale))
	for _, s := range w.signs {
		s.Times = railSign(scale)
	}
	w.app.Settings().SetTheme(w.theme)
	w.win.Content().Refresh()
}

func (w *Window) stepText(by int) {
	at := 0
	for i, s := range textScales {
		if w.theme.Scale >= s {
			at = i
		}
	}
	w.setText(textScales[min(max(at+by, 0), len(textScales)-1)])
}
