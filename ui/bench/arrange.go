package bench

import (
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// arrange lays the page out: drawer | photo over strip over tray | sheet.
func (p *Page) arrange() fyne.CanvasObject {
	p.byHand = kit.Column(0, p.help.content, p.guide.content)
	p.middle = &fyne.Container{Layout: middleLayout{p.welcome}, Objects: []fyne.CanvasObject{
		kit.NewGround(kit.Paper, 8, p.bar.box),
		container.NewVScroll(p.byHand),
		container.NewStack(p.viewer, p.bar.progress, p.welcome.content),
		kit.NewGround(kit.Paper, 8, p.strip.content),
		p.tray.content,
	}}
	c := &fyne.Container{Objects: []fyne.CanvasObject{p.drawer.content, p.middle, kit.NewGround(kit.Rule, 0, container.NewStack()), p.sheet.content}}
	c.Layout = &benchLayout{p: p}
	p.drawer.onChange = func() { c.Refresh() }
	return kit.NewGround(kit.Paper, 0, c)
}

// benchLayout gives the sheet a share of the width within what can be read at
// arm's length, the drawer what its fields need, the photo the rest.
type benchLayout struct{ p *Page }

const (
	drawerWidth = 272
	sheetLeast  = 340
	sheetMost   = 820
	photoLeast  = 400
	// photoSeen is the least width at which the photo is still worth its place beside
	// the open drawer; below it the drawer takes all of it.
	photoSeen = 240
)

func (l *benchLayout) widths(total float32) (drawer, sheet float32) {
	z := look.Zoom()
	sheet = min(max(total*0.27, sheetLeast*z), sheetMost*z)
	sheet = min(sheet, total*0.45)
	drawer = min(drawerWidth*z, total*0.3)
	return drawer, sheet
}

func (l *benchLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	drawer, sheet := l.widths(s.Width)
	l.p.drawer.fits(s.Width-drawer-sheet >= photoLeast*1.55)
	l.p.drawer.refresh()
	x := float32(0)
	o[1].Show()
	if o[0].Visible() {
		if s.Width-drawer-sheet < photoSeen*look.Zoom() {
			drawer = s.Width - sheet
			o[1].Hide()
		}
		o[0].Move(fyne.NewPos(0, 0))
		o[0].Resize(fyne.NewSize(drawer, s.Height))
		x = drawer
	}
	o[1].Move(fyne.NewPos(x, 0))
	o[1].Resize(fyne.NewSize(s.Width-x-sheet, s.Height))
	o[2].Move(fyne.NewPos(s.Width-sheet, 0))
	o[2].Resize(fyne.NewSize(1, s.Height))
	o[3].Move(fyne.NewPos(s.Width-sheet+1, 0))
	o[3].Resize(fyne.NewSize(sheet-1, s.Height))
}

func (l *benchLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(860, 560) }

// middleLayout: bar, what is being done by hand (if anything), photo, unrolled rim, tray from top to bottom. The rim gets
// room for its curve unless that would leave too little of the photo; then it is
// the band alone.
type middleLayout struct{ welcome *welcome }

const (
	rimLeast, rimMost = 236, 460
	bandHeight        = 118
	photoHeightLeast  = 250
	photoWithHand     = 170
)

func (m middleLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	z := look.Zoom()
	bar := o[0].MinSize().Height
	tray := float32(0)
	if o[4].Visible() {
		tray = o[4].MinSize().Height + 12
	}
	// What is done by hand scrolls where large text makes it higher than there is room.
	// Laid out before it is asked: wrapped text knows its height once it knows its width.
	byHand := o[1].(*container.Scroll).Content
	byHand.Resize(fyne.NewSize(s.Width, byHand.MinSize().Height))
	left := s.Height - bar - tray
	hand := min(byHand.MinSize().Height, max(left-photoWithHand, 120))
	rim := min(max(s.Height*0.3, rimLeast*z), rimMost*z)
	if left-hand-rim < photoHeightLeast {
		rim = bandHeight * (1 + z) / 2
	}
	// While something is done by hand the photo comes before the rim.
	crowded := hand > 0 && left-hand-rim < photoWithHand
	// Nor does an empty bench show where the rim will be before all ways in.
	if m.welcome.content.Visible() && left-hand-rim < m.welcome.height(s.Width) {
		crowded = true
	}
	if crowded {
		rim = 0
		o[3].Hide()
	} else {
		o[3].Show()
	}
	y := float32(0)
	for i, h := range []float32{bar, hand, s.Height - bar - hand - tray - rim, rim, tray} {
		inset := float32(0)
		if i == 4 {
			inset = 8
		}
		o[i].Move(fyne.NewPos(inset, y))
		o[i].Resize(fyne.NewSize(s.Width-2*inset, max(h, 0)))
		y += h
	}
}

func (middleLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(photoLeast, o[0].MinSize().Height+bandHeight+120)
}
