package bench

import (
	"evenrim/model"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// cardForm is the job card as a form: what is typed counts at once, and what is
// wrong is said beside the field.
type cardForm struct {
	p       *Page
	fields  map[state.Field]*cardField
	zones   map[model.Zone]*kit.Tap
	flips   map[model.FlipAxis]*kit.Tap
	forAll  *kit.Button
	order   []*kit.Entry // as Return goes from one to the next
	content *container.Scroll
	loading bool
}

// cardField is one entry with its name above and a word below.
type cardField struct {
	entry *kit.Entry
	below *kit.Line
	wrong *kit.Prose
	box   *fyne.Container
}

// emptyTolerance is what an empty field for the tolerance means, model.DefaultToleranceMM.
var emptyTolerance = map[state.Units]string{state.MM: "0.0254 mm", state.Inch: "0.001 in"}

func newCardForm(p *Page) *cardForm {
	c := &cardForm{p: p, fields: map[state.Field]*cardField{}}
	bore := c.field(state.Bore, "Bore, diameter", "10 mm or 0.5 in")
	chamfer := c.field(state.Chamfer, "Chamfer width, radial", "if known: 0.25 mm, 10 thou")
	angle := c.field(state.Angle, "Half-angle from the axis", "45")
	thick := c.field(state.Thickness, "Thickness", "if known: 12 mm")
	tol := c.field(state.Tolerance, "Tolerance of mismatch", emptyTolerance[p.state.Units])
	plusX := c.field(state.PlusX, "+X in the photo", "0: drag X on the photo")

	c.zones = map[model.Zone]*kit.Tap{
		model.RoundZone:  c.choice("Round zone", nil, func() { c.edit(state.ZoneField, string(model.RoundZone)) }),
		model.SquareZone: c.choice("Square zone", nil, func() { c.edit(state.ZoneField, string(model.SquareZone)) }),
	}
	c.flips = map[model.FlipAxis]*kit.Tap{
		model.FlipAboutY: c.choice("About Y", look.IconFlipY, func() { c.edit(state.FlipField, string(model.FlipAboutY)) }),
		model.FlipAboutX: c.choice("About X", look.IconFlipX, func() { c.edit(state.FlipField, string(model.FlipAboutX)) }),
	}
	for _, t := range c.zones {
		t.OnHelp = func() { p.ExplainField(state.ZoneField) }
	}
	for _, t := range c.flips {
		t.OnHelp = func() { p.ExplainField(state.FlipField) }
	}
	c.forAll = kit.NewButton("Use for all photos", p.UseCardForAll)
	c.forAll.Hide()
	name := c.field(state.CardName, "Card's name", "for example the part's")
	c.content = container.NewVScroll(kit.NewGround(kit.Paper, 12, kit.Column(10,
		bore, chamfer, angle, thick, tol,
		container.NewGridWithColumns(2, c.zones[model.RoundZone], c.zones[model.SquareZone]),
		plusX,
		c.fieldName(state.FlipField, "Part turned over"),
		container.NewGridWithColumns(2, c.flips[model.FlipAboutY], c.flips[model.FlipAboutX]),
		kit.Tall(kit.NewButton("Pick on a drawing…", p.PickFlip), 0, touch),
		c.forAll,
		widget.NewSeparator(),
		name, p.shelfOfCards.content,
	)))
	c.reload()
	return c
}

func (c *cardForm) field(f state.Field, name, hint string) fyne.CanvasObject {
	e := kit.NewEntry()
	e.SetPlaceHolder(hint)
	w := &cardField{entry: e, below: kit.NewLine("", 0.85, kit.Soft), wrong: kit.NewProse("", 0.85, kit.Bad)}
	w.wrong.Hide()
	e.OnChanged = func(text string) {
		if !c.loading {
			c.edit(f, text)
		}
	}
	at := len(c.order)
	c.order = append(c.order, e)
	e.OnSubmitted = func(string) {
		c.settle()
		if cv := c.p.win.Canvas(); cv != nil && at+1 < len(c.order) {
			cv.Focus(c.order[at+1])
		}
	}
	e.OnHelp = func() { c.p.ExplainField(f) }
	e.OnFocus = func() { kit.BringIntoView(c.content, w.box) }
	head := kit.Ends(2, c.fieldName(f, name), w.below)
	w.box = kit.Column(2, head, kit.Tall(e, 0, touch), w.wrong)
	c.fields[f] = w
	return w.box
}

func (c *cardForm) choice(words string, icon fyne.Resource, tap func()) *kit.Tap {
	line := kit.NewLine(words, 0.9, kit.Ink).Centred()
	var content fyne.CanvasObject = kit.Tall(container.NewCenter(line), 0, 28)
	if icon != nil {
		content = kit.Column(4, container.NewCenter(kit.NewSign(icon, 2.4)), line)
	}
	t := kit.NewTap(content, tap)
	t.Edge, t.BarSide = kit.Rule, kit.NoBar
	return t
}

func (c *cardForm) edit(f state.Field, text string) { c.p.apply(c.p.state.Edit(f, text)) }

// settle gives bare numbers their unit, as typed.
func (c *cardForm) settle() {
	c.p.state.Form.Settle()
	c.reload()
	c.p.refresh()
}

// reload writes the state's form into the entries.
func (c *cardForm) reload() {
	c.fields[state.Tolerance].entry.SetPlaceHolder(emptyTolerance[c.p.state.Units])
	c.loading = true
	for f, w := range c.fields {
		if text := c.p.state.Form.Text(f); w.entry.Text != text {
			w.entry.SetText(text)
		}
	}
	c.loading = false
}

// refresh shows what is wrong and what the choices are.
func (c *cardForm) refresh() {
	form := &c.p.state.Form
	problems := form.Problems()
	if form.Clean() && c.p.state.Selected() == nil {
		problems = nil // an empty card on an empty bench is no fault yet
	}
	for f, w := range c.fields {
		w.below.Set(form.Echo(f))
		if problem := problems[f]; problem != "" {
			tint := kit.Tint(kit.Bad)
			if form.Asks(f) {
				tint = kit.Setup1 // asked for, not told off
			}
			w.wrong.Tint = tint
			w.wrong.Set(problem)
			w.wrong.Refresh()
			w.wrong.Show()
		} else {
			w.wrong.Hide()
		}
	}
	if text := form.Text(state.PlusX); c.fields[state.PlusX].entry.Text != text && c.p.win.Canvas().Focused() != c.fields[state.PlusX].entry {
		c.loading = true
		c.fields[state.PlusX].entry.SetText(text) // dragged on the photo
		c.loading = false
	}
	card, _ := form.Card()
	for z, t := range c.zones {
		t.Select(z == card.Zone)
	}
	for f, t := range c.flips {
		t.Select(f == card.Flip)
	}
	if c.p.state.CardsDiffer() {
		c.forAll.Show()
	} else {
		c.forAll.Hide()
	}
	c.content.Refresh()
}

// askFirst puts the cursor into the bore field while no bore is known: the one
// thing that a reading can't do without.
func (c *cardForm) askFirst() {
	if card, _ := c.p.state.Form.Card(); card.BoreMM > 0 {
		return
	}
	c.p.drawer.show(showCard)
	if cv := c.p.win.Canvas(); cv != nil {
		cv.Focus(c.fields[state.Bore].entry)
	}
}
