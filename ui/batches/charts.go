package batches

import (
	"evenrim/model/chart"
	"evenrim/model/report"
	"evenrim/ui/batches/ledger"
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// charts are a batch's control charts, with what they call out in words.
type charts struct {
	p        *Page
	ask      *askFor
	tabs     *fyne.Container
	drawings []*kit.Drawing
	words    *fyne.Container
	leaf     *fyne.Container
	content  fyne.CanvasObject
	shown    *ledger.Loaded
	which    int
	units    chart.Unit
}

// order is how the charts are laid: X beside Y, the plane below.
var order = []int{0, 3, 1, 4, 2, 5, 6}

func newCharts(p *Page) *charts {
	c := &charts{p: p, ask: newAskFor(), tabs: kit.Flow(2), words: kit.Column(4)}
	grid := &fyne.Container{Layout: &pairs{}}
	for range order {
		d := kit.NewDrawing(p.crew, fyne.NewSize(200, 150))
		c.drawings = append(c.drawings, d)
		grid.Add(d)
	}
	body := kit.Column(10, kit.NewGround(kit.Raised, 14, c.words), grid)
	c.leaf = container.NewBorder(c.tabs, nil, nil, nil, container.NewVScroll(kit.NewGround(kit.Paper, 10, body)))
	c.content = container.NewStack(c.ask.box, c.leaf)
	return c
}

// pairs lays charts two and two, as high as half their width; one column where
// they would be too small.
type pairs struct{ width float32 }

const pairGap = 10

func (l *pairs) size(width float32) (w, h float32, columns int) {
	columns = 2
	if width < 620*look.Zoom() {
		columns = 1
	}
	w = (width - pairGap*float32(columns-1)) / float32(columns)
	return w, min(max(w*0.42, 170*look.Zoom()), 300*look.Zoom()), columns
}

func (l *pairs) Layout(o []fyne.CanvasObject, s fyne.Size) {
	l.width = s.Width
	w, h, n := l.size(s.Width)
	for i, c := range o {
		c.Resize(fyne.NewSize(w, h))
		c.Move(fyne.NewPos(float32(i%n)*(w+pairGap), float32(i/n)*(h+pairGap)))
	}
}

func (l *pairs) MinSize(o []fyne.CanvasObject) fyne.Size {
	_, h, n := l.size(max(l.width, 200))
	rows := (len(o) + n - 1) / n
	return fyne.NewSize(200, float32(rows)*(h+pairGap))
}

func (c *charts) object() fyne.CanvasObject { return c.content }

func (c *charts) refresh() {
	words := c.p.wanted(1, "to see its run charts")
	c.ask.either(words, c.leaf)
	s := c.p.state
	if words != "" || s.Loaded == c.shown && s.Chart == c.which && s.Units == c.units {
		return
	}
	l, u := s.Loaded, s.Units
	s.Chart = min(s.Chart, len(l.Answers)-1)
	c.shown, c.which, c.units = l, s.Chart, u
	c.tabs.Objects = nil
	if len(l.Answers) > 1 {
		for i, a := range l.Answers {
			t := kit.NewTap(kit.Row(6, -1, kit.NewLine(ledger.Glyph(i), 1, marks[i%len(marks)]), kit.NewLine(a.Batch.Name, 1, kit.Ink)), func() { s.Chart = i; c.p.refresh() })
			t.BarSide, t.Pad = kit.BarTop, 11
			t.Select(i == s.Chart)
			c.tabs.Add(kit.Tall(t, 0, touch))
		}
	}
	c.tabs.Refresh()
	a := l.Answers[s.Chart]
	c.words.Objects = nil
	signals := a.SignalWords()
	c.words.Add(heading(a.StandOut()))
	const most = 12
	for i, w := range signals {
		if i == most {
			lines(c.words, kit.Soft, 0.95, "And more of the same.")
			break
		}
		lines(c.words, kit.Ink, 0.95, w)
	}
	tint := kit.Tint(kit.Soft)
	if a.Assumptions.Doubtful() {
		tint = kit.Doubt
	}
	lines(c.words, tint, 0.95, a.Assumptions.Sentences...)
	if a.Control != nil {
		lines(c.words, kit.Soft, 0.9, report.PlaneWords)
	}
	c.words.Refresh()
	for i, d := range c.drawings {
		if a.Control == nil {
			d.Paint(nil)
			d.Hide()
			continue
		}
		d.Show()
		at := order[i]
		d.Paint(painter(func(st chart.Style) chart.Figure {
			return chart.BatchCharts(a.Batch, *a.Control, u, st)[at].Chart
		}))
	}
	c.leaf.Refresh()
}
