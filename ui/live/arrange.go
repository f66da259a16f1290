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

// anchored keeps the buttons at the bottom, where the hand finds them however much is said
// above: what has no room there scrolls by itself. Only in a window too low for both does
// the whole sheet scroll.
type anchored struct{}

// leastTold is the height in which number and uncertainty can be seen.
const leastTold = 200

func (anchored) MinSize(o []fyne.CanvasObject) fyne.Size {
	a, b := o[0].MinSize(), o[1].MinSize()
	return fyne.NewSize(max(a.Width, b.Width), leastTold*look.Zoom()+b.Height)
}

func (anchored) Layout(o []fyne.CanvasObject, s fyne.Size) {
	// Twice: wrapped text knows its height only once it knows its width.
	o[1].Resize(fyne.NewSize(s.Width, o[1].MinSize().Height))
	b := o[1].MinSize().Height
	o[1].Resize(fyne.NewSize(s.Width, b))
	o[1].Move(fyne.NewPos(0, s.Height-b))
	o[0].Resize(fyne.NewSize(s.Width, s.Height-b))
	o[0].Move(fyne.NewPos(0, 0))
}
