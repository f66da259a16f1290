package part

import (
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// sides gives the answer a share of the width, drawing and rows the rest.
type sides struct{}

func (sides) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(760, 380) }

func (sides) Layout(o []fyne.CanvasObject, s fyne.Size) {
	right := min(max(s.Width*0.36, 330*look.Zoom()), s.Width*0.5)
	place(o[0], 0, 0, s.Width-right, s.Height)
	place(o[1], s.Width-right, 0, right, s.Height)
}

// halves lays the drawing above the rows.
type halves struct{}

func (halves) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(300, 300) }

func (halves) Layout(o []fyne.CanvasObject, s fyne.Size) {
	top := min(s.Height*0.54, s.Width*0.8)
	place(o[0], 0, 0, s.Width, top)
	place(o[1], 0, top, s.Width, s.Height-top)
}

func place(o fyne.CanvasObject, x, y, w, h float32) {
	o.Move(fyne.NewPos(x, y))
	o.Resize(fyne.NewSize(w, h))
}

// paper is content that scrolls down. Wrapped text knows its height only once it
// knows its width, so the content is laid out more than once.
type paper struct {
	scroll *container.Scroll
	box    *fyne.Container
}

func newPaper(content fyne.CanvasObject) *paper {
	p := &paper{scroll: container.NewVScroll(content)}
	p.box = &fyne.Container{Layout: p, Objects: []fyne.CanvasObject{p.scroll}}
	return p
}

// MinSize implements fyne.Layout.
func (p *paper) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(200, 80) }

// Layout implements fyne.Layout.
func (p *paper) Layout(_ []fyne.CanvasObject, s fyne.Size) {
	c := p.scroll.Content
	for range 3 {
		c.Resize(fyne.NewSize(s.Width, c.MinSize().Height))
	}
	p.scroll.Resize(s)
	p.scroll.Refresh()
}

// settle lays the content out anew after it has changed.
func (p *paper) settle() { p.Layout(nil, p.box.Size()) }
