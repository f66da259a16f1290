package kit

import "fyne.io/fyne/v2"

// Ends lays two objects at the two ends of a line, or one below the other where a line
// has no room for both.
func Ends(gap float32, left, right fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &ends{gap: gap}, Objects: []fyne.CanvasObject{left, right}}
}

type ends struct {
	gap   float32
	width float32 // as last laid out
}

func (e *ends) stacked(a, b fyne.Size) bool { return e.width > 0 && a.Width+e.gap+b.Width > e.width }

func (e *ends) MinSize(o []fyne.CanvasObject) fyne.Size {
	a, b := o[0].MinSize(), o[1].MinSize()
	if e.stacked(a, b) {
		return fyne.NewSize(max(a.Width, b.Width), a.Height+b.Height)
	}
	return fyne.NewSize(max(a.Width, b.Width), max(a.Height, b.Height))
}

func (e *ends) Layout(o []fyne.CanvasObject, s fyne.Size) {
	e.width = s.Width
	a, b := o[0].MinSize(), o[1].MinSize()
	ya, yb := halfOf(s.Height-a.Height), halfOf(s.Height-b.Height)
	if e.stacked(a, b) {
		ya, yb = 0, a.Height
	}
	o[0].Resize(a)
	o[0].Move(fyne.NewPos(0, ya))
	o[1].Resize(b)
	o[1].Move(fyne.NewPos(max(s.Width-b.Width, 0), yb))
}
