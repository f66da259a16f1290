package bench

import (
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// drawer is the column left of the photo: the job card, or the kept readings, or
// shut.
type drawer struct {
	p        *Page
	side     side
	byHand   bool // the user chose; otherwise it follows the window's width
	narrow   bool
	card     *kit.Tap
	kept     *kit.Tap
	shut     *kit.Button
	content  fyne.CanvasObject
	onChange func()
}

type side int

const (
	shut side = iota
	showCard
	showKept
)

func newDrawer(p *Page) *drawer {
	d := &drawer{p: p, side: showCard}
	tab := func(icon look.Icon, words string, s side) *kit.Tap {
		t := kit.NewTap(kit.Row(6, 1, kit.NewSign(icon, 1.4), kit.NewLine(words, 0.95, kit.Ink).Cut()), func() { d.show(s) })
		t.BarSide = kit.BarTop
		return t
	}
	d.card, d.kept = tab(look.IconCard, "Job card", showCard), tab(look.IconKept, "Kept", showKept)
	d.shut = kit.NewButtonWithIcon("", look.IconCancel, func() { d.byHand = true; d.set(shut) })
	d.shut.Importance = widget.LowImportance
	head := kit.NewGround(kit.Margin, 0, container.NewBorder(nil, nil, nil, kit.Tall(d.shut, 40, touch),
		container.NewGridWithColumns(2, kit.Tall(d.card, 0, touch), kit.Tall(d.kept, 0, touch))))
	d.content = kit.NewGround(kit.Paper, 0, container.NewBorder(head, nil, nil, nil, container.NewStack(p.card.content, p.kept.content)))
	return d
}

// toggle opens the drawer at a side, or shuts it if it is there already.
func (d *drawer) toggle(s side) {
	d.byHand = true
	if d.side == s {
		s = shut
	}
	d.set(s)
}

func (d *drawer) show(s side) {
	d.byHand = true
	d.set(s)
}

func (d *drawer) set(s side) {
	if d.side == s {
		return
	}
	d.side = s
	d.refresh()
	if d.onChange != nil {
		d.onChange()
	}
}

// fits is told whether there is room for the drawer beside photo and sheet; it
// shuts by itself where there isn't, once the card is good. On an empty bench the ways in
// come first.
func (d *drawer) fits(wide bool) {
	card, problem := d.p.state.Form.Card()
	d.narrow = !wide
	if d.byHand {
		return
	}
	want := showCard
	if d.narrow && (d.p.state.Selected() == nil || problem == nil && card.BoreMM > 0) {
		want = shut
	}
	d.side = want
}

func (d *drawer) refresh() {
	d.card.Select(d.side == showCard)
	d.kept.Select(d.side == showKept)
	if d.side == showKept {
		d.p.card.content.Hide()
		d.p.kept.content.Show()
		d.p.kept.fitRows()
	} else {
		d.p.kept.content.Hide()
		d.p.card.content.Show()
	}
	if d.side == shut {
		d.content.Hide()
	} else {
		d.content.Show()
	}
}
