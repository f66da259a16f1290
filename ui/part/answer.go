package part

import (
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/part/worksheet"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
)

// answer is the right-hand side: where setup 2 landed, what to do, why.
type answer struct {
	p       *Page
	sign    *kit.Sign
	head    *kit.Prose
	chance  *kit.Prose
	figures [4]*number
	rest    *fyne.Container
	vise    *kit.Drawing
	paper   *paper
	content fyne.CanvasObject
}

// strong makes wrapped text bold.
func strong(p *kit.Prose) *kit.Prose {
	p.Style.Bold = true
	return p
}

// number is a figure with its uncertainty that says where it comes from when
// tapped.
type number struct {
	tap    *kit.Tap
	figure *kit.Figure
	pm     *kit.Line
}

func newAnswer(p *Page) *answer {
	a := &answer{p: p, sign: kit.NewSign(look.IconPart, 2.9), head: strong(kit.NewProse("", 1.6, kit.Ink)), chance: kit.NewProse("", 0.9, kit.Soft), rest: kit.Column(10)}
	a.vise = kit.NewDrawing(p.crew, fyne.NewSize(240, 120))
	grid := kit.Column(2)
	for i, n := range []struct {
		letter string
		topic  worksheet.Topic
	}{{"X", worksheet.WhyX}, {"Y", worksheet.WhyY}, {"turn", worksheet.WhyTurn}, {"size", worksheet.WhySize}} {
		f := &number{figure: kit.NewFigure(n.letter, 1.7, 3), pm: kit.NewLine("", 1.05, kit.Ink)}
		f.figure.Tint = kit.Setup2
		f.tap = kit.NewTap(&fyne.Container{Layout: &beside{}, Objects: []fyne.CanvasObject{f.figure, f.pm}}, func() { a.why(n.topic) })
		f.tap.Pad = 4
		a.figures[i] = f
		grid.Add(f.tap)
	}
	top := kit.NewTap(kit.Row(12, 1, a.sign, kit.Column(2, a.head, a.chance)), func() { a.why(worksheet.WhyChance) })
	top.Pad = 4
	a.paper = newPaper(kit.NewGround(kit.Raised, 14, kit.Column(10, top, grid, a.rest)))
	a.content = kit.NewGround(kit.Raised, 0, a.paper.box)
	return a
}

// why says where a number comes from.
func (a *answer) why(t worksheet.Topic) {
	if a.p.state.Report == nil {
		return
	}
	title, lines := a.p.state.Why(t)
	column := kit.Column(9)
	for _, l := range lines {
		column.Add(kit.NewProse(l, 1, kit.Ink))
	}
	kit.Read(a.p.win, title+": where it comes from", column, 720*look.Zoom())
}

func (a *answer) refresh() {
	s := a.p.state
	a.rest.Objects = nil
	if s.Report == nil {
		a.nothing()
		a.paper.settle()
		return
	}
	w := s.Answer()
	icon, tint := verdictLook(w.Verdict)
	a.sign.Set(icon)
	a.head.Tint = tint
	a.head.Text = w.Headline
	a.head.Refresh()
	a.chance.Set(w.Chance)
	like := ""
	for _, f := range []worksheet.Figure{w.X, w.Y, w.Turn, w.Size} {
		if len(f.Number) > len(like) {
			like = f.Number
		}
	}
	for i, f := range []worksheet.Figure{w.X, w.Y, w.Turn, w.Size} {
		n := a.figures[i]
		show(n.tap, f.Known())
		n.figure.Set(f.Number, "", like)
		n.pm.Set(f.Uncertainty())
	}
	a.say(w.Summary, 1, kit.Ink)
	if w.Agreement != "" {
		a.say(w.Agreement, 0.95, kit.Ink)
	}
	a.correction(w)
	a.causes(w)
	if len(w.Next) > 0 {
		a.heading("What would decide it")
		for _, n := range w.Next {
			a.say(n, 0.95, kit.Ink)
		}
	}
	if len(w.Warnings) > 0 {
		a.heading("Doubts")
		for _, n := range w.Warnings {
			a.rest.Add(signed(look.IconWarn, n, kit.Ink))
		}
	}
	if len(w.PairWords) > 0 {
		a.heading("Opposite walls")
		for _, n := range w.PairWords {
			a.say(n, 0.95, kit.Ink)
		}
	}
	if len(w.CannotTell) > 0 {
		a.heading("What cannot be told")
		for _, n := range w.CannotTell {
			a.say(n, 0.85, kit.Soft)
		}
	}
	a.say("Tap a number to see where it comes from. All ± are for 95 %.", 0.85, kit.Soft)
	a.paper.settle()
}

func (a *answer) nothing() {
	s := a.p.state
	a.sign.Set(look.IconWaiting)
	a.head.Tint = kit.Ink
	a.head.Text = "Nothing read yet"
	a.chance.Set("")
	for _, n := range a.figures {
		n.tap.Hide()
	}
	words := s.Problem
	if words == "" {
		words = "Give a hole its photo, or type a wall's readings."
	} else {
		a.head.Text = "Not worked out"
	}
	if done, all := s.Progress(); done < all {
		a.head.Text, words = "Reading", "The answer appears with the first hole and gets surer with each."
	}
	a.head.Refresh()
	a.say(words, 1.1, kit.Ink)
	for _, ph := range s.Photos() {
		if ph.Problem != "" {
			a.rest.Add(signed(look.IconRefused, ph.Name()+": "+ph.Problem, kit.Ink))
		}
	}
}

func (a *answer) heading(words string) {
	a.rest.Add(widget.NewSeparator())
	a.rest.Add(kit.NewProse(words, 1.15, kit.Ink).Bold())
}

func (a *answer) say(words string, times float32, tint kit.Tint) {
	if words != "" {
		a.rest.Add(kit.NewProse(words, times, tint))
	}
}

// signed is a sentence behind an icon.
func signed(icon look.Icon, words string, tint kit.Tint) fyne.CanvasObject {
	return kit.Row(8, 1, kit.NewSign(icon, 1.3), kit.NewProse(words, 0.95, tint))
}

func (a *answer) correction(w worksheet.Answer) {
	a.heading("At the machine")
	if len(w.Setup2) == 0 {
		a.say("No correction. "+w.LeftAlone, 1, kit.Ink)
		return
	}
	a.vise.Paint(a.p.vise())
	a.rest.Add(kit.Tall(a.vise, 0, 250*look.Zoom()))
	slip := func(wash kit.Tint, lines []string) fyne.CanvasObject {
		c := kit.Column(5)
		for _, l := range lines {
			c.Add(strong(kit.NewProse(l, 1.02, kit.Ink)))
		}
		return kit.NewGround(wash, 10, c)
	}
	a.rest.Add(slip(kit.Wash2, w.Setup2))
	a.say("or instead", 0.9, kit.Soft)
	a.rest.Add(slip(kit.Wash1, w.Setup1))
	a.say(w.LeftAlone, 0.95, kit.Ink)
	a.say(w.Left, 0.95, kit.Ink)
	for _, c := range w.Cautions {
		a.rest.Add(signed(look.IconWarn, c, kit.Ink))
	}
}

func (a *answer) causes(w worksheet.Answer) {
	a.heading("Likely causes")
	if len(w.Causes) == 0 {
		a.say("None has evidence here.", 1, kit.Soft)
	}
	for _, c := range w.Causes {
		box := kit.Column(3, strong(kit.NewProse(c.Rank+". "+c.Title, 1, kit.Ink)), kit.NewProse(c.Evidence, 0.95, kit.Ink))
		if c.Against != "" {
			box.Add(kit.NewProse("Against it: "+c.Against, 0.95, kit.Soft))
		}
		box.Add(kit.NewProse("To be sure: "+c.Check, 0.95, kit.Soft))
		a.rest.Add(box)
	}
}
