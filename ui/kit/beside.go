package kit

import (
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
)

// Beside lays aside at the right of main, which takes the rest of the width; where the
// rest is less than least, which follows the text's size, aside goes below.
func Beside(gap, least float32, main, aside fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &beside{gap: gap, least: least}, Objects: []fyne.CanvasObject{main, aside}}
}

type beside struct {
	gap, least float32
	width      float32 // as last laid out
}

func (b *beside) below(aside fyne.Size) bool {
	return b.width > 0 && b.width-aside.Width-b.gap < b.least*look.Zoom()
}

func (b *beside) MinSize(o []fyne.CanvasObject) fyne.Size {
	m, a := fyne.Size{}, o[1].MinSize()
	if o[0].Visible() {
		m = o[0].MinSize()
	}
	switch {
	case m.Height == 0:
		return a
	case b.below(a):
		return fyne.NewSize(max(m.Width, a.Width), m.Height+b.gap+a.Height)
	}
	return fyne.NewSize(max(m.Width, a.Width), max(m.Height, a.Height))
}

func (b *beside) Layout(o []fyne.CanvasObject, s fyne.Size) {
	b.width = s.Width
	main, aside := o[0], o[1]
	a := aside.MinSize()
	if b.below(a) || !main.Visible() {
		y := float32(0)
		if main.Visible() {
			for range 2 { // wrapped text tells its height once it has its width
				main.Resize(fyne.NewSize(s.Width, main.MinSize().Height))
			}
			y = main.Size().Height + b.gap
		}
		main.Move(fyne.NewPos(0, 0))
		aside.Resize(fyne.NewSize(s.Width, a.Height))
		aside.Move(fyne.NewPos(0, y))
		return
	}
	for range 2 {
		main.Resize(fyne.NewSize(s.Width-a.Width-b.gap, main.MinSize().Height))
	}
	main.Move(fyne.NewPos(0, halfOf(s.Height-main.Size().Height)))
	aside.Resize(a)
	aside.Move(fyne.NewPos(s.Width-a.Width, halfOf(s.Height-a.Height)))
}
