package bench

import (
	"strings"

	"evenrim/model"
	"evenrim/model/drawing"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// about makes a number something to press: it then says where it comes from.
func (s *sheet) about(topic state.Topic, o fyne.CanvasObject) *kit.Tap {
	t := kit.NewTap(o, func() { s.p.Explain(topic) })
	t.Pad, t.BarSide = 0, kit.NoBar
	return t
}

// Explain says where a number of the result comes from.
func (p *Page) Explain(topic state.Topic) {
	r, set := p.sheet.inView()
	if r == nil {
		return
	}
	p.showExplanation(state.WhereFrom(r, set, topic, p.state.Units))
}

// ExplainField says what a field of the job card means.
func (p *Page) ExplainField(f state.Field) { p.showExplanation(state.FieldHelp(f)) }

// showExplanation lays a sheet of explanation over the page.
func (p *Page) showExplanation(e state.Explanation) {
	if e.Title == "" {
		return
	}
	body := kit.Column(12)
	if e.Drawing != "" {
		body.Add(container.NewCenter(p.explaining(e.Drawing, 400)))
	}
	for _, w := range e.Words {
		body.Add(kit.NewProse(w, 1, kit.Ink))
	}
	if len(e.Formula) > 0 {
		lines := kit.Column(6)
		for _, f := range e.Formula {
			l := kit.NewProse(f, 1.1, kit.Ink)
			l.Style.Bold = true
			lines.Add(l)
		}
		body.Add(kit.NewGround(kit.Margin, 10, lines))
	}
	if len(e.Rows) > 0 {
		body.Add(table(e.Head, e.Rows))
	}
	p.dialog(e.Title, body)
}

func (p *Page) dialog(title string, body fyne.CanvasObject) {
	s := kit.Read(p.win, title, kit.NewGround(kit.Raised, 14, body), 860*look.Zoom())
	p.shut = s.Hide
	s.OnClosed(func() { p.shut = nil })
}

// explaining is one of our drawings at a width.
func (p *Page) explaining(name string, width float32) fyne.CanvasObject {
	d := kit.NewDrawing(p.crew, fyne.NewSize(width, width/float32(drawing.Aspect)))
	d.Paint(drawingPainter(name))
	return d
}

// table is a table of words: as wide as their words are, and never narrower than the
// longest word of a column.
func table(head []string, rows [][]string) fyne.CanvasObject {
	out := kit.Column(5)
	columns := &tableRow{}
	add := func(cells []string, tint kit.Tint) {
		line := &fyne.Container{Layout: columns}
		for i, c := range cells {
			l := kit.NewProse(c, 0.9, tint)
			columns.reckon(i, l)
			line.Add(l)
		}
		out.Add(line)
	}
	add(head, kit.Soft)
	for _, r := range rows {
		add(r, kit.Ink)
	}
	return out
}

// tableRow lays the cells of a table's rows below each other.
type tableRow struct{ least, whole []float32 } // widths of each column's longest word and longest line

const tableGap = 10

// reckon takes a cell of a column into account.
func (t *tableRow) reckon(column int, cell *kit.Prose) {
	for len(t.least) <= column {
		t.least, t.whole = append(t.least, 0), append(t.whole, 0)
	}
	for _, word := range strings.Fields(cell.Text) {
		t.least[column] = max(t.least[column], cell.Measure(word).Width+1)
	}
	t.whole[column] = max(t.whole[column], cell.Measure(cell.Text).Width+1)
}

// widths gives each column its longest word, then shares out the rest by what their
// lines lack.
func (t *tableRow) widths(width float32) []float32 {
	spare, lack := width-tableGap*float32(len(t.least)-1), float32(0)
	for i, w := range t.least {
		spare -= w
		lack += t.whole[i] - w
	}
	out := make([]float32, len(t.least))
	for i, w := range t.least {
		share := 1 / float32(len(out))
		if lack > 0 {
			share = (t.whole[i] - w) / lack
		}
		out[i] = max(w+spare*share, 1)
	}
	return out
}

func (t *tableRow) Layout(o []fyne.CanvasObject, s fyne.Size) {
	x := float32(0)
	for i, w := range t.widths(s.Width)[:len(o)] {
		o[i].Move(fyne.NewPos(x, 0))
		o[i].Resize(fyne.NewSize(w, s.Height))
		x += w + tableGap
	}
}

func (t *tableRow) MinSize(o []fyne.CanvasObject) (m fyne.Size) {
	for _, c := range o {
		m.Height = max(m.Height, c.MinSize().Height)
	}
	return fyne.NewSize(float32(len(o))*40, m.Height)
}

// ShowGlossary lists the words of the trade with our drawings.
func (p *Page) ShowGlossary() {
	body := kit.Column(16)
	for _, t := range state.Glossary {
		words := kit.Column(2, kit.NewProse(t.Word, 1.1, kit.Ink).Bold(), kit.NewProse(t.Meaning, 1, kit.Ink))
		if t.Drawing == "" {
			body.Add(words)
			continue
		}
		body.Add(kit.Row(14, 1, p.explaining(t.Drawing, 210), words))
	}
	p.dialog("Words", body)
}

// ShowKeys lists every key: those of the bench, of the menus and of the other pages.
func (p *Page) ShowKeys(menu [][2]string) {
	body := kit.Column(6)
	add := func(title string, keys [][2]string) {
		var rows [][]string
		for _, k := range keys {
			rows = append(rows, []string{k[1], k[0]})
		}
		body.Add(kit.NewProse(title, 1.1, kit.Ink).Bold())
		body.Add(table([]string{"What", "Key"}, rows))
	}
	add("Bench", state.Keys)
	add("Everywhere, as in the menus", menu)
	for _, l := range state.PageKeys {
		add(l.Page, l.Keys)
	}
	p.dialog("Keys", body)
}

// PickFlip lets the flip axis be picked on drawings of the part being turned over.
func (p *Page) PickFlip() {
	body := kit.Column(14)
	for _, c := range []struct {
		flip    model.FlipAxis
		drawing string
	}{{model.FlipAboutY, "flip-about-y"}, {model.FlipAboutX, "flip-about-x"}} {
		d, _ := drawing.Get(c.drawing)
		t := kit.NewTap(kit.Row(14, 1, p.explaining(c.drawing, 380), kit.Column(4, kit.NewProse(d.Title, 1.15, kit.Ink), kit.NewProse(d.Caption, 1, kit.Soft))), func() {
			p.card.edit(state.FlipField, string(c.flip))
			if p.shut != nil {
				p.shut()
			}
		})
		t.Fill, t.Edge, t.BarSide = kit.Raised, kit.Rule, kit.NoBar
		card, _ := p.state.Form.Card()
		t.Select(card.Flip == c.flip)
		body.Add(t)
	}
	p.dialog("How was the part turned over?", body)
}
