package planner

import (
	"strings"

	"evenrim/model/plan/words"
	"evenrim/ui/kit"

	"fyne.io/fyne/v2"
)

// newTable shows a small table as columns where they fit and as sentences where
// they don't: large text, narrow window.
func newTable(t words.Table) fyne.CanvasObject {
	l := &tableLayout{columns: len(t.Head)}
	box := &fyne.Container{Layout: l}
	cell := func(words string, tint kit.Tint, bold bool) {
		c := kit.NewLine(words, 0.9, tint)
		c.Style.Bold = bold
		box.Objects = append(box.Objects, c)
		l.cells++
	}
	for _, h := range t.Head {
		cell(h, kit.Soft, false)
	}
	for _, r := range t.Rows {
		for i, w := range r {
			cell(w, kit.Ink, i == 0 || w == "both")
		}
	}
	for _, r := range t.Rows {
		var parts []string
		for i := 1; i < len(r); i++ {
			parts = append(parts, strings.TrimSpace(t.Head[i]+" "+r[i]))
		}
		first := strings.TrimSpace(t.Head[0] + " " + r[0])
		box.Objects = append(box.Objects, kit.NewProse(first+":  "+strings.Join(parts, " ·  "), 0.9, kit.Ink))
	}
	out := kit.Column(5, strong(kit.NewProse(t.Title, 1, kit.Ink)), box)
	if t.Note != "" {
		out.Objects = append(out.Objects, kit.NewProse(t.Note, 0.8, kit.Soft))
	}
	return out
}

type tableLayout struct {
	columns, cells int
	width          float32
}

const cellGap, cellRise = 18, 4

// widths are the columns' own, and whether they fit into width.
func (l *tableLayout) widths(o []fyne.CanvasObject, width float32) (w []float32, fit bool) {
	w = make([]float32, l.columns)
	total := float32(l.columns-1) * 10
	for i := range l.cells {
		w[i%l.columns] = max(w[i%l.columns], o[i].MinSize().Width)
	}
	for _, v := range w {
		total += v
	}
	return w, total <= width
}

func (l *tableLayout) walk(o []fyne.CanvasObject, width float32) (height float32) {
	w, fit := l.widths(o, width)
	for i, c := range o {
		if (i < l.cells) == fit {
			c.Show()
		} else {
			c.Hide()
		}
	}
	if !fit {
		for _, c := range o[l.cells:] {
			c.Resize(fyne.NewSize(width, c.Size().Height))
			h := c.MinSize().Height
			c.Resize(fyne.NewSize(width, h))
			c.Move(fyne.NewPos(0, height))
			height += h + 2*cellRise
		}
		return height
	}
	total := float32(0)
	for _, v := range w {
		total += v
	}
	gap := float32(cellGap)
	if n := l.columns - 1; n > 0 {
		gap = min(max((width-total)/float32(n), 10), 40)
	}
	for r := 0; r*l.columns < l.cells; r++ {
		x, h := float32(0), float32(0)
		for c := range l.columns {
			cell := o[r*l.columns+c]
			m := cell.MinSize()
			cell.Resize(fyne.NewSize(w[c], m.Height))
			cell.Move(fyne.NewPos(x, height))
			x += w[c] + gap
			h = max(h, m.Height)
		}
		height += h + cellRise
	}
	return height
}

func (l *tableLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	l.width = s.Width
	l.walk(o, s.Width)
}

func (l *tableLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	w := l.width
	if w <= 0 {
		w = 600
	}
	return fyne.NewSize(200, l.walk(o, w))
}
