package live

import (
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
)

// arrange lays the view out: picture | sheet.
func (p *Page) arrange() fyne.CanvasObject {
	c := &fyne.Container{Layout: beside{}, Objects: []fyne.CanvasObject{p.viewer, p.side.content}}
	return kit.NewGround(kit.Paper, 0, c)
}

func (p *Page) refresh() {
	p.side.refresh()
	p.content.Refresh()
}

// beside gives the sheet what can be read at arm's length, the picture the rest.
type beside struct{}

const sheetWidth, pictureLeast = 330, 320

func (beside) Layout(o []fyne.CanvasObject, s fyne.Size) {
	w := min(max(s.Width*0.27, sheetWidth*look.Zoom()), s.Width-pictureLeast)
	o[0].Move(fyne.NewPos(0, 0))
	o[0].Resize(fyne.NewSize(s.Width-w, s.Height))
	o[1].Move(fyne.NewPos(s.Width-w, 0))
	o[1].Resize(fyne.NewSize(w, s.Height))
}

func (beside) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(640, 420) }

// ends lays one object at the top and one at the bottom, the second right below the
// first where there is no room between.
type ends struct{}

const endsGap = 16

func (ends) MinSize(o []fyne.CanvasObject) fyne.Size {
	a, b := o[0].MinSize(), o[1].MinSize()
	return fyne.NewSize(max(a.Width, b.Width), a.Height+endsGap+b.Height)
}

func (ends) Layout(o []fyne.CanvasObject, s fyne.Size) {
	// Twice: wrapped text knows its height only once it knows its width.
	o[0].Resize(fyne.NewSize(s.Width, o[0].MinSize().Height))
	a, b := o[0].MinSize().Height, o[1].MinSize().Height
	o[0].Move(fyne.NewPos(0, 0))
	o[0].Resize(fyne.NewSize(s.Width, a))
	o[1].Move(fyne.NewPos(0, max(a+endsGap, s.Height-b)))
	o[1].Resize(fyne.NewSize(s.Width, b))
}
