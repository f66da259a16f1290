package planner

import (
	"image"

	"evenrim/model/chart"
	"evenrim/model/plan/words"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/planner/draft"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// answerView shows a plan, or what has to be mended first.
type answerView struct {
	p        *Page
	sign     *kit.Sign
	headline *kit.Prose
	top      *fyne.Container // sign and headline
	figure   *kit.Figure
	about    *kit.Prose
	lines    *fyne.Container
	drawings *fyne.Container
	tables   *fyne.Container
	notes    *fyne.Container
	all      *fyne.Container
	content  *container.Scroll
	kept     []*kit.Drawing // reused, so that a change does not flicker
	shown    bool
}

func newAnswerView(p *Page) *answerView {
	a := &answerView{p: p, sign: kit.NewSign(look.IconWaiting, 2.6)}
	a.headline = strong(kit.NewProse("", 1.7, kit.Ink))
	a.figure = kit.NewFigure("", 0.9, 3.4)
	a.about = kit.NewProse("", 1.1, kit.Ink)
	a.lines, a.tables, a.notes = kit.Column(8), kit.Column(16), kit.Column(7)
	a.drawings = &fyne.Container{Layout: &sheetLayout{}}
	a.top = container.NewBorder(nil, nil, container.NewVBox(a.sign), nil, a.headline)
	a.all = kit.Column(12, a.top, a.figure, a.about, a.lines, a.drawings, a.tables, a.notes)
	a.content = container.NewVScroll(kit.NewGround(kit.Raised, 18, a.all))
	return a
}

func gradeLook(g words.Grade) (look.Icon, kit.Tint) {
	switch g {
	case words.Good:
		return look.IconConforms, kit.Good
	case words.Bad:
		return look.IconNot, kit.Bad
	case words.Doubt:
		return look.IconUndecided, kit.Doubt
	}
	return look.IconWaiting, kit.Ink
}

// clear empties the answer at a change of section.
func (a *answerView) clear() {
	a.shown = false
	a.headline.Tint = kit.Ink
	a.sign.Set(look.IconWaiting)
	a.headline.Set("Working it out")
	a.rest(false)
	a.content.ScrollToTop()
}

// problem stands instead of an answer: what is wrong is beside its field, too.
func (a *answerView) problem(err error) {
	a.shown = false
	a.sign.Set(look.IconCard)
	a.headline.Tint = kit.Ink
	a.headline.Set("Something to mend first")
	a.rest(false)
	a.about.Set(err.Error())
	a.about.Show()
	a.refresh()
}

func (a *answerView) rest(on bool) {
	for _, o := range []fyne.CanvasObject{a.figure, a.about, a.lines, a.drawings, a.tables, a.notes} {
		if on {
			o.Show()
		} else {
			o.Hide()
		}
	}
}

func (a *answerView) refresh() {
	a.headline.Refresh()
	a.all.Refresh()
	a.content.Refresh()
}

func (a *answerView) show(p draft.Plan) {
	q := p.Answer
	icon, tint := gradeLook(q.Grade)
	a.rest(true)
	a.shown = true
	a.sign.Set(icon)
	a.headline.Tint = tint
	a.headline.Set(q.Headline)
	if q.Figure == "" {
		a.figure.Hide()
	}
	a.figure.Set(q.Figure, q.Unit, "")
	a.about.Set(q.About)
	a.lines.Objects = nil
	for _, l := range q.Lines {
		a.lines.Objects = append(a.lines.Objects, kit.NewProse(l, 1, kit.Ink))
	}
	for _, l := range q.Warnings {
		a.lines.Objects = append(a.lines.Objects, noted(look.IconWarn, l, 0.95, kit.Ink))
	}
	// Where a machine is told to move, the cautions come before anything else.
	a.all.Objects = []fyne.CanvasObject{a.top, a.figure, a.about, a.lines, a.drawings, a.tables, a.notes}
	if q.Moves {
		a.all.Objects = []fyne.CanvasObject{a.top, a.figure, a.about, a.lines, a.notes, a.drawings, a.tables}
	}
	a.draw(p)
	a.tables.Objects = nil
	for _, t := range q.Tables {
		a.tables.Objects = append(a.tables.Objects, newTable(t))
	}
	a.notes.Objects = nil
	if len(q.Cautions) > 0 && !q.Moves {
		a.notes.Objects = append(a.notes.Objects, widget.NewSeparator())
	}
	for _, l := range q.Cautions {
		a.notes.Objects = append(a.notes.Objects, noted(look.IconWarn, l, 0.95, kit.Ink))
	}
	a.refresh()
}

// noted is a sentence with its sign.
func noted(icon look.Icon, words string, times float32, tint kit.Tint) fyne.CanvasObject {
	return container.NewBorder(nil, nil, container.NewVBox(kit.NewSign(icon, 1.35)), nil, kit.NewProse(words, times, tint))
}

// draw paints the plan's pictures into drawings that stay where they are.
func (a *answerView) draw(p draft.Plan) {
	pictures := p.Pictures(chart.Light())
	var shapes []float32
	a.drawings.Objects = nil
	for i, q := range pictures {
		if i == len(a.kept) {
			a.kept = append(a.kept, kit.NewDrawing(a.p.crew, fyne.NewSize(220, 150)))
		}
		a.kept[i].Paint(func(w, h int, k float64, l look.Palette) *image.RGBA {
			return chart.Render(p.Pictures(l.Style)[i].Figure, w, h, 96*k)
		})
		a.drawings.Objects = append(a.drawings.Objects, kit.NewProse(q.Title, 0.88, kit.Soft), a.kept[i])
		shapes = append(shapes, float32(q.Wide))
	}
	a.drawings.Layout = &sheetLayout{shapes: shapes}
}

// sheetLayout lays drawings with their titles side by side where there is room.
type sheetLayout struct {
	shapes []float32 // width over height
	width  float32
}

// least width of a drawing that stands beside another.
const leastBeside = 300

func (l *sheetLayout) columns(width float32) int {
	if n := len(l.shapes); n > 1 && width >= float32(n)*leastBeside*look.Zoom() {
		return n
	}
	return 1
}

func (l *sheetLayout) walk(o []fyne.CanvasObject, width float32) (height float32) {
	n := l.columns(width)
	const gap = 16
	w := (width - float32(n-1)*gap) / float32(n)
	row := float32(0)
	for i := 0; i+1 < len(o); i += 2 {
		col := (i / 2) % n
		if col == 0 {
			height += row
			row = 0
		}
		title, d := o[i], o[i+1]
		title.Resize(fyne.NewSize(w, title.Size().Height))
		th := title.MinSize().Height
		title.Resize(fyne.NewSize(w, th))
		h := min(w/l.shapes[i/2], 420)
		title.Move(fyne.NewPos(float32(col)*(w+gap), height))
		d.Move(fyne.NewPos(float32(col)*(w+gap), height+th+4))
		d.Resize(fyne.NewSize(w, h))
		row = max(row, th+4+h+8)
	}
	return height + row
}

func (l *sheetLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	l.width = s.Width
	l.walk(o, s.Width)
}

func (l *sheetLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	if len(o) == 0 {
		return fyne.NewSize(0, 0)
	}
	w := l.width
	if w <= 0 {
		w = leastBeside
	}
	return fyne.NewSize(200, l.walk(o, w))
}

func strong(p *kit.Prose) *kit.Prose {
	p.Style.Bold = true
	return p
}
