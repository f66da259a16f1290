package live

import (
	"evenrim/model/live"
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

const touch = 44

// side is the sheet beside the picture.
type side struct {
	p        *Page
	sources  *fyne.Container
	headline *kit.Prose
	x, y     *kit.Figure
	pm       *kit.Line
	verdict  *kit.Sign
	words    *kit.Prose
	number   fyne.CanvasObject
	small    *kit.Prose
	steady   *kit.Track
	still    *kit.Line
	steadied fyne.CanvasObject
	rate     *kit.Line
	hints    *fyne.Container
	said     []live.Hint
	freeze   *kit.Button
	keep     *kit.Button
	best     *kit.Button
	near     *kit.Button
	kept     *kit.Prose
	told     *container.Scroll // all above the buttons
	content  fyne.CanvasObject
}

func newSide(p *Page) *side {
	s := &side{p: p}
	s.sources = kit.Column(6)
	s.headline = kit.NewProse("", 1.25, kit.Ink).Bold()
	s.x, s.y = kit.NewFigure("X", 1.8, 3.4), kit.NewFigure("Y", 1.8, 3.4)
	s.pm = kit.NewLine("", 1.15, kit.Soft)
	s.verdict = kit.NewSign(look.IconUndecided, 1.5)
	s.words = kit.NewProse("", 1, kit.Ink)
	s.number = kit.Column(6, s.x, s.y, s.pm, kit.Row(8, 1, s.verdict, s.words))
	s.small = kit.NewProse("", 0.95, kit.Soft)
	s.steady = kit.NewTrack()
	s.still = kit.NewLine("", 1, kit.Ink).Bold()
	s.rate = kit.NewLine("", 0.85, kit.Soft)
	s.steadied = kit.Column(4, kit.Row(8, 0, s.still, s.rate), s.steady)
	s.hints = kit.Column(8)
	s.keep = kit.NewButton("Keep this picture", p.Keep)
	s.keep.Importance = widget.HighImportance
	s.best = kit.NewButton("Keep the steadiest", p.KeepSteadiest)
	s.freeze = kit.NewButton("Hold", p.Freeze)
	s.near = kit.NewButton("Close-up", p.ToggleNear)
	s.kept = kit.NewProse("", 0.95, kit.Soft)
	back := kit.NewButton("Back to the bench", p.Leave)
	top := kit.Column(14, s.headline, s.number, s.small, s.steadied, s.hints)
	foot := kit.Column(8, s.kept, kit.Tall(s.keep, 0, touch), kit.Tall(s.best, 0, touch),
		container.NewGridWithColumns(2, kit.Tall(s.freeze, 0, touch), kit.Tall(s.near, 0, touch)),
		s.sources, kit.Tall(back, 0, touch))
	// The margins are inside, so that the bar of what scrolls lies on them and not on the
	// words.
	s.told = container.NewVScroll(kit.NewGround(kit.Paper, 18, top))
	s.content = container.NewVScroll(&fyne.Container{Layout: anchored{}, Objects: []fyne.CanvasObject{s.told, kit.NewGround(kit.Paper, 18, foot)}})
	s.offer()
	return s
}

// offer lists what can be watched.
func (s *side) offer() {
	var row []fyne.CanvasObject
	add := func(label string, tap func()) {
		row = append(row, kit.Tall(kit.NewButton(label, tap), 0, touch))
	}
	for _, n := range s.p.state.Cameras[:min(len(s.p.state.Cameras), 3)] {
		add(cameraName(n), func() { s.p.OpenCamera(n) })
	}
	if len(s.p.state.Cameras) == 0 {
		add("Find a camera", s.p.LookAgain)
	}
	add("Video file…", s.p.AskFilm)
	s.sources.Objects = []fyne.CanvasObject{container.NewGridWithColumns(2, row...)}
	s.sources.Refresh()
}

// refresh brings the sheet in line with the state.
func (s *side) refresh() {
	st := &s.p.state
	s.headline.Set(st.Headline())
	if n, ok := st.Number(); ok {
		like := n.X
		if len(n.Y) > len(like) {
			like = n.Y
		}
		s.x.Set(n.X, n.Unit, like)
		s.y.Set(n.Y, n.Unit, like)
		s.pm.Set(n.PM + "  (95 %)")
		if icon, _ := kit.VerdictLook(n.Verdict); s.verdict.Icon != icon {
			s.verdict.Set(icon)
		}
		s.words.Set(n.Words)
		s.number.Show()
	} else {
		s.number.Hide()
	}
	s.small.Set(st.Small())
	share, word := st.Steadiness()
	s.steady.Set(share)
	s.still.Set(word)
	s.rate.Set(st.Rate())
	visible(s.steadied, word != "")
	s.hint(st.Shown().Hints)
	hold := "Hold"
	switch {
	case st.Over:
		hold = "Play again"
	case st.Frozen != nil:
		hold = "Go on"
	}
	setText(s.freeze, hold)
	near := "Close-up"
	if st.Near {
		near = "Whole picture"
	}
	setText(s.near, near)
	best := st.Best()
	if best == "" {
		best = "Keep the steadiest"
	}
	setText(s.best, best)
	able(s.keep, st.CanKeep())
	able(s.best, st.Best() != "")
	able(s.freeze, st.CanKeep() || st.Over)
	able(s.near, st.CanNear())
	s.kept.Set(st.KeptWords())
	visible(s.kept, st.KeptWords() != "")
}

// hint lists the hints; the list is only laid out anew when it differs.
func (s *side) hint(h []live.Hint) {
	if s.p.state.Over || s.p.state.Source == "" {
		h = nil
	}
	same := len(h) == len(s.said)
	for i := range h {
		same = same && h[i] == s.said[i]
	}
	if same {
		return
	}
	s.said = h
	s.hints.Objects = nil
	for _, x := range h {
		s.hints.Add(kit.Row(8, 1, kit.NewSign(hintIcon(x.Kind), 1.3), kit.NewProse(x.Words, 1, kit.Ink)))
	}
	s.hints.Refresh()
}

func hintIcon(k live.HintKind) look.Icon {
	switch k {
	case live.HintLight:
		return look.IconLight
	case live.HintMotion:
		return look.IconHand
	case live.HintPlace, live.HintFocus:
		return look.IconFit
	case live.HintCard:
		return look.IconCard
	}
	return look.IconHelp
}

func visible(o fyne.CanvasObject, on bool) {
	if on != o.Visible() {
		if on {
			o.Show()
		} else {
			o.Hide()
		}
	}
}

func able(b *kit.Button, on bool) {
	if on == b.Disabled() {
		if on {
			b.Enable()
		} else {
			b.Disable()
		}
	}
}

func setText(b *kit.Button, words string) {
	if b.Text != words {
		b.SetText(words)
	}
}
