package apprentice

import (
	"fmt"

	"evenrim/model/drawing"
	"evenrim/model/practice"
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// lessons is the list of lessons with the one that is open.
type lessons struct {
	p      *Page
	list   []*kit.Tap
	marks  []*kit.Sign
	at     int
	live   *livePicture // nil when the lesson has none
	sheet  *fyne.Container
	scroll *container.Scroll
	holder *fyne.Container
	box    fyne.CanvasObject
}

func newLessons(p *Page) *lessons {
	l := &lessons{p: p, at: -1}
	column := kit.Column(2)
	for i, s := range p.deps.Lessons {
		mark := kit.NewSign(look.IconWaiting, 1.1)
		t := kit.NewTap(kit.Row(8, 1, kit.Tall(kit.NewLine(fmt.Sprint(i+1), 0.95, kit.Soft), 22, 0),
			kit.NewProse(s.Title, 0.95, kit.Ink), mark), func() { l.turnTo(i) })
		l.list, l.marks = append(l.list, t), append(l.marks, mark)
		column.Add(kit.Tall(t, 0, touch))
	}
	list, _ := paper(kit.NewGround(kit.Paper, 8, column))
	l.holder = container.NewStack()
	l.box = &fyne.Container{Layout: lessonLayout{}, Objects: []fyne.CanvasObject{list, kit.NewGround(kit.Rule, 0, container.NewStack()), l.holder}}
	if len(p.deps.Lessons) > 0 {
		l.open(0)
	}
	return l
}

// lessonLayout: the list on the left, the lesson beside it.
type lessonLayout struct{}

func (lessonLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(700, 400) }

func (lessonLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	w := min(250*look.Zoom(), s.Width*0.32)
	place(o[0], 0, 0, w, s.Height)
	place(o[1], w, 0, 1, s.Height)
	place(o[2], w+1, 0, s.Width-w-1, s.Height)
}

func (l *lessons) content() fyne.CanvasObject { return l.box }
func (l *lessons) show()                      {}

func (l *lessons) typed(r rune) {
	if l.live != nil && (r == 'r' || r == 'R') {
		l.live.swapRims()
	}
}

func (l *lessons) key(k fyne.KeyName) {
	switch k {
	case fyne.KeyDown, fyne.KeyPageDown, fyne.KeyRight:
		l.turnTo(l.at + 1)
	case fyne.KeyUp, fyne.KeyPageUp, fyne.KeyLeft:
		l.turnTo(l.at - 1)
	}
}

// turnTo opens a lesson.
func (l *lessons) turnTo(at int) {
	if at >= 0 && at < len(l.list) && at != l.at {
		l.open(at)
		l.refresh()
	}
}

func (l *lessons) open(at int) {
	l.at = at
	s := l.p.deps.Lessons[at]
	words := kit.Column(12, strong(kit.NewProse(s.Title, 1.55, kit.Ink)))
	for _, t := range s.Paras {
		words.Add(kit.NewProse(t, 1.05, kit.Ink))
	}
	if len(s.Cautions) > 0 {
		box := kit.Column(6)
		for _, c := range s.Cautions {
			box.Add(kit.Row(8, 1, kit.NewSign(look.IconWarn, 1.5), kit.NewProse(c, 1, kit.Ink)))
		}
		words.Add(kit.NewSlip(box))
	}
	if s.Ask != "" {
		words.Add(l.question(s))
	}
	pictures := kit.Column(14)
	l.live = nil
	if s.Live != "" {
		if live, ok := practice.LiveNamed(s.Live); ok && l.p.deps.Studio != nil {
			l.live = newLivePicture(l.p, live)
			pictures.Add(l.live.box)
		}
	}
	for _, name := range s.Drawings {
		if d, ok := drawing.Get(name); ok {
			pic := kit.NewDrawing(l.p.crew, fyne.NewSize(280, 280/drawing.Aspect))
			pic.Paint(drawingPainter(d))
			pictures.Add(kit.NewSlip(kit.Column(6, &fyne.Container{Layout: aspect{drawing.Aspect}, Objects: []fyne.CanvasObject{pic}}, kit.NewProse(d.Caption, 0.9, kit.Soft))))
		}
	}
	foot := kit.Row(8, 1, l.step("Back", -1), kit.NewLine("", 1, kit.Ink), l.step("Next lesson", 1))
	body := kit.Column(16, pages(22, 330, words, pictures), foot)
	l.sheet, l.scroll = paper(kit.NewGround(kit.Paper, 18, body))
	l.holder.Objects = []fyne.CanvasObject{l.sheet}
	l.holder.Refresh()
}

func (l *lessons) step(words string, by int) fyne.CanvasObject {
	b := kit.NewButton(words, func() { l.finish(by) })
	if at := l.at + by; at < 0 || at >= len(l.p.deps.Lessons) {
		if by < 0 {
			b.Hide()
		} else {
			b.SetText("To practice")
		}
	}
	if by > 0 {
		b.Importance = widget.HighImportance
	}
	return kit.Tall(b, 120, touch)
}

// finish counts the lesson as read and goes on.
func (l *lessons) finish(by int) {
	id := l.p.deps.Lessons[l.at].ID
	if by > 0 && !l.p.progress.LessonsRead()[id] {
		l.p.keep(practice.Entry{Lesson: &practice.Read{ID: id}})
	}
	if by > 0 && l.at == len(l.list)-1 {
		l.p.turnTo(1)
		return
	}
	l.turnTo(l.at + by)
}

// question shows the question; its answer comes when asked for.
func (l *lessons) question(s practice.Lesson) fyne.CanvasObject {
	answer := kit.NewProse(s.Answer, 1.02, kit.Ink)
	answer.Hide()
	var place *fyne.Container
	b := kit.NewButton("Show the answer", func() {
		answer.Show()
		place.Hide()
		l.relayout()
	})
	place = kit.Tall(b, 0, touch)
	return kit.NewSlip(kit.Column(8, strong(kit.NewProse(s.Ask, 1.05, kit.Ink)), answer, place))
}

func (l *lessons) relayout() {
	if l.sheet != nil {
		l.sheet.Refresh()
		l.sheet.Layout.Layout(l.sheet.Objects, l.sheet.Size())
	}
}

func (l *lessons) refresh() {
	read := l.p.progress.LessonsRead()
	for i, t := range l.list {
		t.Select(i == l.at)
		if read[l.p.deps.Lessons[i].ID] {
			l.marks[i].Set(look.IconConforms)
			l.marks[i].Show()
		} else {
			l.marks[i].Hide()
		}
	}
	if l.live != nil {
		l.live.refresh()
	}
}

// aspect holds an object to a shape, as wide as there is room.
type aspect struct{ ratio float32 }

func (a aspect) MinSize(o []fyne.CanvasObject) fyne.Size {
	w := max(o[0].Size().Width, o[0].MinSize().Width)
	return fyne.NewSize(o[0].MinSize().Width, w/a.ratio)
}

func (a aspect) Layout(o []fyne.CanvasObject, s fyne.Size) {
	place(o[0], 0, 0, s.Width, s.Width/a.ratio)
}
