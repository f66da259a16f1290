package ui

import (
	"encoding/json"

	"evenrim/model"
	"evenrim/ui/bench"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/state"

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
	bench *bench.Page
	rail  *rail
}

// NewWindow builds the window without showing it.
func NewWindow(app fyne.App, deps Deps, open Opening) *Window {
	w := &Window{app: app, theme: dress(app), win: app.NewWindow("Evenrim")}
	w.win.SetPadded(false)
	w.win.SetMaster()
	card := w.lastCard()
	if open.Card != nil {
		card = *open.Card
	}
	w.bench = bench.New(w.win, deps, card)
	w.bench.OnChange = w.titled
	w.rail = newRail(w)
	w.win.SetContent(container.NewBorder(nil, nil, w.rail.content, nil, w.bench.Content()))
	w.win.SetMainMenu(w.menu(len(deps.Samples)))
	p := app.Preferences()
	w.win.Resize(fyne.NewSize(
		max(float32(p.FloatWithFallback(widthPref, 1440)), minWidth),
		max(float32(p.FloatWithFallback(heightPref, 900)), minHeight)))
	w.win.SetOnDropped(func(_ fyne.Position, uris []fyne.URI) { w.bench.OpenURIs(uris) })
	w.win.SetCloseIntercept(w.close)
	w.win.Canvas().SetOnTypedRune(w.typed)
	w.win.Canvas().SetOnTypedKey(w.typedKey)
	switch {
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

func (w *Window) titled() {
	title := "Evenrim"
	if t := w.bench.Title(); t != "" {
		title = t + " · Evenrim"
	}
	if w.win.Title() != title {
		w.win.SetTitle(title)
	}
}

// close keeps what is left to keep, remembers the window and ends the program.
func (w *Window) close() {
	p := w.app.Preferences()
	s := w.win.Canvas().Size()
	p.SetFloat(widthPref, float64(s.Width))
	p.SetFloat(heightPref, float64(s.Height))
	if b, err := json.Marshal(w.bench.Card()); err == nil {
		p.SetString(cardPref, string(b))
	}
	w.bench.Close()
	w.win.Close()
}

func (w *Window) lastCard() model.JobCard {
	var c model.JobCard
	if err := json.Unmarshal([]byte(w.app.Preferences().String(cardPref)), &c); err != nil {
		return model.JobCard{}
	}
	c.PlusX = 0 // belongs to a photo, not to a job
	return c
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

// rail is the row of tabs on the left edge, as in a notebook.
type rail struct{ content fyne.CanvasObject }

func newRail(w *Window) *rail {
	tab := func(icon look.Icon, words string, tap func()) *kit.Tap {
		t := kit.NewTap(kit.Tall(kit.Column(3, container.NewCenter(kit.NewSign(icon, 1.8)), kit.NewLine(words, 0.8, kit.Ink).Centred()), 56, 0), tap)
		t.Pad = 9
		return t
	}
	page := tab(look.IconBench, "Bench", func() {})
	page.Selected = true
	foot := kit.Column(2,
		tab(look.IconKept, "Kept", func() { w.bench.ToggleKept() }),
		tab(look.IconLight, "Light", w.swapLight))
	return &rail{content: kit.NewGround(kit.Margin, 0, container.NewBorder(page, foot, nil, nil))}
}

var _ = state.MM
