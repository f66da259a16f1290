package kit

import "fyne.io/fyne/v2"

// Flow lays objects in as many equal columns as fit by the widest of them, row by
// row: three buttons side by side, or below each other where text is large.
func Flow(gap float32, o ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &flow{gap: gap}, Objects: o}
}

type flow struct {
	gap   float32
	width float32 // as last laid out
}

// grid returns the columns that fit, and the size of a cell's content.
func (f *flow) grid(objects []fyne.CanvasObject, width float32) (columns, n int, cell fyne.Size) {
	for _, o := range objects {
		if o.Visible() {
			cell = cell.Max(o.MinSize())
			n++
		}
	}
	columns = n
	for columns > 1 && float32(columns)*cell.Width+float32(columns-1)*f.gap > width {
		columns--
	}
	return max(columns, 1), n, cell
}

func (f *flow) MinSize(objects []fyne.CanvasObject) fyne.Size {
	columns, n, cell := f.grid(objects, f.width)
	rows := (n + columns - 1) / columns
	return fyne.NewSize(cell.Width, float32(rows)*cell.Height+float32(max(rows-1, 0))*f.gap)
}

func (f *flow) Layout(objects []fyne.CanvasObject, s fyne.Size) {
	f.width = s.Width
	columns, _, cell := f.grid(objects, s.Width)
	w := (s.Width - float32(columns-1)*f.gap) / float32(columns)
	i := 0
	for _, o := range objects {
		if !o.Visible() {
			continue
		}
		o.Move(fyne.NewPos(float32(i%columns)*(w+f.gap), float32(i/columns)*(cell.Height+f.gap)))
		o.Resize(fyne.NewSize(w, cell.Height))
		i++
	}
}
