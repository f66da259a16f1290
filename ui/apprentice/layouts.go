package apprentice

import (
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// touch is the least height of what a finger has to hit.
const touch = 44

// paper is content that scrolls down when it is higher than its place. Wrapped
// text knows its height only once it knows its width, so the content is laid out
// twice.
func paper(content fyne.CanvasObject) (*fyne.Container, *container.Scroll) {
	s := container.NewVScroll(content)
	return &fyne.Container{Layout: &paperLayout{s}, Objects: []fyne.CanvasObject{s}}, s
}

type paperLayout struct{ scroll *container.Scroll }

func (l *paperLayout) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(l.scroll.Content.MinSize().Width, 80)
}

func (l *paperLayout) Layout(_ []fyne.CanvasObject, s fyne.Size) {
	c := l.scroll.Content
	for range 3 {
		c.Resize(fyne.NewSize(s.Width, c.MinSize().Height))
	}
	l.scroll.Resize(s)
	l.scroll.Refresh()
}

// flow lays objects of one size out in as many columns as their widest allows.
func flow(gap float32, o ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &flowLayout{gap: gap}, Objects: o}
}

type flowLayout struct {
	gap, width float32
}

func (l *flowLayout) cell(o []fyne.CanvasObject) fyne.Size {
	var m fyne.Size
	for _, x := range o {
		if x.Visible() {
			m = m.Max(x.MinSize())
		}
	}
	return m
}

func (l *flowLayout) columns(o []fyne.CanvasObject) int {
	m := l.cell(o)
	if l.width <= 0 || m.Width <= 0 {
		return 1
	}
	return max(min(int((l.width+l.gap)/(m.Width+l.gap)), visible(o)), 1)
}

func visible(o []fyne.CanvasObject) (n int) {
	for _, x := range o {
		if x.Visible() {
			n++
		}
	}
	return n
}

func (l *flowLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	m, n := l.cell(o), visible(o)
	cols := l.columns(o)
	rows := float32((n + cols - 1) / cols)
	return fyne.NewSize(m.Width, rows*m.Height+max(rows-1, 0)*l.gap)
}

func (l *flowLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	l.width = s.Width
	cols := l.columns(o)
	w := (s.Width - l.gap*float32(cols-1)) / float32(cols)
	h := l.cell(o).Height
	i := 0
	for _, x := range o {
		if !x.Visible() {
			continue
		}
		x.Resize(fyne.NewSize(w, h))
		x.Move(fyne.NewPos(float32(i%cols)*(w+l.gap), float32(i/cols)*(h+l.gap)))
		i++
	}
}

// pages lays two columns side by side where there is room for both, else one
// below the other.
func pages(gap, least float32, left, right fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &pagesLayout{gap: gap, least: least}, Objects: []fyne.CanvasObject{left, right}}
}

type pagesLayout struct{ gap, least, width float32 }

func (l *pagesLayout) split() bool { return l.width >= 2*l.least*look.Zoom()+l.gap }

func (l *pagesLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	a, b := o[0].MinSize(), o[1].MinSize()
	if l.split() {
		return fyne.NewSize(min(a.Width, b.Width), max(a.Height, b.Height))
	}
	return fyne.NewSize(max(a.Width, b.Width), a.Height+l.gap+b.Height)
}

func (l *pagesLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	l.width = s.Width
	w := s.Width
	if l.split() {
		w = (s.Width - l.gap) / 2
	}
	for _, x := range o {
		for range 2 {
			x.Resize(fyne.NewSize(w, x.MinSize().Height))
		}
	}
	o[0].Move(fyne.NewPos(0, 0))
	if l.split() {
		o[1].Move(fyne.NewPos(w+l.gap, 0))
	} else {
		o[1].Move(fyne.NewPos(0, o[0].Size().Height+l.gap))
	}
}

// beside lays the second object beside the first, centred in height, or below it
// where there is no room.
func beside(gap float32, first, second fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &besideLayout{gap: gap}, Objects: []fyne.CanvasObject{first, second}}
}

type besideLayout struct{ gap, width float32 }

func (l *besideLayout) fits(o []fyne.CanvasObject) bool {
	return l.width <= 0 || o[0].MinSize().Width+l.gap+o[1].MinSize().Width <= l.width
}

func (l *besideLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	a, b := o[0].MinSize(), o[1].MinSize()
	if l.fits(o) {
		return fyne.NewSize(max(a.Width, b.Width), max(a.Height, b.Height))
	}
	return fyne.NewSize(max(a.Width, b.Width), a.Height+l.gap+b.Height)
}

func (l *besideLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	l.width = s.Width
	a := o[0].MinSize()
	if !l.fits(o) {
		place(o[0], (s.Width-a.Width)/2, 0, a.Width, a.Height)
		place(o[1], 0, a.Height+l.gap, s.Width, o[1].MinSize().Height)
		return
	}
	x := a.Width + l.gap
	for range 2 { // wrapped text knows its height only once it knows its width
		o[1].Resize(fyne.NewSize(s.Width-x, o[1].MinSize().Height))
	}
	h := o[1].MinSize().Height
	high := max(a.Height, h)
	place(o[0], 0, (high-a.Height)/2, a.Width, a.Height)
	place(o[1], x, (high-h)/2, s.Width-x, h)
}

// wide gives an object a least width that grows with the text.
func wide(o fyne.CanvasObject, least float32) *fyne.Container {
	return &fyne.Container{Layout: wideLayout{least}, Objects: []fyne.CanvasObject{o}}
}

type wideLayout struct{ least float32 }

func (l wideLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	return o[0].MinSize().Max(fyne.NewSize(l.least*look.Zoom(), 0))
}

func (wideLayout) Layout(o []fyne.CanvasObject, s fyne.Size) { place(o[0], 0, 0, s.Width, s.Height) }

// line lays objects side by side and breaks into further lines where it must.
func line(gap float32, o ...fyne.CanvasObject) *fyne.Container {
	return &fyne.Container{Layout: &lineLayout{gap: gap}, Objects: o}
}

type lineLayout struct{ gap, width float32 }

func (l *lineLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	var m fyne.Size
	for _, x := range o {
		if x.Visible() {
			m.Width = max(m.Width, x.MinSize().Width)
		}
	}
	m.Height = l.run(o, max(l.width, m.Width), false)
	return m
}

func (l *lineLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	l.width = s.Width
	l.run(o, s.Width, true)
}

// run goes through the lines and returns their height.
func (l *lineLayout) run(o []fyne.CanvasObject, width float32, put bool) float32 {
	var x, y, high float32
	var row []fyne.CanvasObject
	end := func() {
		x := float32(0)
		for _, r := range row {
			m := r.MinSize()
			if put {
				place(r, x, y+(high-m.Height)/2, m.Width, m.Height)
			}
			x += m.Width + l.gap
		}
		row = nil
	}
	for _, obj := range o {
		if !obj.Visible() {
			continue
		}
		m := obj.MinSize()
		if x > 0 && x+m.Width > width {
			end()
			y += high + l.gap
			x, high = 0, 0
		}
		row = append(row, obj)
		x += m.Width + l.gap
		high = max(high, m.Height)
	}
	end()
	return y + high
}

// aside gives the right object a share of the width within limits and the left
// one the rest.
func aside(share, least, most float32, left, right fyne.CanvasObject) *fyne.Container {
	rule := kit.NewGround(kit.Rule, 0, container.NewStack())
	return &fyne.Container{Layout: asideLayout{share, least, most}, Objects: []fyne.CanvasObject{left, rule, right}}
}

type asideLayout struct{ share, least, most float32 }

func (l asideLayout) MinSize(o []fyne.CanvasObject) fyne.Size { return fyne.NewSize(700, 400) }

func (l asideLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	z := look.Zoom()
	w := min(max(s.Width*l.share, l.least*z), l.most*z, s.Width*0.56)
	place(o[0], 0, 0, s.Width-w-1, s.Height)
	place(o[1], s.Width-w-1, 0, 1, s.Height)
	place(o[2], s.Width-w, 0, w, s.Height)
}

func place(o fyne.CanvasObject, x, y, w, h float32) {
	o.Move(fyne.NewPos(x, y))
	o.Resize(fyne.NewSize(w, h))
}

// choice is something to choose among others: it shows an ink frame when chosen.
func choice(words string, tap func()) *kit.Tap {
	t := kit.NewTap(kit.Tall(container.NewCenter(kit.NewLine(words, 0.92, kit.Ink)), 0, touch-16), tap)
	t.Edge, t.BarSide = kit.Rule, kit.NoBar
	return t
}

// strong makes wrapped text bold.
func strong(p *kit.Prose) *kit.Prose {
	p.Style.Bold = true
	return p
}

// railed lays a rail behind a slider: the toolkit's own can hardly be seen on
// paper.
func railed(s *kit.Slider) fyne.CanvasObject {
	rail := kit.NewGround(kit.Rule, 0, container.NewStack())
	return kit.Tall(&fyne.Container{Layout: railLayout{}, Objects: []fyne.CanvasObject{rail, s}}, 0, touch-4)
}

type railLayout struct{}

func (railLayout) MinSize(o []fyne.CanvasObject) fyne.Size { return o[1].MinSize() }

func (railLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	in := look.Text() // the knob's way ends about here
	place(o[0], in, s.Height/2-1.5, max(s.Width-2*in, 0), 3)
	place(o[1], 0, 0, s.Width, s.Height)
}
