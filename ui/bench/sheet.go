package bench

import (
	"fmt"
	"slices"

	"evenrim/model"
	"evenrim/model/report"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// sheet is the result sheet: verdict, X, Y, the uncertainty, what to move, the
// target map and the small print; or why there is no result and what to do.
type sheet struct {
	p *Page

	stamp   *kit.Sign
	verdict *kit.Prose
	chance  *kit.Prose
	x, y    *kit.Figure
	pm      *kit.Prose
	summary *kit.Prose
	notKept *kit.Prose // why the reading isn't in the record: said where it is seen
	moves   [2]*moveSlip
	notes   *fyne.Container
	facts   *fyne.Container
	target  *kit.Drawing
	kept    *kit.Prose
	of      *kit.Prose // "Turn set of 2 photos"; hidden for one photo

	result  *fyne.Container // all of the above
	message *fyne.Container // instead of it
	msgSign *kit.Sign
	msgHead *kit.Prose
	msgText *kit.Prose
	again   *kit.Button

	content     fyne.CanvasObject
	shown       *model.Reading // on the map
	shownUnits  state.Units
	shownOf     int // ID of its photo
	keepProblem string
}

// moveSlip is one way to put the machine right, on its setup's wash.
type moveSlip struct {
	slip  *kit.Slip
	title *kit.Prose
	good  *kit.Prose
	x, y  *kit.Figure
}

func newMoveSlip(wash, tint kit.Tint) *moveSlip {
	m := &moveSlip{title: kit.NewProse("", 0.85, kit.Ink), good: kit.NewProse("", 0.8, kit.Soft)}
	m.x, m.y = kit.NewFigure("X", 1.15, 3), kit.NewFigure("Y", 1.15, 3)
	m.x.Tint, m.y.Tint = tint, tint
	m.slip = kit.NewGround(wash, 10, kit.Column(2, m.title, kit.Flow(8, m.x, m.y), m.good))
	return m
}

func (m *moveSlip) set(v state.Move, unit string) {
	m.title.Set(v.Title)
	m.good.Set(v.Good)
	kit.SetMove(m.x, m.y, v.X, v.Y, unit)
}

func newSheet(p *Page) *sheet {
	s := &sheet{p: p}
	s.stamp = kit.NewSign(look.IconUndecided, 2.9)
	s.verdict = kit.NewProse("", 1.75, kit.Ink).Bold()
	s.chance = kit.NewProse("", 0.9, kit.Soft)
	s.x, s.y = kit.NewFigure("X", 1.4, 9), kit.NewFigure("Y", 1.4, 9)
	s.pm = kit.NewProse("", 1.35, kit.Ink)
	s.summary = kit.NewProse("", 1, kit.Ink)
	s.notKept = kit.NewProse("", 0.95, kit.Bad)
	s.notKept.Hide()
	s.moves = [2]*moveSlip{newMoveSlip(kit.Wash2, kit.Setup2), newMoveSlip(kit.Wash1, kit.Setup1)}
	s.notes, s.facts = kit.Column(6), kit.Column(4)
	s.target = kit.NewDrawing(p.crew, fyne.NewSize(240, 260)).Growing()
	s.kept = kit.NewProse("", 0.85, kit.Soft)
	s.of = kit.NewProse("", 1, kit.Ink).Bold()
	s.of.Hide()
	pdf := kit.NewButtonWithIcon("Report…", look.IconReport, p.SaveReport)
	png := kit.NewButton("Pictures…", p.SavePlots)
	turns := kit.NewButtonWithIcon("Turn set", look.IconTurn, p.StartTurns)
	actions := kit.Flow(6, kit.Tall(turns, 0, touch), kit.Tall(pdf, 0, touch), kit.Tall(png, 0, touch))

	s.result = kit.Column(10,
		s.of,
		s.about(state.AboutVerdict, container.NewBorder(nil, nil, kit.Row(8, -1, s.stamp, kit.Tall(kit.NewLine("", 1, kit.Ink), 2, 0)), nil, kit.Column(0, s.verdict, s.chance))),
		widget.NewSeparator(),
		s.about(state.AboutMismatch, kit.Column(0, s.x, s.y)),
		s.about(state.AboutUncertainty, s.pm), s.about(state.AboutMismatch, s.summary), s.notKept,
		s.about(state.AboutMoves, kit.Column(6, s.moves[0].slip, s.moves[1].slip)),
		s.notes, s.target, actions, widget.NewSeparator(), s.facts, s.kept)

	s.msgSign = kit.NewSign(look.IconWaiting, 2.9)
	s.msgHead = kit.NewProse("", 1.75, kit.Ink).Bold()
	s.msgText = kit.NewProse("", 1.2, kit.Ink)
	s.again = kit.NewButtonWithIcon("Look again", look.IconRetry, p.Again)
	s.message = kit.Column(14, kit.Row(12, 1, s.msgSign, s.msgHead), s.msgText, kit.Tall(s.again, 0, touch))
	s.content = kit.NewGround(kit.Raised, 0, container.NewVScroll(kit.NewGround(kit.Raised, 16, container.NewStack(s.result, s.message))))
	return s
}

func (s *sheet) refresh() {
	ph := s.p.state.Selected()
	if ph != nil && ph.Reading != nil && (ph.Stage == state.Done || ph.Stage == state.Working) {
		s.showReading(ph)
		return
	}
	s.result.Hide()
	s.message.Show()
	s.again.Hide()
	s.shown = nil
	s.target.Paint(nil)
	m := state.MessageOf(ph)
	s.msgHead.Set(m.Head)
	s.msgText.Set(m.Text)
	s.msgSign.Set(messageIcon(m.Kind))
	if m.Again {
		s.again.Show()
	}
	s.content.Refresh()
}

func messageIcon(k state.MessageKind) look.Icon {
	switch k {
	case state.NoReading:
		return look.IconRefused
	case state.CardWanted:
		return look.IconCard
	}
	return look.IconWaiting
}

func (s *sheet) showReading(ph *state.Photo) {
	r, set := s.inView()
	u := s.p.state.Units
	v := state.SheetOf(r, u)
	icon, tint := kit.VerdictLook(v.Verdict)
	s.stamp.Set(icon)
	s.verdict.Tint = tint
	s.verdict.Set(report.Headline(v.Verdict))
	s.verdict.Refresh()
	s.chance.Set(v.Chance)
	like := v.X
	if len(v.Y) > len(like) {
		like = v.Y
	}
	s.x.Set(v.X, v.Unit, like)
	s.y.Set(v.Y, v.Unit, like)
	s.pm.Set(v.PM + ", 95 %")
	s.summary.Set(v.Summary)
	for i, slip := range s.moves {
		if i < len(v.Moves) {
			slip.set(v.Moves[i], v.Unit)
			slip.slip.Show()
		} else {
			slip.slip.Hide()
		}
	}
	s.notes.Objects = nil
	for _, n := range v.Notes { // what to mind before a machine is moved comes first
		s.notes.Add(noteRow(n))
	}
	if ph.Outdated != "" && ph.FromOld {
		s.notes.Add(noteRow(state.Note{Kind: state.Warning, Text: ph.Outdated}))
	}
	if ph.Recalled != "" && !ph.FromOld {
		s.notes.Add(noteRow(state.Note{Kind: state.Caution, Text: ph.Recalled}))
	}
	s.facts.Objects = nil
	for _, f := range v.Facts {
		row := factRow(f)
		if f.About != "" {
			row = s.about(f.About, row)
		}
		s.facts.Add(row)
	}
	s.kept.Set(s.keptWords(ph))
	s.notKept.Hide()
	if s.keepProblem != "" && s.kept.Text == s.keepProblem {
		s.kept.Set("")
		s.notKept.Set(s.keepProblem)
		s.notKept.Show()
	}
	if s.shown != r || s.shownUnits != u {
		if s.shownOf != ph.ID { // another photo's map must not stand beside this one's numbers
			s.shownOf = ph.ID
			s.target.Paint(nil)
		}
		s.shown, s.shownUnits = r, u
		if set != nil {
			s.target.Paint(turnPainter(set, s.p.state.Turns.Used, r, u))
		} else {
			s.target.Paint(targetPainter(r, u))
		}
	}
	if set != nil {
		s.of.Set(state.TurnsTitle(set))
		s.of.Show()
	} else {
		s.of.Hide()
	}
	s.message.Hide()
	s.result.Show()
	s.content.Refresh()
}

// inView is the reading that the sheet shows: the photo's own, or what its turn
// set says together.
func (s *sheet) inView() (*model.Reading, *model.TurnSet) {
	ph := s.p.state.Selected()
	if ph == nil || ph.Reading == nil {
		return nil, nil
	}
	if t := s.p.state.Turns; t != nil && t.Joined != nil && slices.Contains(t.Photos, ph.ID) {
		return t.Joined, t.Set
	}
	return ph.Reading, nil
}

func (s *sheet) keptWords(ph *state.Photo) string {
	if t := s.p.state.Turns; t != nil && t.Result != nil && slices.Contains(t.Photos, ph.ID) {
		switch {
		case t.FromOld:
			return "From the record, turn set " + t.Kept + ", exactly as it was kept"
		case s.keepProblem != "":
			return s.keepProblem
		case t.Kept != "":
			return "Kept in the record, turn set " + t.Kept
		case t.ToKeep == nil:
			return "Not kept as a turn set: it is one picture"
		}
		return ""
	}
	switch {
	case ph.FromOld:
		return "From the record, no. " + ph.Kept + ", exactly as it was kept"
	case ph.Source.Sample:
		return "The program's own sample: shown, and not kept among your readings"
	case s.keepProblem != "":
		return s.keepProblem
	case ph.Kept == state.BeingKept:
		return "Being kept"
	case ph.Kept != "":
		for _, k := range s.p.kept.rows {
			if k.ID == ph.Kept && k.Replaces != "" {
				return fmt.Sprintf("Kept in the record, no. %s, in the place of no. %s (%s), which stays there as corrected", k.ID, k.Replaces, k.Why)
			}
		}
		return "Kept in the record, no. " + ph.Kept
	case ph.CopyOf != "":
		return "Not kept by itself: it is the same picture as " + ph.CopyOf
	}
	return ""
}

func noteRow(n state.Note) fyne.CanvasObject {
	icon := look.IconWarn
	if n.Kind == state.Hurt {
		icon = look.IconChip
	}
	return container.NewBorder(nil, nil, container.NewVBox(kit.NewSign(icon, 1.35)), nil,
		kit.NewProse(n.Text, 0.9, kit.Ink))
}

func factRow(f state.Fact) fyne.CanvasObject {
	return kit.Column(0, kit.NewProse(f.Name, 0.8, kit.Soft), kit.NewProse(f.Value, 0.9, kit.Ink))
}
