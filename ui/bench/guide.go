package bench

import (
	"image"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/drawing"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// guide walks through a turn set: photo, turn, photo, joined.
type guide struct {
	p       *Page
	head    *kit.Line
	text    *kit.Prose
	picture *kit.Drawing
	open    *kit.Button
	use     *kit.Button
	two     *kit.Tap
	four    *kit.Tap
	content *kit.Slip

	drawn      bool
	drawnOf    *model.Joined // what the picture shows; nil = how to turn
	drawnUnits state.Units
}

func newGuide(p *Page) *guide {
	g := &guide{p: p}
	g.head = kit.NewLine("", 1.35, kit.Ink).Bold()
	g.text = kit.NewProse("", 1, kit.Ink)
	g.picture = kit.NewDrawing(p.crew, fyne.NewSize(210, 170))
	g.open = kit.NewButtonWithIcon("Open it", look.IconOpen, p.AskOpen)
	g.use = kit.NewButton("Use the photo shown", func() { p.apply(p.state.ChooseForTurns()); p.card.reload(); p.keepTurns() })
	choice := func(words string, n int) *kit.Tap {
		t := kit.NewTap(kit.NewLine(words, 0.9, kit.Ink).Centred(), func() { p.setTurns(n) })
		t.Edge, t.BarSide, t.Pad = kit.Rule, kit.NoBar, 10
		return t
	}
	g.two, g.four = choice("2 photos", 2), choice("4 photos", 4)
	end := kit.NewButtonWithIcon("", look.IconCancel, p.EndTurns)
	end.Importance = widget.LowImportance
	words := kit.Column(8,
		container.NewBorder(nil, nil, nil, container.NewVBox(kit.Tall(end, touch-6, touch-6)),
			kit.Wrapped(10, g.head, kit.Row(6, -1, kit.Tall(g.two, 0, touch-6), kit.Tall(g.four, 0, touch-6)))),
		g.text, kit.Wrapped(8, kit.Tall(g.open, 130, touch), kit.Tall(g.use, 0, touch)))
	slip := kit.NewSlip(&fyne.Container{Layout: guideLayout{}, Objects: []fyne.CanvasObject{g.picture, words}})
	slip.Pad = 10
	g.content = kit.NewGround(kit.Paper, 6, slip)
	g.content.Hide()
	return g
}

// guideLayout lays the picture at the left of the words, or leaves it out where the
// words would have too little room: they say the same.
type guideLayout struct{}

const guideGap, guideWordsLeast, guidePictureWidth = 12, 250, 210

func (guideLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	m := o[1].MinSize()
	if o[0].Visible() {
		m.Height = max(m.Height, o[0].MinSize().Height)
	}
	return m
}

func (guideLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	picture, words := o[0], o[1]
	m := fyne.NewSize(min(max(s.Width*0.32, guidePictureWidth), 1.4*guidePictureWidth), picture.MinSize().Height)
	x := m.Width + guideGap
	if s.Width-x < guideWordsLeast*look.Zoom() {
		picture.Hide()
		x = 0
	} else {
		picture.Show()
	}
	picture.Resize(fyne.NewSize(m.Width, max(m.Height, s.Height)))
	picture.Move(fyne.NewPos(0, 0))
	for range 2 { // wrapped text tells its height once it has its width
		words.Resize(fyne.NewSize(s.Width-x, words.MinSize().Height))
	}
	words.Move(fyne.NewPos(x, 0))
}

// StartTurns begins a turn set of two photos, the one shown being the first.
func (p *Page) StartTurns() {
	if p.state.Turns != nil {
		p.EndTurns()
		return
	}
	p.help.open, p.help.kind = false, noTool
	p.setTurns(2)
}

func (p *Page) setTurns(n int) {
	var first int
	if t := p.state.Turns; t != nil && len(t.Photos) > 0 {
		first = t.Photos[0]
	}
	if first != 0 {
		p.state.Select(first)
		p.card.reload()
	}
	p.state.StartTurns(n)
	p.keepHeld()
	p.refresh()
}

// EndTurns puts the guide away.
func (p *Page) EndTurns() {
	p.state.EndTurns()
	p.keepHeld()
	p.keepTurns()
	p.refresh()
}

func (g *guide) refresh() {
	t := g.p.state.Turns
	if t == nil {
		g.content.Hide()
		return
	}
	w := g.p.state.GuideWords()
	g.head.Set(w.Head)
	g.text.Set(w.Text)
	g.two.Select(t.N == 2)
	g.four.Select(t.N == 4)
	if w.Want {
		g.open.Show()
	} else {
		g.open.Hide()
	}
	if g.p.state.CanChooseForTurns() {
		g.use.Show()
	} else {
		g.use.Hide()
	}
	// Which way to turn; once joined, what the turn took out.
	if units := g.p.state.Units; !g.drawn || g.drawnOf != t.Result || g.drawnUnits != units {
		g.drawn, g.drawnOf, g.drawnUnits = true, t.Result, units
		if t.Result != nil {
			g.picture.Paint(biasPainter(t.Set, units))
		} else {
			g.picture.Paint(drawingPainter("turn-set"))
		}
	}
	g.content.Show()
	g.content.Refresh()
}

func turnPainter(t *model.TurnSet, used []*model.Reading, r *model.Reading, u state.Units) kit.Painter {
	return func(w, h int, k float64, p look.Palette) *image.RGBA {
		f := chart.TurnMap(t, used, zoneOf(r), chart.MapOptions{Style: p.Style, Unit: u})
		return chart.Render(f, w, h, plotDPI*k)
	}
}

func biasPainter(t *model.TurnSet, u state.Units) kit.Painter {
	return func(w, h int, k float64, p look.Palette) *image.RGBA {
		return chart.Render(chart.BiasMap(t, chart.MapOptions{Style: p.Style, Unit: u}), w, h, plotDPI*k)
	}
}

// drawingPainter draws one of our explaining drawings.
func drawingPainter(name string) kit.Painter {
	return func(w, h int, k float64, p look.Palette) *image.RGBA {
		d, ok := drawing.Get(name)
		if !ok {
			return nil
		}
		return chart.Render(d.Figure(p.Style), w, h, plotDPI*k)
	}
}
