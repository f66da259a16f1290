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

// compare has the target map of the picked batches and, of each pair, whether the
// change helped and by how much.
type compare struct {
	p       *Page
	ask     *askFor
	target  *kit.Drawing
	words   *fyne.Container
	leaf    fyne.CanvasObject
	content fyne.CanvasObject
	shown   *ledger.Loaded
	units   chart.Unit
}

func newCompare(p *Page) *compare {
	c := &compare{p: p, ask: newAskFor(), target: kit.NewDrawing(p.crew, fyne.NewSize(280, 280)), words: kit.Column(7)}
	c.leaf = &fyne.Container{Layout: mapAndWords{}, Objects: []fyne.CanvasObject{
		kit.NewGround(kit.Paper, 8, c.target),
		kit.NewGround(kit.Raised, 0, container.NewVScroll(kit.NewGround(kit.Raised, 16, c.words)))}}
	c.content = container.NewStack(c.ask.box, c.leaf)
	return c
}

// mapAndWords stand side by side; the map takes what is more than the words need.
type mapAndWords struct{}

func (mapAndWords) Layout(o []fyne.CanvasObject, s fyne.Size) {
	words := min(max(s.Width*0.42, 300*look.Zoom()), s.Width*0.55)
	o[0].Resize(fyne.NewSize(s.Width-words, s.Height))
	o[0].Move(fyne.NewPos(0, 0))
	o[1].Resize(fyne.NewSize(words, s.Height))
	o[1].Move(fyne.NewPos(s.Width-words, 0))
}

func (mapAndWords) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(520, 280) }

func (c *compare) object() fyne.CanvasObject { return c.content }

func (c *compare) refresh() {
	words := c.p.wanted(1, "to see where its parts lie; tap a second to compare them")
	c.ask.either(words, c.leaf)
	l, u := c.p.state.Loaded, c.p.state.Units
	if words != "" || l == c.shown && u == c.units {
		return
	}
	c.shown, c.units = l, u
	c.target.Paint(painter(func(s chart.Style) chart.Figure {
		return chart.BatchMap(l.Batches, chart.MapOptions{Style: s, Unit: u})
	}))
	c.words.Objects = nil
	for i := len(l.Compares) - 1; i >= 0; i-- {
		c.pair(l.Compares[i], u)
	}
	for i, a := range l.Answers {
		c.words.Add(kit.Row(8, 1, kit.NewLine(ledger.Glyph(i), 1.2, marks[i%len(marks)]), heading(capital(report.BatchName(a.Batch.Name)))))
		c.words.Add(kit.NewProse(a.Figures(u), 1.1, kit.Ink))
		lines(c.words, kit.Soft, 0.95, a.Where(u))
	}
	lines(c.words, kit.Soft, 0.85, "An ellipse holds the next part with 95 % probability, if parts scatter normally; a cross is a batch's mean, the blue one setup 1.")
	lines(c.words, kit.Doubt, 0.9, l.Notes...)
	c.words.Refresh()
}

// pair says of two batches whether the change helped.
func (c *compare) pair(a report.CompareAnswer, u chart.Unit) {
	tint := kit.Tint(kit.Ink)
	c.words.Add(kit.NewProse(capital(report.BatchName(a.B.Name))+" after "+report.BatchName(a.A.Name), 0.9, kit.Soft))
	head := kit.NewProse(a.Headline(), 1.3, tint)
	head.Style.Bold = true
	c.words.Add(head)
	lines(c.words, kit.Ink, 1, a.Words(u)...)
	lines(c.words, kit.Doubt, 0.95, a.Doubts()...)
	c.words.Add(kit.Tall(kit.NewLine("", 0.5, kit.Soft), 0, 4))
}
