package bench

import (
	"errors"
	"fmt"

	"evenrim/model"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// cardShelf is where job cards are kept by name: above the form, shut until it is
// wanted.
type cardShelf struct {
	p       *Page
	head    *kit.Tap
	words   *kit.Prose
	list    *fyne.Container
	problem *kit.Prose
	said    *kit.Prose
	content fyne.CanvasObject
	cards   []model.JobCard
	open    bool
}

func newCardShelf(p *Page) *cardShelf {
	c := &cardShelf{p: p, list: kit.Column(6)}
	c.words = kit.NewProse("", 0.95, kit.Ink)
	c.head = kit.NewTap(kit.Row(8, 1, kit.NewSign(look.IconKept, 1.3), c.words), c.toggle)
	c.head.Edge, c.head.BarSide = kit.Rule, kit.NoBar
	c.problem = kit.NewProse("", 0.85, kit.Setup1)
	c.problem.Hide()
	c.said = kit.NewProse("", 0.85, kit.Soft)
	c.said.Hide()
	save := kit.NewButton("Keep this card", p.KeepCard)
	c.content = kit.Column(6, kit.Tall(c.head, 0, touch), c.list, c.problem, kit.Tall(save, 0, touch), c.said)
	if p.deps.Cards == nil {
		c.content.Hide()
	}
	c.list.Hide()
	return c
}

// reload reads the cards anew.
func (c *cardShelf) reload() {
	if c.p.deps.Cards == nil {
		return
	}
	cards, err := c.p.deps.Cards.All()
	c.say(err)
	c.cards = cards
	switch len(cards) {
	case 0:
		c.words.Set("No cards kept yet")
	case 1:
		c.words.Set("1 kept card")
	default:
		c.words.Set(fmt.Sprintf("%d kept cards", len(cards)))
	}
	c.list.Objects = nil
	for _, card := range cards {
		c.list.Add(c.row(card))
	}
	c.content.Refresh()
}

func (c *cardShelf) row(card model.JobCard) fyne.CanvasObject {
	words := kit.Column(1, kit.NewProse(card.Name, 0.95, kit.Ink).Bold(), kit.NewProse(state.CardLine(card, c.p.state.Units), 0.8, kit.Soft))
	pick := kit.NewTap(words, func() { c.take(card) })
	pick.Fill, pick.Edge, pick.BarSide = kit.Raised, kit.Rule, kit.NoBar
	more := kit.NewButtonWithIcon("", look.IconMore, nil)
	more.OnTapped = func() {
		menu := widget.NewPopUpMenu(fyne.NewMenu("",
			fyne.NewMenuItem("Duplicate", func() { c.duplicate(card) }),
			fyne.NewMenuItem("Delete…", func() { c.askDelete(card) }),
		), c.p.win.Canvas())
		menu.ShowAtRelativePosition(fyne.NewPos(0, more.Size().Height), more)
	}
	more.Importance = widget.LowImportance
	return kit.Row(2, 0, pick, kit.Tall(more, 40, touch))
}

func (c *cardShelf) toggle() {
	c.open = !c.open
	if c.open {
		c.reload()
		c.list.Show()
	} else {
		c.list.Hide()
	}
	c.p.card.content.Refresh()
}

func (c *cardShelf) take(card model.JobCard) {
	e := c.p.state.TakeCard(card)
	c.toggle()
	c.p.card.reload()
	c.p.apply(e)
	c.note("Took " + card.Name)
}

func (c *cardShelf) duplicate(card model.JobCard) {
	card.Name = state.CopyName(card.Name, c.cards)
	c.say(c.p.deps.Cards.Save(card))
	c.reload()
}

func (c *cardShelf) askDelete(card model.JobCard) {
	kit.Confirm(c.p.win, "Delete the job card?", "“"+card.Name+"” is taken off the shelf. Readings made with it stay as they are.", "Delete", func() {
		c.say(c.p.deps.Cards.Delete(card.Name))
		c.reload()
	})
}

// KeepCard keeps the job card under its name; a card of that name is replaced.
func (p *Page) KeepCard() {
	c := p.shelfOfCards
	if p.deps.Cards == nil {
		return
	}
	card, err := p.state.KeepableCard()
	if err == nil {
		err = p.deps.Cards.Save(card)
	}
	if c.say(err); err == nil {
		c.reload()
		c.note("Kept as " + card.Name)
	}
	c.bringAnswer(err)
}

// bringAnswer brings what was said of keeping the card into view: it may have been asked
// for by key, with the drawer shut or the card scrolled elsewhere. What is missing has the
// cursor then.
func (c *cardShelf) bringAnswer(err error) {
	p := c.p
	p.drawer.show(showCard)
	p.card.content.Refresh() // the words have their places
	var wrong *model.FieldError
	if cv := p.win.Canvas(); cv != nil && errors.As(err, &wrong) {
		if f := p.card.fields[state.Field(wrong.Field)]; f != nil {
			cv.Focus(f.entry)
			if wrong.Field != string(state.CardName) {
				return // said beside the field, too
			}
		}
	}
	words := fyne.CanvasObject(c.said)
	if err != nil {
		words = c.problem
	}
	kit.BringIntoView(p.card.content, words)
	p.crew.Do(func() { kit.BringIntoView(p.card.content, words) }) // once more when they are laid out
}

func (c *cardShelf) say(err error) {
	if err == nil {
		c.problem.Hide()
		return
	}
	c.said.Hide()
	c.problem.Set(err.Error())
	c.problem.Show()
	c.content.Refresh()
}

func (c *cardShelf) note(words string) {
	c.said.Set(words)
	c.said.Show()
	c.content.Refresh()
}

// fieldName is a field's name with a mark that opens its help; F1 in the field does, too.
func (c *cardForm) fieldName(f state.Field, name string) fyne.CanvasObject {
	ask := kit.PassedBy(kit.NewLine("?", 0.85, kit.Setup1).Bold().Centred(), func() { c.p.ExplainField(f) })
	return container.NewHBox(kit.NewLine(name, 0.85, kit.Soft), kit.Tall(ask, 24, 0))
}
