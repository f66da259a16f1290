package batches

import (
	"image"
	"time"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/ui/batches/ledger"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/port"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// photos sets photos of the picked batches side by side, or blinks between two of
// them laid over each other by the bore.
type photos struct {
	p       *Page
	ask     *askFor
	beside  *kit.Drawing
	over    *kit.Drawing
	steps   *fyne.Container
	blink   *kit.Button
	rims    *kit.Button
	which   *kit.Prose // of the blinking photos
	content fyne.CanvasObject
	leaf    *fyne.Container

	pictures     map[string]*image.RGBA // by the photo's hash
	wanted       map[string]bool        // being loaded
	shown        string                 // what beside shows, to paint it once
	blinking     bool
	face         int // of the two, the one on top
	stopBlinking chan struct{}
}

// blinkEach is how long a photo stays while they blink: long enough to see it.
const blinkEach = 700 * time.Millisecond

// mostPictures is how many decoded photos are kept at hand.
const mostPictures = 12

func newPhotos(p *Page) *photos {
	f := &photos{p: p, ask: newAskFor(), pictures: map[string]*image.RGBA{}, wanted: map[string]bool{}}
	f.beside = kit.NewDrawing(p.crew, fyne.NewSize(300, 240))
	f.over = kit.NewDrawing(p.crew, fyne.NewSize(300, 240))
	f.which = kit.NewProse("", 1.15, kit.Ink).Centred()
	f.blink = kit.NewButton("Blink", f.toggleBlink)
	f.rims = kit.NewButtonWithIcon("Rims", look.IconRims, f.swapRims)
	f.steps = kit.Flow(6)
	foot := kit.NewGround(kit.Paper, 8, kit.Row(8, 0, f.steps, kit.Tall(f.rims, 0, touch), kit.Tall(f.blink, 0, touch)))
	over := container.NewBorder(f.which, nil, nil, nil, f.over)
	f.leaf = container.NewBorder(nil, foot, nil, nil, kit.NewGround(kit.Paper, 10, container.NewStack(f.beside, over)))
	over.Hide()
	f.content = container.NewStack(f.ask.box, f.leaf)
	return f
}

func (f *photos) object() fyne.CanvasObject { return f.content }

// readings are those whose photos are shown, one of each picked batch.
func (f *photos) readings() []*model.Reading {
	var out []*model.Reading
	if l := f.p.state.Loaded; l != nil {
		for i := range l.Batches {
			out = append(out, f.p.state.ShownReading(i))
		}
	}
	return out
}

func (f *photos) refresh() {
	words := f.p.wanted(1, "to see its photos")
	f.ask.either(words, f.leaf)
	if words != "" {
		f.still()
		return
	}
	f.buttons()
	f.fetch()
	f.paint()
}

// buttons step through the parts of each batch.
func (f *photos) buttons() {
	l := f.p.state.Loaded
	f.steps.Objects = nil
	for i, b := range l.Batches {
		back := kit.NewButton("‹", func() { f.step(i, -1) })
		next := kit.NewButton("›", func() { f.step(i, 1) })
		mark := kit.NewLine(ledger.Glyph(i), 1.1, marks[i%len(marks)])
		part := f.p.state.ShownPart(i)
		label := kit.NewLine(b.Name, 0.9, kit.Ink)
		if part >= 0 {
			label.Text = b.Name + ", " + b.Parts[part].Name
		}
		f.steps.Add(kit.Row(4, -1, mark, kit.Tall(back, touch, touch), label, kit.Tall(next, touch, touch)))
	}
	f.steps.Refresh()
	if len(l.Batches) < 2 {
		f.blink.Disable()
		if f.blinking {
			f.toggleBlink()
		}
	} else {
		f.blink.Enable()
	}
}

// fetch loads the photos shown that aren't at hand yet.
func (f *photos) fetch() {
	p := f.p
	if p.deps.Photos == nil {
		return
	}
	for _, r := range f.readings() {
		if r == nil || r.Photo.SHA256 == "" || f.pictures[r.Photo.SHA256] != nil || f.wanted[r.Photo.SHA256] {
			continue
		}
		sha, name, a := r.Photo.SHA256, r.Photo.Name, p.archive
		f.wanted[sha] = true
		p.crew.Go(func() {
			img, err := picture(p, a, sha, name)
			p.crew.Do(func() {
				if err != nil {
					p.notice.say(err.Error())
					return // stays wanted: it is not asked for again and again
				}
				delete(f.wanted, sha)
				if len(f.pictures) >= mostPictures {
					clear(f.pictures)
				}
				f.pictures[sha] = img
				f.shown = ""
				if p.state.View == ledger.Photos {
					f.fetch() // what the clearing took away
					f.paint()
				}
			})
		})
	}
}

// picture loads a kept photo, upright.
func picture(p *Page, a port.Archive, sha, name string) (*image.RGBA, error) {
	data, err := a.Photo(p.ctx, sha)
	if err != nil {
		return nil, err
	}
	pic, err := p.deps.Photos.Open(p.ctx, port.Source{Name: name, Data: data})
	if err != nil {
		return nil, err
	}
	defer pic.Close()
	return pic.RGBA(), nil
}

// panels are the photos shown with their words.
func (f *photos) panels() []chart.Panel {
	var out []chart.Panel
	for i, r := range f.readings() {
		name, words := f.p.state.PanelWords(i)
		panel := chart.Panel{Name: name, Words: words, Group: i, Reading: r}
		if r != nil {
			panel.Src = f.pictures[r.Photo.SHA256]
		}
		out = append(out, panel)
	}
	return out
}

func (f *photos) paint() {
	u, rims, panels := f.p.state.Units, f.p.state.Rims, f.panels()
	key := u.String()
	for _, q := range panels {
		key += "|" + q.Name + q.Words
	}
	if rims {
		key += "|rims"
	}
	if f.blinking && len(panels) > 1 {
		f.paintFace(panels, u, rims)
		return
	}
	if key == f.shown {
		return
	}
	f.shown = key
	f.beside.Paint(painter(func(s chart.Style) chart.Figure {
		return &chart.PanelsFigure{Panels: panels, Style: s, Unit: u, Rims: rims}
	}))
}

// paintFace shows one of the first two photos, where the other was.
func (f *photos) paintFace(panels []chart.Panel, u chart.Unit, rims bool) {
	at := f.face % min(len(panels), 4)
	q := panels[at]
	half := 0.0
	var all []*model.Reading
	for _, o := range panels {
		all = append(all, o.Reading)
	}
	half = chart.FacedHalf(all...)
	f.which.Tint = marks[at%len(marks)]
	f.which.Text = ledger.Glyph(at) + " " + q.Name + ": " + q.Words
	f.which.Refresh()
	f.over.Paint(painter(func(s chart.Style) chart.Figure {
		return &chart.FacedFigure{Src: q.Src, Reading: q.Reading, Style: s, Unit: u, HalfMM: half, Rims: rims, Words: true}
	}))
}

func (f *photos) swapRims() {
	f.p.state.Rims = !f.p.state.Rims
	f.p.refresh()
}

// step shows the next part of a batch, or the one before.
func (f *photos) step(place, by int) {
	if l := f.p.state.Loaded; f.p.state.View == ledger.Photos && l != nil && place < len(l.Batches) {
		f.p.state.Step(place, by)
		f.refresh()
	}
}

// toggleBlink starts or ends the blinking.
func (f *photos) toggleBlink() {
	if f.p.state.View != ledger.Photos || f.p.state.Loaded == nil {
		return
	}
	if f.blinking {
		f.still()
	} else if len(f.p.state.Loaded.Batches) > 1 {
		f.blinking, f.face = true, 0
		f.blink.SetText("Side by side")
		f.beside.Hide()
		f.over.Show()
		f.overBox().Show()
		f.start()
	}
	f.shown = ""
	f.paint()
}

func (f *photos) overBox() fyne.CanvasObject {
	ground := f.leaf.Objects[0].(*kit.Slip)
	return ground.Content.(*fyne.Container).Objects[1]
}

// start flips by itself; flip by hand stops that.
func (f *photos) start() {
	stop := make(chan struct{})
	f.stopBlinking = stop
	ticks := time.NewTicker(blinkEach)
	f.p.crew.Go(func() {
		defer ticks.Stop()
		for {
			select {
			case <-stop:
				return
			case <-f.p.ctx.Done():
				return
			case <-ticks.C:
				f.p.crew.Do(func() {
					if f.stopBlinking == stop {
						f.face = 1 - f.face%2
						f.paint()
					}
				})
			}
		}
	})
}

// still ends the blinking.
func (f *photos) still() {
	if f.stopBlinking != nil {
		close(f.stopBlinking)
		f.stopBlinking = nil
	}
	if f.blinking {
		f.blinking = false
		f.blink.SetText("Blink")
		f.overBox().Hide()
		f.beside.Show()
		f.shown = ""
	}
}

// flip shows the other photo and stops the flipping by itself.
func (f *photos) flip() {
	if !f.blinking || f.p.state.Loaded == nil {
		return
	}
	if f.stopBlinking != nil {
		close(f.stopBlinking)
		f.stopBlinking = nil
	}
	f.face = (f.face + 1) % len(f.p.state.Loaded.Batches)
	f.paint()
}
