package bench

import (
	"context"

	"evenrim/model"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/port"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// keptCount is how many of the last readings the list shows.
const keptCount = 100

// keptList lists the readings kept last; a tap reopens one exactly as it was.
type keptList struct {
	p       *Page
	rows    []port.Kept
	list    *widget.List
	empty   *kit.Prose
	problem *kit.Prose
	content fyne.CanvasObject
	asked   int
}

func newKeptList(p *Page) *keptList {
	k := &keptList{p: p}
	k.empty = kit.NewProse("Readings are kept here by themselves once they stand.", 1, kit.Soft)
	k.problem = kit.NewProse("", 1, kit.Bad)
	k.problem.Hide()
	k.list = widget.NewList(
		func() int { return len(k.rows) },
		func() fyne.CanvasObject { return newKeptRow().box },
		func(i widget.ListItemID, o fyne.CanvasObject) { keptRowOf(o).fill(k.rows[i], p.state.Units) },
	)
	k.list.OnSelected = func(i widget.ListItemID) {
		k.list.UnselectAll()
		if row := k.rows[i]; row.Photos > 0 {
			p.ReopenTurns(row.ID)
		} else {
			p.Reopen(row.ID)
		}
	}
	head := kit.NewGround(kit.Paper, 12, kit.Column(6, k.empty, k.problem))
	k.content = container.NewBorder(head, nil, nil, nil, k.list)
	return k
}

// keptRow is one line of the list. A list recycles its rows, so a row finds its
// parts by place.
type keptRow struct {
	sign        *kit.Sign
	name, words *kit.Line
	box         *fyne.Container
}

func newKeptRow() *keptRow {
	r := &keptRow{sign: kit.NewSign(look.IconUndecided, 1.8), name: kit.NewLine("", 0.95, kit.Ink).Cut(), words: kit.NewLine("", 0.85, kit.Soft).Cut()}
	r.box = kit.Tall(kit.Row(10, 1, r.sign, kit.Column(1, r.name, r.words)), 0, touch)
	return r
}

func keptRowOf(o fyne.CanvasObject) *keptRow {
	row := o.(*fyne.Container).Objects[0].(*fyne.Container)
	lines := row.Objects[1].(*fyne.Container)
	return &keptRow{sign: row.Objects[0].(*kit.Sign), name: lines.Objects[0].(*kit.Line), words: lines.Objects[1].(*kit.Line)}
}

func (r *keptRow) fill(k port.Kept, u state.Units) {
	icon, _ := kit.VerdictLook(k.Verdict)
	r.sign.Set(icon)
	l := state.KeptLine(k, u)
	r.name.Set(l.Name)
	r.words.Set(l.Words)
}

// reload asks the record for its last readings.
func (k *keptList) reload() {
	if k.p.deps.Keeper == nil {
		return
	}
	k.asked++
	asked := k.asked
	k.p.crew.Go(func() {
		rows, err := k.p.deps.Keeper.Last(context.Background(), keptCount)
		if sets, ok := k.p.deps.Keeper.(port.SetKeeper); ok && err == nil {
			var joined []port.Kept
			if joined, err = sets.LastSets(context.Background(), keptCount); err == nil {
				rows = state.WithSets(rows, joined)
			}
		}
		k.p.crew.Do(func() {
			if asked != k.asked {
				return
			}
			if err != nil {
				k.problem.Set(err.Error())
				k.problem.Show()
			} else {
				k.rows = rows
				k.problem.Hide()
			}
			if len(k.rows) > 0 {
				k.empty.Hide()
			}
			k.list.Refresh()
			k.content.Refresh()
		})
	})
}

// fails says above the list why something of it can't be shown.
func (k *keptList) fails(err error) {
	k.problem.Set(err.Error())
	k.problem.Show()
	k.content.Refresh()
}

// Reopen lays a kept reading on the bench exactly as it was.
func (p *Page) Reopen(id string) {
	if p.deps.Keeper == nil {
		return
	}
	p.crew.Go(func() {
		r, src, err := p.deps.Keeper.Reopen(context.Background(), id)
		p.crew.Do(func() {
			if err != nil {
				p.kept.fails(err)
				return
			}
			p.reopened(r, id, src)
		})
	})
}

func (p *Page) reopened(r *model.Reading, id string, src port.Source) {
	p.state.Reopen(r, id, src)
	p.card.reload()
	p.refresh()
}
