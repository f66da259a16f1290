package part

import (
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// sides gives the answer a share of the width, drawing and rows the rest.
type sides struct{}

// MinSize leaves room for the bar and a notice above at any text size: what is less than the
// page needs scrolls.
func (sides) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(760, 240) }

func (sides) Layout(o []fyne.CanvasObject, s fyne.Size) {
	right := min(max(s.Width*0.36, 330*look.Zoom()), s.Width*0.5)
	place(o[0], 0, 0, s.Width-right, s.Height)
	place(o[1], s.Width-right, 0, right, s.Height)
}

// halves lays the drawing above the rows where there is room for both; else the
// drawing is one leaf of the rows.
type halves struct{ p *Page }

func (*halves) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(300, 300) }

func (h *halves) Layout(o []fyne.CanvasObject, s fyne.Size) {
	r, z := h.p.rows, look.Zoom()
	compact := s.Height < 470*z || s.Width < 400*z
	if r.compact != compact {
		r.compact = compact
		r.allot()
	}
	top := float32(0)
	if !compact {
		top = min(s.Height*0.54, s.Width*0.8)
		place(o[0], 0, 0, s.Width, top)
	}
	o[1].Resize(fyne.NewSize(s.Width, o[1].MinSize().Height)) // once for its rows
	tabs := o[1].MinSize().Height
	place(o[1], 0, top, s.Width, tabs)
	place(o[2], 0, top+tabs, s.Width, s.Height-top-tabs)
	if compact {
		place(o[0], 0, tabs, s.Width, s.Height-tabs)
	}
}

// beside lays a figure and its uncertainty side by side where there is room, else
// one below the other.
type beside struct{ width float32 }

func (b *beside) stacked() bool { return b.width > 0 && b.width < 290*look.Zoom() }

func (b *beside) MinSize(o []fyne.CanvasObject) fyne.Size {
	f, u := o[0].MinSize(), o[1].MinSize()
	if b.stacked() {
		return fyne.NewSize(120, f.Height+u.Height)
	}
	return fyne.NewSize(120, max(f.Height, u.Height))
}

func (b *beside) Layout(o []fyne.CanvasObject, s fyne.Size) {
	b.width = s.Width
	u := o[1].MinSize()
	if b.stacked() {
		o[0].Resize(fyne.NewSize(s.Width, 0))
		f := o[0].MinSize().Height
		place(o[0], 0, 0, s.Width, f)
		place(o[1], 0, f, s.Width, u.Height)
		return
	}
	place(o[0], 0, 0, s.Width-u.Width-10, s.Height)
	place(o[1], s.Width-u.Width, (s.Height-u.Height)/2, u.Width, u.Height)
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
