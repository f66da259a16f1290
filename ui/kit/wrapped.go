package kit

import "fyne.io/fyne/v2"

// Wrapped lays objects side by side and begins a new row where one has no more room:
// a row of tabs that stays whole at any text size.
func Wrapped(gap float32, o ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &wrap{gap: gap}, Objects: o}
}

// WrappedLevel is Wrapped with each row level at the top: for fields, which must stay where
// they are when something is said below one of them.
func WrappedLevel(gap float32, o ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &wrap{gap: gap, level: true}, Objects: o}
}

type wrap struct {
	gap   float32
	level bool    // at the top; else centred in height
	width float32 // of the last layout, which the height follows from
}

func (f *wrap) MinSize(o []fyne.CanvasObject) (m fyne.Size) {
	for _, c := range o {
		if c.Visible() {
			m = m.Max(c.MinSize())
		}
	}
	if f.width > 0 {
		m.Height = f.walk(o, f.width, func(fyne.CanvasObject, fyne.Position, fyne.Size) {})
	}
	return m
}

func (f *wrap) Layout(o []fyne.CanvasObject, s fyne.Size) {
	f.width = s.Width
	f.walk(o, s.Width, func(c fyne.CanvasObject, at fyne.Position, size fyne.Size) {
		c.Resize(size)
		c.Move(at)
	})
}

// walk places the objects and returns the height they take.
func (f *wrap) walk(o []fyne.CanvasObject, width float32, place func(fyne.CanvasObject, fyne.Position, fyne.Size)) float32 {
	x, y, high := float32(0), float32(0), float32(0)
	var row []fyne.CanvasObject
	end := func() { // places a row
		left := float32(0)
		for _, c := range row {
			m := c.MinSize()
			down := halfOf(high - m.Height)
			if f.level {
				down = 0
			}
			place(c, fyne.NewPos(left, y+down), fyne.NewSize(min(m.Width, width), m.Height))
			left += m.Width + f.gap
		}
		row = row[:0]
	}
	for _, c := range o {
		if !c.Visible() {
			continue
		}
		m := c.MinSize()
		if x > 0 && x+m.Width > width {
			end()
			x, y, high = 0, y+high+f.gap, 0
		}
		row = append(row, c)
		x += m.Width + f.gap
		high = max(high, m.Height)
	}
	end()
	return y + high
}
