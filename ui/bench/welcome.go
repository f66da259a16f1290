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
	content fyne.CanvasObject
}

func newWelcome(p *Page) *welcome {
	w := &welcome{p: p}
	ways := kit.Row(14, -1)
	way := func(icon look.Icon, head, words string, tap func()) {
		t := kit.NewTap(kit.Tall(kit.Column(8,
			container.NewCenter(kit.NewSign(icon, 3.4)),
			kit.NewLine(head, 1.2, kit.Ink).Bold().Centred(),
			kit.NewLine(words, 0.9, kit.Soft).Centred()), 190, 0), tap)
		t.Fill, t.Edge, t.Pad, t.BarSide = kit.Raised, kit.Rule, 18, kit.NoBar
		ways.Add(t)
	}
	way(look.IconOpen, "Own photo", "open it, or drop it here", p.AskOpen)
	if len(p.deps.Samples) > 0 {
		way(look.IconSample, "Sample", p.deps.Samples[0].Words, func() { p.OpenSample(0) })
	}
	if p.deps.Camera != nil {
		way(look.IconCamera, "Camera", "watch it live", p.deps.Camera)
	}
	head := kit.NewLine("How far apart are the two setups?", 1.9, kit.Ink).Bold().Centred()
	text := kit.NewProse("Take a photo from straight above of a hole that was bored in setup 1 and chamfered in setup 2. The chamfer's width round the hole tells the mismatch.", 1.15, kit.Soft).Centred()
	picture := kit.NewDrawing(p.crew, fyne.NewSize(420, 190))
	picture.Paint(welcomePainter)
	w.content = kit.NewGround(kit.Paper, 20, container.NewCenter(kit.Column(18, head, kit.Tall(text, 520, 0), container.NewCenter(picture), container.NewCenter(ways))))
	return w
}

func (w *welcome) refresh() {
	if len(w.p.state.Photos) == 0 {
		w.content.Show()
	} else {
		w.content.Hide()
	}
}
