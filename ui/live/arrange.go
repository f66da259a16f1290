package live

import (
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
)

// arrange lays the view out: picture | sheet.
func (p *Page) arrange() fyne.CanvasObject {
	c := &fyne.Container{Layout: beside{}, Objects: []fyne.CanvasObject{p.viewer, kit.NewGround(kit.Paper, 18, p.side.content)}}
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

func (beside) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(860, 560) }
