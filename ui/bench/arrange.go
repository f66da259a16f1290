package bench

import (
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// arrange lays the page out: drawer | photo over strip over tray | sheet.
func (p *Page) arrange() fyne.CanvasObject {
	photoArea := container.NewStack(p.viewer, p.welcome.content)
	middle := container.NewBorder(
		kit.NewGround(kit.Paper, 8, p.bar.content()),
		kit.NewGround(kit.Paper, 8, kit.Column(8, p.strip.content, p.tray.content)),
		nil, nil, photoArea)
	c := &fyne.Container{Objects: []fyne.CanvasObject{p.drawer.content, middle, kit.NewGround(kit.Rule, 0, container.NewStack()), p.sheet.content}}
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
	sheetMost   = 560
	photoLeast  = 400
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
	if o[0].Visible() {
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
