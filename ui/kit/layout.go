package kit

import (
	"math"

	"fyne.io/fyne/v2"
)

// halfOf is what lies above something in the middle of a height, a whole number: between
// pixels the screen would lose the tails of g and p.
func halfOf(spare float32) float32 { return float32(math.Floor(float64(spare) / 2)) }

// Tall gives an object a least height (and width), for touch.
func Tall(o fyne.CanvasObject, minW, minH float32) *fyne.Container {
	return &fyne.Container{Layout: tall{minW, minH}, Objects: []fyne.CanvasObject{o}}
}

type tall struct{ w, h float32 }

func (t tall) MinSize(o []fyne.CanvasObject) fyne.Size {
	return o[0].MinSize().Max(fyne.NewSize(t.w, t.h))
}

func (t tall) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Move(fyne.NewPos(0, 0))
	o[0].Resize(s)
}

// Column stacks objects with a gap, each at the full width; hidden ones take no room.
func Column(gap float32, o ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: column{gap}, Objects: o}
}

type column struct{ gap float32 }

func (c column) MinSize(objects []fyne.CanvasObject) (m fyne.Size) {
	n := 0
	for _, o := range objects {
		if o.Visible() {
			s := o.MinSize()
			m.Width = max(m.Width, s.Width)
			m.Height += s.Height
			n++
		}
	}
	m.Height += c.gap * float32(max(n-1, 0))
	return m
}

func (c column) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	y := float32(0)
	for _, o := range objects {
		if !o.Visible() {
			continue
		}
		// Twice: wrapped text knows its height only once it knows its width.
		o.Resize(fyne.NewSize(s.Width, o.MinSize().Height))
		h := o.MinSize().Height
		o.Resize(fyne.NewSize(s.Width, h))
		o.Move(fyne.NewPos(0, y))
		y += h + c.gap
	}
}

// Row lays objects side by side with a gap, centred in height; the one called
// stretch (an index, -1 for none) takes what room is left.
func Row(gap float32, stretch int, o ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: row{gap, stretch}, Objects: o}
}

type row struct {
	gap     float32
	stretch int
}

func (r row) MinSize(objects []fyne.CanvasObject) (m fyne.Size) {
	n := 0
	for _, o := range objects {
		if o.Visible() {
			s := o.MinSize()
			m.Height = max(m.Height, s.Height)
			m.Width += s.Width
			n++
		}
	}
	m.Width += r.gap * float32(max(n-1, 0))
	return m
}

func (r row) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	spare := s.Width - r.MinSize(objects).Width
	x := float32(0)
	for i, o := range objects {
		if !o.Visible() {
			continue
		}
		m := o.MinSize()
		if i == r.stretch {
			m.Width = max(m.Width+spare, 0)
			o.Resize(m) // wrapped text knows its height only once it knows its width
			m.Height = o.MinSize().Height
		}
		o.Resize(fyne.NewSize(m.Width, m.Height))
		o.Move(fyne.NewPos(x, halfOf(s.Height-m.Height)))
		x += m.Width + r.gap
	}
}
