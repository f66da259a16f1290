package batches

import (
	"time"

	"evenrim/model"
	"evenrim/ui/batches/ledger"
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// bar stands above all: whose readings, the search, what narrows it, what can be
// done with them.
type bar struct {
	p        *Page
	source   *kit.Button
	search   *kit.Entry
	filter   *kit.Button
	report   *kit.Button
	more     *kit.Button
	units    *kit.Button
	strip    *fyne.Container // the filter's fields
	fields   map[string]*kit.Entry
	verdict  *kit.Select
	replaced *kit.Check
	problem  *kit.Prose
	content  fyne.CanvasObject
	filling  bool // by us, not by hand
}

// settleTyping is how long a search field must stand unchanged.
const settleTyping = 150 * time.Millisecond

func newBar(p *Page) *bar {
	b := &bar{p: p, fields: map[string]*kit.Entry{}}
	b.source = kit.NewButtonWithIcon("Your record", look.IconKept, b.askSource)
	b.search = kit.NewEntry()
	b.search.SetPlaceHolder("Search")
	b.search.OnChanged = func(s string) { b.typed(func(f *ledger.Filter) { f.Text = s }) }
	b.filter = kit.NewButton("Narrow", b.toggleFilter)
	b.report = kit.NewButtonWithIcon("Report", look.IconReport, p.AskReport)
	b.more = kit.NewButtonWithIcon("Record", look.IconMore, b.askMore)
	b.units = kit.NewButton("mm", p.SwapUnits)
	row := kit.Wrapped(6, kit.Tall(b.source, 0, touch), kit.Tall(b.search, 300, touch), kit.Tall(b.filter, 0, touch),
		kit.Tall(b.report, 0, touch), kit.Tall(b.more, 0, touch), kit.Tall(b.units, 54, touch))

	field := func(name, hint string, set func(*ledger.Filter, string)) fyne.CanvasObject {
		e := kit.NewEntry()
		e.SetPlaceHolder(hint)
		e.OnChanged = func(s string) { b.typed(func(f *ledger.Filter) { set(f, s) }) }
		b.fields[name] = e
		return kit.Tall(kit.Column(2, kit.NewLine(name, 0.8, kit.Soft), kit.Tall(e, 118*look.Zoom(), touch)), 118*look.Zoom(), 0)
	}
	b.verdict = kit.NewSelect([]string{"any", string(model.Conforms), string(model.DoesNotConform), string(model.Undecided)}, "any", func(v string) {
		if b.filling {
			return
		}
		if v == "any" {
			v = ""
		}
		p.state.Filter.Verdict = model.Verdict(v)
		p.search()
	})
	b.replaced = kit.NewCheck("also corrected ones", func(on bool) {
		if !b.filling {
			p.state.Filter.Replaced = on
			p.search()
		}
	})
	b.problem = kit.NewProse("", 0.9, kit.Bad)
	b.problem.Hide()
	b.strip = kit.Column(4, kit.Flow(8,
		field("From day", "2031-03-14", func(f *ledger.Filter, s string) { f.From = s }),
		field("To day", "2031-03-14", func(f *ledger.Filter, s string) { f.To = s }),
		field("Job card", "its name", func(f *ledger.Filter, s string) { f.Job = s }),
		field("Part", "its name", func(f *ledger.Filter, s string) { f.Part = s }),
		field("Tag", "one tag", func(f *ledger.Filter, s string) { f.Tag = s }),
		kit.Column(2, kit.NewLine("Verdict", 0.8, kit.Soft), kit.Tall(b.verdict, 0, touch)),
		kit.Column(2, kit.NewLine("", 0.8, kit.Soft), kit.Tall(b.replaced, 0, touch)),
	))
	b.strip.Hide()
	b.content = kit.NewGround(kit.Paper, 8, kit.Column(6, row, b.strip, b.problem))
	return b
}

// typed changes the filter and searches once the typing rests.
func (b *bar) typed(set func(*ledger.Filter)) {
	if b.filling {
		return
	}
	set(&b.p.state.Filter)
	p := b.p
	if p.typing != nil {
		p.typing.Stop()
	}
	p.typing = time.AfterFunc(settleTyping, func() { p.crew.Do(p.search) })
}

// clear empties the fields, for another source.
func (b *bar) clear() {
	b.filling = true
	b.search.SetText("")
	for _, e := range b.fields {
		e.SetText("")
	}
	b.verdict.SetSelected("any")
	b.replaced.SetChecked(false)
	b.filling = false
}

func (b *bar) toggleFilter() {
	if b.strip.Visible() {
		b.strip.Hide()
	} else {
		b.strip.Show()
	}
	b.p.content.Refresh()
}

// wrong says what can't be understood in the fields.
func (b *bar) wrong(problem string) {
	b.problem.Set(problem)
	if (problem != "") != b.problem.Visible() {
		if problem != "" {
			b.problem.Show()
			b.strip.Show()
		} else {
			b.problem.Hide()
		}
		b.p.content.Refresh()
	}
}

func (b *bar) refresh() {
	s := b.p.state
	name, icon := "Your record", look.IconKept
	switch s.Source {
	case ledger.Demo:
		name, icon = "Demo shop", look.IconSample
	case ledger.List:
		name, icon = s.ListOf+", not kept", look.IconCard
	}
	if b.source.Text != name {
		b.source.SetText(name)
		b.source.SetIcon(icon)
	}
	if u := s.Units.String(); b.units.Text != u {
		b.units.SetText(u)
	}
	narrowed := s.Filter
	narrowed.Text = ""
	importance := widget.MediumImportance
	if !narrowed.Empty() {
		importance = widget.HighImportance
	}
	if b.filter.Importance != importance {
		b.filter.Importance = importance
		b.filter.Refresh()
	}
	if on := s.Loaded != nil && len(s.Loaded.Answers) > 0; on == b.report.Disabled() {
		if on {
			b.report.Enable()
		} else {
			b.report.Disable()
		}
	}
}

// askSource offers the records that can be looked at.
func (b *bar) askSource() {
	p := b.p
	b.menu(b.source,
		fyne.NewMenuItem("Your record", p.OpenOwn),
		fyne.NewMenuItem("Demo shop (apart from your record)", p.OpenDemo),
		fyne.NewMenuItem("Photos of a list…", p.AskList))
}

// askMore offers what can be done with the record shown.
func (b *bar) askMore() {
	p := b.p
	items := []*fyne.MenuItem{
		fyne.NewMenuItem("Export what is found…", p.AskExport),
		fyne.NewMenuItem("Import a table or zip…", p.AskImport),
		fyne.NewMenuItemSeparator(),
		fyne.NewMenuItem("Back up everything…", p.AskBackup),
		fyne.NewMenuItem("Restore a backup into a new folder…", p.AskRestore),
		fyne.NewMenuItem("Check every reading and photo", p.Check),
	}
	if p.archive != nil {
		where := fyne.NewMenuItem("In "+p.archive.Dir(), nil)
		where.Disabled = true
		items = append(items, fyne.NewMenuItemSeparator(), where)
	}
	b.menu(b.more, items...)
}

func (b *bar) menu(at fyne.CanvasObject, items ...*fyne.MenuItem) {
	c := b.p.win.Canvas()
	pop := widget.NewPopUpMenu(fyne.NewMenu("", items...), c)
	pos := fyne.CurrentApp().Driver().AbsolutePositionForObject(at)
	pop.ShowAtPosition(fyne.NewPos(pos.X, pos.Y+at.Size().Height))
}

// shelf lists the batches; a tap picks one or takes it off.
type shelf struct {
	p       *Page
	head    *kit.Line
	hint    *kit.Prose
	list    *kit.List
	content fyne.CanvasObject
}

func newShelf(p *Page) *shelf {
	s := &shelf{p: p, head: kit.NewLine("Batches", 1.1, kit.Ink).Bold(), hint: kit.NewProse("", 0.85, kit.Soft)}
	s.list = kit.NewList(func() int { return len(p.state.Listed()) }, newBatchRow, s.fill)
	s.list.OnSelected = func(i widget.ListItemID) {
		s.list.UnselectAll()
		if listed := p.state.Listed(); i < len(listed) {
			p.Pick(listed[i].Name)
		}
	}
	s.content = kit.NewGround(kit.Margin, 0, container.NewBorder(
		kit.NewGround(kit.Margin, 10, kit.Column(4, s.head, s.hint)), nil, nil, nil, s.list))
	return s
}

func newBatchRow() fyne.CanvasObject {
	mark := kit.NewLine("", 1.25, kit.Setup2).Centred()
	return kit.Tall(kit.Row(8, 1, kit.Tall(mark, 22*look.Zoom(), 0), kit.Column(0, kit.NewLine("", 0.95, kit.Ink).Cut(), kit.NewLine("", 0.8, kit.Soft).Cut())), 0, touch)
}

// marks are the tints of the batches picked, as on the target map.
var marks = []kit.Tint{kit.Setup2, kit.Ink, kit.Exit, kit.Doubt}

func (s *shelf) fill(i int, o fyne.CanvasObject) {
	row := o.(*fyne.Container).Objects[0].(*fyne.Container)
	mark := row.Objects[0].(*fyne.Container).Objects[0].(*kit.Line)
	words := row.Objects[1].(*fyne.Container)
	listed := s.p.state.Listed()
	if i >= len(listed) {
		return // changed meanwhile
	}
	v := listed[i]
	place := s.p.state.Place(v.Name)
	mark.Tint, mark.Text = kit.Rule, "○"
	if place >= 0 {
		mark.Tint, mark.Text = marks[place%len(marks)], ledger.Glyph(place)
	}
	mark.Refresh()
	name := words.Objects[0].(*kit.Line)
	name.Style.Bold = place >= 0
	name.Text = v.Name
	name.Refresh()
	words.Objects[1].(*kit.Line).Set(ledger.Counted(v.Count, "reading"))
}

func (s *shelf) refresh() {
	n := len(s.p.state.Picked)
	switch {
	case len(s.p.state.Batches) == 0:
		s.hint.Set("No batch has a name yet: write one beside a reading, under Parts.")
	case n == 0:
		s.hint.Set("Tap one to see what it tells, two or more to set them side by side.")
	case n == 1:
		s.hint.Set("Tap another to compare it with.")
	default:
		s.hint.Set("In the order of tapping: each is set against the one before.")
	}
	s.list.Refresh()
}
