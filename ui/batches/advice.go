package batches

import (
	"slices"

	"evenrim/model/chart"
	"evenrim/model/report"
	"evenrim/ui/batches/ledger"
	"evenrim/ui/kit"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// advice says what to move after each picked batch, how the batch keeps to its
// tolerance, and shows why not to correct by the last part.
type advice struct {
	p       *Page
	ask     *askFor
	words   *fyne.Container
	funnel  *fyne.Container
	runs    [2][]*kit.Drawing
	about   [2]*fyne.Container
	leaf    *container.Scroll
	content fyne.CanvasObject
	shown   *ledger.Loaded
	units   chart.Unit
}

func newAdvice(p *Page) *advice {
	a := &advice{p: p, ask: newAskFor(), words: kit.Column(6), funnel: kit.Column(8)}
	a.funnel.Add(heading("Why not to correct by the last part"))
	lines(a.funnel, kit.Soft, 0.95, "A simulation with parts that scatter like these. Each dot is a part's distance from even, the line their "+report.RMSWords+"; all four habits get the same chance.")
	for i := range a.runs {
		a.about[i] = kit.Column(2)
		a.funnel.Add(a.about[i])
		grid := &fyne.Container{Layout: &pairs{}}
		for range 4 {
			d := kit.NewDrawing(p.crew, fyne.NewSize(200, 150))
			a.runs[i] = append(a.runs[i], d)
			grid.Add(d)
		}
		a.funnel.Add(grid)
	}
	a.leaf = container.NewVScroll(kit.NewGround(kit.Paper, 14, kit.Column(16, a.words, a.funnel)))
	a.content = container.NewStack(a.ask.box, a.leaf)
	return a
}

func (a *advice) object() fyne.CanvasObject { return a.content }

func (a *advice) refresh() {
	words := a.p.wanted(1, "to see what to move after it")
	a.ask.either(words, a.leaf)
	l, u := a.p.state.Loaded, a.p.state.Units
	if words != "" || l == a.shown && u == a.units {
		return
	}
	a.shown, a.units = l, u
	a.words.Objects = nil
	for i := len(l.Answers) - 1; i >= 0; i-- { // the last made counts
		a.words.Add(a.batch(i, l.Answers[i], u))
	}
	if slices.ContainsFunc(l.Answers, func(b report.BatchAnswer) bool { return b.Capability != nil }) {
		lines(a.words, kit.Soft, 0.9, report.PpkWords)
	}
	for _, w := range report.Cautions {
		lines(a.words, kit.Soft, 0.9, "– "+w)
	}
	a.words.Refresh()
	if len(l.Funnels) < len(a.runs) {
		a.funnel.Hide()
		return
	}
	a.funnel.Show()
	for i, runs := range a.runs {
		f := l.Funnels[i]
		a.about[i].Objects = nil
		lines(a.about[i], kit.Ink, 0.95, f.Sentences()...)
		for j, d := range runs {
			d.Paint(painter(func(s chart.Style) chart.Figure { return chart.FunnelFigure(f, u, s)[j].Chart }))
		}
	}
	a.leaf.Refresh()
}

// batch is what to do after one batch, on a slip.
func (a *advice) batch(place int, answer report.BatchAnswer, u chart.Unit) fyne.CanvasObject {
	box := kit.Column(6)
	box.Add(kit.Row(8, 1, kit.NewLine(ledger.Glyph(place), 1.2, marks[place%len(marks)]), heading(capital(report.BatchName(answer.Batch.Name)))))
	box.Add(kit.NewProse("Mean "+answer.Figures(u)+", 95 %", 1, kit.Soft))
	if s := answer.Unsteady(); s != "" {
		box.Add(kit.NewProse(s, 1.2, kit.Bad))
	}
	box.Add(kit.NewProse(answer.Advice.Sentence, 1.35, kit.Ink))
	if moves := answer.Moves(u); len(moves) > 0 {
		grid := kit.Flow(6)
		for _, m := range moves {
			wash, tint := kit.Tint(kit.Wash2), kit.Tint(kit.Setup2)
			if m.Setup == 1 {
				wash, tint = kit.Wash1, kit.Setup1
			}
			title := kit.NewProse(m.Title, 0.9, kit.Ink)
			x, y := kit.NewFigure("X", 1.2, 2), kit.NewFigure("Y", 1.2, 2)
			x.Tint, y.Tint = tint, tint
			kit.SetMove(x, y, m.X, m.Y, u.String())
			grid.Add(kit.NewGround(wash, 10, kit.Column(2, title, kit.Flow(8, x, y))))
		}
		box.Add(grid)
	}
	lines(box, kit.Ink, 1, answer.CapabilityWords()...)
	if len(answer.Causes) > 0 {
		box.Add(heading("Likely causes"))
		lines(box, kit.Ink, 0.95, report.CauseWords(answer.Causes)...)
	}
	lines(box, kit.Doubt, 0.95, answer.Doubts()...)
	return kit.NewSlip(box)
}

// gauge is the repeatability study of the picked batches.
type gauge struct {
	p       *Page
	ask     *askFor
	words   *fyne.Container
	leaf    fyne.CanvasObject
	content fyne.CanvasObject
	shown   *ledger.Loaded
	units   chart.Unit
}

func newGauge(p *Page) *gauge {
	g := &gauge{p: p, ask: newAskFor(), words: kit.Column(6)}
	g.leaf = container.NewVScroll(kit.NewGround(kit.Paper, 18, g.words))
	g.content = container.NewStack(g.ask.box, g.leaf)
	return g
}

func (g *gauge) object() fyne.CanvasObject { return g.content }

func (g *gauge) refresh() {
	words := g.p.wanted(1, "whose parts several people read several times")
	g.ask.either(words, g.leaf)
	l, u := g.p.state.Loaded, g.p.state.Units
	if words != "" || l == g.shown && u == g.units {
		return
	}
	g.shown, g.units = l, u
	g.words.Objects = nil
	x, y, ok := l.StudyWords(u)
	g.words.Add(heading("How far readings of the same part agree"))
	lines(g.words, kit.Ink, 1, "Every person reads every part equally often, at least twice, with a new photo each time. Write part and person beside each reading, under Parts, and give all one batch.")
	if !ok {
		lines(g.words, kit.Doubt, 1.1, x...)
	} else {
		for _, axis := range [][]string{x, y} {
			box := kit.Column(4)
			for i, w := range axis {
				times := float32(1)
				if i == 0 {
					times = 1.2
				}
				lines(box, kit.Ink, times, w)
			}
			g.words.Add(kit.NewSlip(box))
		}
		lines(g.words, kit.Soft, 0.9, "By analysis of variance, parts and persons as random effects; intervals by chance draws of the mean squares.")
	}
	g.words.Refresh()
}
