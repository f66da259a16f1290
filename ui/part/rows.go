package part

import (
	"fmt"
	"strings"

	"evenrim/model"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/part/worksheet"

	"fyne.io/fyne/v2"
)

// The leaves of the lower half.
const (
	holesTab = iota
	wallsTab
	partTab
	drawingTab // only where the drawing has no room of its own
)

// rows are the part's holes and walls, each opening into its fields; and the
// fields of the part as a whole.
type rows struct {
	p       *Page
	tab     int
	tabs    []*kit.Tap
	names   []*kit.Line
	column  *fyne.Container
	paper   *paper
	made    string // what the column was made for
	views   []*rowView
	why     *fyne.Container // of the open row
	bar     fyne.CanvasObject
	compact bool // the drawing is one of the leaves
}

func newRows(p *Page) *rows {
	r := &rows{p: p, column: kit.Column(2)}
	var tabs []fyne.CanvasObject
	for i, n := range []string{"Holes", "Walls", "The part", "Drawing"} {
		l := kit.NewLine(n, 1, kit.Ink).Centred()
		t := kit.NewTap(l, func() { r.turn(i) })
		t.BarSide, t.Pad = kit.BarTop, 11
		r.tabs, r.names = append(r.tabs, t), append(r.names, l)
		tabs = append(tabs, kit.Tall(t, 0, touch))
	}
	r.paper = newPaper(kit.NewGround(kit.Paper, 8, r.column))
	r.tabs[drawingTab].Hide()
	r.bar = kit.NewGround(kit.Margin, 0, kit.Wrapped(2, tabs...))
	return r
}

// turn shows another leaf.
func (r *rows) turn(tab int) {
	r.tab = tab
	r.refresh()
}

// allot shows drawing and rows where they have room.
func (r *rows) allot() {
	show(r.tabs[drawingTab], r.compact)
	if !r.compact && r.tab == drawingTab {
		r.tab = holesTab
	}
	drawing := r.tab == drawingTab
	show(r.p.drawing.content, drawing || !r.compact)
	show(r.paper.box, !drawing)
	for i, t := range r.tabs {
		t.Select(i == r.tab)
	}
}

// step chooses the row by places further.
func (r *rows) step(by int) {
	s, kind, n := r.p.state, worksheet.AHole, len(r.p.state.Holes)
	if r.tab == wallsTab {
		kind, n = worksheet.AWall, len(s.Walls)
	}
	if n == 0 || r.tab >= partTab {
		return
	}
	at := 0
	if s.Chosen.Kind == kind {
		at = (s.Chosen.At + by + n) % n
	}
	s.Chosen.Kind = worksheet.Nothing
	s.Choose(kind, at)
	r.refresh()
}

// forget makes the next refresh begin anew.
func (r *rows) forget() { r.made = "" }

// rowView is one line.
type rowView struct {
	tap          *kit.Tap
	sign         *kit.Sign
	name, place  *kit.Line
	figures      [3]*kit.Line // X, Y, ±; each whole on its row
	off          *kit.Line    // the fit, on the same line
	after, words *kit.Prose
}

func newRowView(tap func()) *rowView {
	v := &rowView{sign: kit.NewSign(look.IconWaiting, 1.7), name: kit.NewLine("", 1.2, kit.Ink).Bold(),
		place: kit.NewLine("", 0.85, kit.Soft), after: kit.NewProse("", 0.9, kit.Soft), words: kit.NewProse("", 0.9, kit.Ink)}
	line := kit.Wrapped(12, v.name)
	for i := range v.figures {
		v.figures[i] = kit.NewLine("", 1.1, kit.Ink)
		line.Add(v.figures[i])
	}
	v.off = kit.NewLine("", 0.9, kit.Soft)
	line.Add(v.place)
	line.Add(v.off)
	v.tap = kit.NewTap(kit.Row(12, 1, v.sign, kit.Column(2, line, v.after, v.words)), tap)
	v.tap.Edge = kit.Rule
	return v
}

func (v *rowView) set(r worksheet.Row, open bool) {
	v.name.Set(r.Name)
	v.place.Set(r.Place)
	figures := strings.Split(r.Figures, "  ")
	for i, l := range v.figures {
		words := ""
		if i < len(figures) {
			words = figures[i]
		}
		l.Set(words)
		show(l, words != "")
	}
	large := look.Zoom() > 1.3 // then it has to be wrapped
	v.off.Set(r.Against)
	v.after.Set(r.Against)
	show(v.off, r.Against != "" && !large)
	show(v.after, r.Against != "" && large)
	v.words.Tint = kit.Soft
	if r.Odd || r.Stage == worksheet.NoReading {
		v.words.Tint = kit.Doubt
	}
	v.words.Set(r.Words)
	v.words.Refresh()
	show(v.words, r.Words != "")
	icon, _ := verdictLook(r.Verdict)
	switch {
	case r.Odd:
		icon = look.IconWarn
	case r.Stage == worksheet.NoReading && !r.HasResult:
		icon = look.IconRefused
	case r.Kind == worksheet.AHole && !r.HasResult:
		icon = look.IconWaiting
	case r.Kind == worksheet.AWall:
		icon = look.IconPart
	}
	v.sign.Set(icon)
	v.tap.Select(open)
}

// key is what the column is made for: another key, another column.
func (r *rows) key() string {
	s := r.p.state
	var b strings.Builder
	fmt.Fprint(&b, r.tab, s.Units, s.Chosen, len(s.Walls))
	for _, h := range s.Holes {
		fmt.Fprint(&b, " ", len(h.Photos))
	}
	return b.String()
}

func (r *rows) refresh() {
	s := r.p.state
	for i, n := range []int{len(s.Holes), len(s.Walls)} {
		words := []string{"Holes", "Walls"}[i]
		if n > 0 {
			words = fmt.Sprintf("%s %d", words, n)
		}
		r.names[i].Set(words)
	}
	r.allot()
	if r.tab == drawingTab {
		return
	}
	lines, kind := s.HoleRows(), worksheet.AHole
	if r.tab == wallsTab {
		lines, kind = s.WallRows(), worksheet.AWall
	}
	if k := r.key(); k != r.made || r.tab != partTab && len(r.views) != len(lines) {
		r.made = k
		r.build(lines, kind)
	}
	if r.tab != partTab {
		for i, l := range lines {
			r.views[i].set(l, s.Chosen.Kind == kind && s.Chosen.At == i)
		}
		r.explain()
	}
	r.paper.settle()
}

func (r *rows) build(lines []worksheet.Row, kind worksheet.Kind) {
	s := r.p.state
	r.column.Objects, r.views, r.why = nil, nil, nil
	switch r.tab {
	case partTab:
		r.partFields()
		return
	case wallsTab:
		r.column.Add(kit.NewProse("Run an indicator over the seam between the halves. + means that setup 2's half stands proud. Several readings along a wall show whether the part was turned.", 0.9, kit.Soft))
	}
	for i, l := range lines {
		v := newRowView(func() {
			s.Choose(l.Kind, i)
			r.refresh()
		})
		r.views = append(r.views, v)
		r.column.Add(v.tap)
		if s.Chosen.Kind == kind && s.Chosen.At == i {
			r.column.Add(r.editor(kind, i))
		}
	}
	add := kit.NewButton("Add a hole", r.p.AddHole)
	if kind == worksheet.AWall {
		add = kit.NewButton("Add a wall", r.p.AddWall)
	}
	r.column.Add(kit.Row(8, -1, kit.Tall(add, 0, touch)))
}

// editor is what an open row shows below it.
func (r *rows) editor(kind worksheet.Kind, i int) fyne.CanvasObject {
	s, p := r.p.state, r.p
	r.why = kit.Column(3)
	var fields []worksheet.Field
	buttons := kit.Wrapped(8)
	if kind == worksheet.AHole {
		h := s.Holes[i]
		fields = s.HoleFields(h)
		buttons.Add(kit.Tall(kit.NewButtonWithIcon("Add its photo", look.IconOpen, func() { p.AskPhoto(h) }), 0, touch))
		if p.deps.Keeper != nil {
			buttons.Add(kit.Tall(kit.NewButtonWithIcon("From the record", look.IconKept, func() { p.AskKept(h) }), 0, touch))
		}
		if len(h.Photos) > 1 {
			for _, photo := range h.Photos {
				buttons.Add(kit.Tall(kit.NewButtonWithIcon("Take off "+photo.Name(), look.IconCancel, func() {
					s.RemovePhoto(photo.ID)
					p.changed()
				}), 0, touch))
			}
		}
	} else {
		fields = s.WallFields(s.Walls[i])
	}
	off := "Take the hole off"
	if kind == worksheet.AWall {
		off = "Take the wall off"
	}
	buttons.Add(kit.Tall(kit.NewButtonWithIcon(off, look.IconCancel, func() {
		s.Remove()
		p.changed()
	}), 0, touch))
	return kit.NewGround(kit.Raised, 12, kit.Column(10, p.entries(fields), buttons, r.why))
}

// explain says where the open row's figures come from.
func (r *rows) explain() {
	if r.why == nil {
		return
	}
	s := r.p.state
	var lines []string
	switch {
	case s.Chosen.Kind == worksheet.AHole && s.Chosen.At < len(s.Holes):
		lines = s.WhyHole(s.Chosen.At)
	case s.Chosen.Kind == worksheet.AWall && s.Chosen.At < len(s.Walls):
		lines = s.WhyWall(s.Chosen.At)
	}
	r.why.Objects = nil
	if len(lines) > 0 {
		r.why.Add(kit.NewLine("Where it comes from", 0.95, kit.Ink).Bold())
	}
	for _, l := range lines {
		r.why.Add(kit.NewProse(l, 0.9, kit.Ink))
	}
}

// entries lays fields out as they have room.
func (p *Page) entries(fields []worksheet.Field) fyne.CanvasObject {
	flow := kit.WrappedLevel(12)
	for _, f := range fields {
		e := kit.NewEntry()
		e.SetPlaceHolder(f.Hint)
		e.SetText(f.Text)
		problem := kit.NewProse(f.Problem, 0.85, kit.Bad)
		show(problem, f.Problem != "")
		e.OnChanged = func(text string) {
			err := f.Set(text)
			problem.Set("")
			if err != nil {
				problem.Set(err.Error())
			}
			show(problem, err != nil)
			p.refresh()
		}
		width := max(fyne.MeasureText(f.Label, 0.9*look.Text(), fyne.TextStyle{}).Width+4, 128*look.Zoom())
		if n := fyne.MeasureText(f.Text, look.Text(), fyne.TextStyle{}).Width + 32; n > width {
			width = min(n, 420*look.Zoom())
		}
		flow.Add(kit.Tall(kit.Column(3, kit.NewLine(f.Label, 0.85, kit.Soft), kit.Tall(e, 0, touch), problem), width, 0))
	}
	return flow
}

// partFields are the sizes common to all holes, how the part was turned over, and
// what it was picked up on.
func (r *rows) partFields() {
	p, s := r.p, r.p.state
	flips := []string{"end for end, about Y", "sideways, about X"}
	turned := flips[0]
	if s.Flip == model.FlipAboutX {
		turned = flips[1]
	}
	flip := kit.NewSelect(flips, turned, func(v string) {
		s.Flip = model.FlipAboutY
		if v == flips[1] {
			s.Flip = model.FlipAboutX
		}
		s.WorkOut()
		p.refresh()
	})
	raw := kit.NewCheck("Picked up on a raw face", nil)
	raw.SetChecked(s.RawEdge)
	raw.OnChanged = func(on bool) {
		s.RawEdge = on
		s.WorkOut()
		p.refresh()
	}
	r.column.Add(p.entries(s.CardFields()))
	r.column.Add(kit.Column(3, kit.NewLine("Turned over between the setups", 0.85, kit.Soft), kit.Row(8, -1, kit.Tall(flip, 220*look.Zoom(), touch))))
	r.column.Add(kit.Column(0, kit.Tall(raw, 0, touch), kit.NewProse("Raw: sawn, cast or rolled.", 0.85, kit.Soft)))
}
