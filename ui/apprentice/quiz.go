package apprentice

import (
	"image"

	"evenrim/model"
	"evenrim/model/drawing"
	"evenrim/model/practice"
	"evenrim/ui/apprentice/study"
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// quizView is a photo with the four questions beside it, and once they are
// answered the rims, the strip and what they say.
type quizView struct {
	p      *Page
	quiz   *study.Quiz // nil = no photo yet
	photo  *image.RGBA
	read   *model.Reading // laid over the photo once revealed
	kept   bool
	onNext func()
	onDone func(practice.Done)

	pic      *kit.Drawing
	head     *kit.Prose
	job      *kit.Prose
	clock    *clockFace
	even     *kit.Tap
	where    *kit.Prose
	slider   *kit.Slider
	size     *kit.Line
	share    *kit.Line
	verdicts map[model.Verdict]*kit.Tap
	causes   map[practice.Cause]*kit.Tap
	missing  *kit.Prose
	reveal   *kit.Button
	next     *kit.Button
	// The two buttons' places, to show and hide.
	revealBox, nextBox *fyne.Container
	score              *kit.Line
	marks              *fyne.Container
	asks               *fyne.Container // the questions
	tells              *fyne.Container // the answers
	sheet              *fyne.Container
	scroll             *container.Scroll
	right              *fyne.Container
	setting            bool
	box                fyne.CanvasObject
}

// newQuizView builds the view. above stands over the photo, tools at the end of the
// sheet; either may be nil.
func newQuizView(p *Page, above, tools fyne.CanvasObject, nextWords string) *quizView {
	v := &quizView{p: p, verdicts: map[model.Verdict]*kit.Tap{}, causes: map[practice.Cause]*kit.Tap{}}
	v.pic = kit.NewDrawing(p.crew, fyne.NewSize(300, 240))
	v.head = kit.NewProse("", 1.2, kit.Ink).Bold()
	v.job = kit.NewProse("", 0.95, kit.Soft)
	v.asks = v.questions()
	v.score = kit.NewLine("", 1.9, kit.Ink).Bold()
	v.marks = kit.Column(10)
	v.tells = kit.Column(12, v.score, v.marks)
	v.missing = kit.NewProse("", 0.95, kit.Soft)
	v.reveal = kit.NewButton("Show what is so", v.doReveal)
	v.reveal.Importance = widget.HighImportance
	v.next = kit.NewButton(nextWords, func() {
		if v.onNext != nil {
			v.onNext()
		}
	})
	v.next.Importance = widget.HighImportance
	column := kit.Column(12, v.head, v.job, v.asks, v.tells)
	if tools != nil {
		column.Add(tools)
	}
	v.sheet, v.scroll = paper(kit.NewGround(kit.Paper, 14, column))
	v.revealBox, v.nextBox = kit.Tall(v.reveal, 0, touch), kit.Tall(v.next, 0, touch)
	foot := kit.NewGround(kit.Paper, 10, kit.Column(6, v.missing, v.revealBox, v.nextBox))
	v.right = container.NewBorder(nil, foot, nil, nil, v.sheet)
	left := container.NewBorder(above, nil, nil, nil, v.pic)
	v.repaint()
	v.box = aside(0.36, 330, 520, left, v.right)
	return v
}

func (v *quizView) questions() *fyne.Container {
	v.clock = newClockFace(func(rad float64) { v.say(func(q *study.Quiz) { q.SetWhere(rad) }) })
	v.where = strong(kit.NewProse("", 1.05, kit.Ink))
	v.even = choice("Even all round", func() { v.say((*study.Quiz).SetEven) })
	v.slider = kit.NewSlider(0, 1)
	v.slider.Step = 0.005
	v.slider.OnChanged = func(x float64) {
		if !v.setting {
			v.say(func(q *study.Quiz) { q.SetSlider(x) })
		}
	}
	v.size = kit.NewLine("", 1.05, kit.Ink).Bold()
	v.share = kit.NewLine("", 0.95, kit.Soft).Cut()
	verdicts := flow(6)
	for _, x := range study.Verdicts {
		v.verdicts[x] = choice(study.VerdictWords(x), func() { v.say(func(q *study.Quiz) { q.SetVerdict(x) }) })
		verdicts.Add(v.verdicts[x])
	}
	causes := flow(6)
	for _, x := range practice.Causes {
		v.causes[x] = choice(x.Words(), func() { v.say(func(q *study.Quiz) { q.SetCause(x) }) })
		causes.Add(v.causes[x])
	}
	ask := func(n, words string) fyne.CanvasObject {
		return kit.Row(8, 1, kit.NewLine(n, 1.05, kit.Setup1).Bold(), kit.NewProse(words, 1.05, kit.Ink))
	}
	return kit.Column(8,
		ask("1", "Where is it wide?"), beside(12, v.clock, kit.Column(10, v.where, v.even)),
		ask("2", "How far is setup 2 off?"), railed(v.slider), kit.Row(8, 1, v.size, v.share),
		ask("3", "Does it conform?"), verdicts,
		ask("4", "What do you see?"), causes,
	)
}

// say takes an answer.
func (v *quizView) say(f func(*study.Quiz)) {
	if v.quiz == nil {
		return
	}
	f(v.quiz)
	v.refresh()
}

// set begins a quiz on a photo; reading, if not nil, is laid over it once revealed.
func (v *quizView) set(q *study.Quiz, photo *image.RGBA, r *model.Reading) {
	v.quiz, v.photo, v.read, v.kept = q, photo, r, false
	v.repaint()
	v.refresh()
	v.scroll.ScrollToTop()
}

// wait clears the photo and the questions until the next one is there: nothing of
// the last one may stand beside the new questions.
func (v *quizView) wait() {
	v.quiz, v.photo, v.read = nil, nil, nil
	v.pic.Paint(nil)
	v.refresh()
}

// doReveal lays the rims over the photo and marks the answer.
func (v *quizView) doReveal() {
	if v.quiz == nil || !v.quiz.Reveal() {
		return
	}
	if v.onDone != nil {
		v.onDone(v.quiz.Done())
	}
	v.repaint()
	v.refresh()
	v.scroll.ScrollToTop()
}

func (v *quizView) repaint() {
	switch {
	case v.photo == nil:
		if d, ok := drawing.Get("wide"); ok {
			v.pic.Paint(drawingPainter(d))
		}
	case v.quiz != nil && v.quiz.Mark != nil:
		v.pic.Paint(photoPainter(v.photo, v.read, v.p.units))
	default: // never the rims before the answer
		v.pic.Paint(photoPainter(v.photo, nil, v.p.units))
	}
}

func (v *quizView) refresh() {
	q := v.quiz
	if q == nil {
		v.head.Hide()
		v.job.Hide()
		v.asks.Hide()
		v.tells.Hide()
		v.revealBox.Hide()
		v.nextBox.Hide()
		v.missing.Set("")
		v.relayout()
		return
	}
	if q.Units != v.p.units {
		q.Units = v.p.units
		if q.Mark != nil {
			m := practice.MarkOf(*q.Key, q.Answer, q.Units)
			q.Mark = &m
			v.repaint()
		}
	}
	v.head.Set(q.Head())
	v.job.Set(q.JobWords())
	v.head.Show()
	v.job.Show()
	v.clock.show(q.Said(practice.Where) && !q.Answer.Even, q.Answer.WideRad, nil, false)
	v.where.Set(q.WhereWords())
	v.even.Select(q.Said(practice.Where) && q.Answer.Even)
	v.setting = true
	v.slider.SetValue(q.Slider())
	v.setting = false
	length, share := q.SizeWords()
	v.size.Set(length)
	v.share.Set(share)
	for x, t := range v.verdicts {
		t.Select(q.Said(practice.Judged) && q.Answer.Verdict == x)
	}
	for x, t := range v.causes {
		t.Select(q.Said(practice.Why) && q.Answer.Cause == x)
	}
	if q.Mark == nil {
		v.asks.Show()
		v.tells.Hide()
		v.revealBox.Show()
		v.nextBox.Hide()
		v.foot()
	} else {
		v.asks.Hide()
		v.fillMarks()
		v.tells.Show()
		v.revealBox.Hide()
		v.nextBox.Show()
		v.missing.Set("")
	}
	v.relayout()
}

// foot says what is missing, or why there can be no answer.
func (v *quizView) foot() {
	q := v.quiz
	words := q.Missing()
	switch {
	case words != "":
	case q.Refused != "":
		words = "The program gives no reading of this photo, so there is nothing to compare with. " + q.Refused
	case q.Key == nil:
		words = "Your answer is complete. The program is still reading the photo."
	}
	v.missing.Set(words)
	if q.CanReveal() {
		v.reveal.Enable()
	} else {
		v.reveal.Disable()
	}
}

func (v *quizView) fillMarks() {
	q := v.quiz
	v.score.Set(study.ScoreWords(q.Mark.Score))
	v.marks.Objects = nil
	if q.Key.Cause == practice.Apart || (q.Own != "" && !q.Key.Even) {
		truth := q.Key.ScreenRad
		c := newClockFace(nil)
		c.show(!q.Answer.Even, q.Answer.WideRad, &truth, true)
		v.marks.Add(kit.Column(2, container.NewCenter(c), kit.NewLine("thin: you · thick: what is so", 0.85, kit.Soft).Centred()))
	}
	for _, m := range q.Mark.Parts {
		icon := []look.Icon{look.IconNot, look.IconUndecided, look.IconConforms}[study.Grade(m.Score)]
		v.marks.Add(kit.Row(10, 1, kit.NewSign(icon, 1.6),
			kit.Column(1, kit.NewLine(study.PartWords(m.Part), 0.85, kit.Soft), kit.NewProse(m.Words, 1, kit.Ink))))
	}
	for _, n := range q.Notes() {
		v.marks.Add(kit.NewProse(n, 0.95, kit.Soft))
	}
	if v.read != nil && q.Own == "" {
		v.marks.Add(kit.NewProse(v.overlayWords(), 0.95, kit.Soft))
	}
}

// overlayWords say where the lines over a drawn photo come from.
func (v *quizView) overlayWords() string {
	if v.quiz.Refused != "" {
		return "The lines are the rims as drawn: the program itself gives no reading here. " + v.quiz.Refused
	}
	return study.ReadWords(v.read, v.quiz.Key.Even, v.p.units)
}

func (v *quizView) relayout() {
	v.right.Refresh() // its foot may be higher or lower now
	v.sheet.Refresh()
	v.sheet.Layout.Layout(v.sheet.Objects, v.sheet.Size())
}
