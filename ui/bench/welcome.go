package bench

import (
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// welcome is what lies on an empty bench: the ways in.
type welcome struct {
	p       *Page
	column  fyne.CanvasObject
	content fyne.CanvasObject
}

// height is what it needs at a width.
func (w *welcome) height(width float32) float32 {
	width = min(width-2*readablePad, readableWidth*look.Zoom())
	for range 2 { // wrapped text knows its height once it knows its width
		w.column.Resize(fyne.NewSize(width, w.column.MinSize().Height))
	}
	return w.column.MinSize().Height + 2*readablePad
}

func newWelcome(p *Page) *welcome {
	w := &welcome{p: p}
	ways := kit.Flow(14)
	way := func(icon look.Icon, head, words string, tap func()) {
		t := kit.NewTap(kit.Tall(kit.Column(8,
			container.NewCenter(kit.NewSign(icon, 3.4)),
			kit.NewLine(head, 1.2, kit.Ink).Bold().Centred(),
			kit.NewLine(words, 0.9, kit.Soft).Centred()), 164, 0), tap)
		t.Fill, t.Edge, t.Pad, t.BarSide = kit.Raised, kit.Rule, 8, kit.NoBar
		ways.Add(t)
	}
	way(look.IconOpen, "Own photo", "open it, or drop it here", p.AskOpen)
	if len(p.deps.Samples) > 0 {
		way(look.IconSample, "Sample", "one of our brackets", func() { p.OpenSample(0) })
	}
	if p.deps.Camera != nil {
		way(look.IconCamera, "Camera", "watch it live", p.deps.Camera)
	}
	head := kit.NewProse("How far apart are the two setups?", 1.9, kit.Ink).Centred()
	head.Style.Bold = true
	text := kit.NewProse("Take a photo from straight above of a hole that was bored in setup 1 and chamfered in setup 2. The chamfer's width round the hole tells the mismatch.", 1.15, kit.Soft).Centred()
	picture := kit.NewDrawing(p.crew, fyne.NewSize(310, 140))
	picture.Paint(welcomePainter)
	column := kit.Column(18, head, ways, text, container.NewCenter(picture))
	w.column = column
	w.content = kit.NewGround(kit.Paper, 0, container.NewVScroll(&fyne.Container{Layout: readable{}, Objects: []fyne.CanvasObject{column}}))
	return w
}

func (w *welcome) refresh() {
	if len(w.p.state.Photos) == 0 {
		w.content.Show()
	} else {
		w.content.Hide()
	}
}

// readable centres its object at a width that reads well, or at what there is.
type readable struct{}

const readableWidth, readablePad = 640, 20

func (readable) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(0, o[0].MinSize().Height+2*readablePad)
}

func (readable) Layout(o []fyne.CanvasObject, s fyne.Size) {
	w := min(s.Width-2*readablePad, readableWidth*look.Zoom())
	// Twice: wrapped text knows its height only once it knows its width.
	o[0].Resize(fyne.NewSize(w, o[0].MinSize().Height))
	h := o[0].MinSize().Height
	o[0].Resize(fyne.NewSize(w, h))
	o[0].Move(fyne.NewPos((s.Width-w)/2, max((s.Height-h)/2, readablePad)))
}
