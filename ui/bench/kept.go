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
	list    *kit.List
	empty   *kit.Prose
	problem *kit.Prose
	content fyne.CanvasObject
	asked   int
	made    map[fyne.CanvasObject]*keptRow // the list's recycled rows, by what it shows
	fitted  keptFit
}

// keptFit is what the rows' heights follow from.
type keptFit struct {
	asked int
	width float32
	text  float32
	units state.Units
}

func newKeptList(p *Page) *keptList {
	k := &keptList{p: p, made: map[fyne.CanvasObject]*keptRow{}}
	k.empty = kit.NewProse("Readings are kept here by themselves once they stand.", 1, kit.Soft)
	k.problem = kit.NewProse("", 1, kit.Bad)
	k.problem.Hide()
	k.list = kit.NewList(
		func() int { return len(k.rows) },
		func() fyne.CanvasObject {
			r := newKeptRow()
			k.made[r.box] = r
			return r.box
		},
		func(i int, o fyne.CanvasObject) { k.made[o].fill(k.rows[i], p.state.Units) })
	k.list.OnSelected = func(i widget.ListItemID) {
		k.list.UnselectAll()
		if row := k.rows[i]; row.Photos > 0 {
			p.ReopenTurns(row.ID)
		} else {
			p.Reopen(row.ID)
		}
	}
	head := kit.NewGround(kit.Paper, 12, kit.Column(6, k.empty, k.problem))
	k.content = container.NewBorder(head, nil, nil, nil, &fyne.Container{Layout: keptSight{k}, Objects: []fyne.CanvasObject{k.list}})
	return k
}

// keptSight gives the list its place; another width makes other heights.
type keptSight struct{ k *keptList }

func (keptSight) MinSize(o []fyne.CanvasObject) fyne.Size { return o[0].MinSize() }

func (s keptSight) Layout(o []fyne.CanvasObject, size fyne.Size) {
	o[0].Resize(size)
	s.k.fitRows()
}

// keptRow is one row of the list.
type keptRow struct {
	sign              *kit.Sign
	name, words, when *kit.Prose
	box               fyne.CanvasObject
}

func newKeptRow() *keptRow {
	r := &keptRow{sign: kit.NewSign(look.IconUndecided, 1.8),
		name: kit.NewProse("", 0.95, kit.Ink), words: kit.NewProse("", 0.85, kit.Ink), when: kit.NewProse("", 0.8, kit.Soft)}
	r.box = kit.Tall(container.NewPadded(kit.Row(10, 1, r.sign, kit.Column(1, r.name, r.words, r.when))), 0, touch)
	return r
}

func (r *keptRow) fill(k port.Kept, u state.Units) {
	icon, _ := kit.VerdictLook(k.Verdict)
	r.sign.Set(icon)
	l := state.KeptLine(k, u)
	r.name.Set(l.Name)
	r.words.Set(l.Words)
	r.when.Set(l.When)
}

// fitRows gives each row the height that its words take at the list's width.
func (k *keptList) fitRows() {
	fit := keptFit{k.asked, k.list.Size().Width, look.Zoom(), k.p.state.Units}
	if fit == k.fitted || fit.width <= 0 || !k.content.Visible() {
		return
	}
	k.fitted = fit
	pattern := newKeptRow()
	for i, row := range k.rows {
		pattern.fill(row, fit.units)
		for range 2 { // wrapped text tells its height once it has its width
			pattern.box.Resize(fyne.NewSize(fit.width, pattern.box.MinSize().Height))
		}
		k.list.SetItemHeight(i, pattern.box.MinSize().Height)
	}
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
			k.fitted = keptFit{}
			k.fitRows()
			k.list.Refresh()
			k.content.Refresh()
			k.p.refresh() // the sheet says whose place its reading took
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
		outdated := p.labelsOf(id).Outdated
		p.crew.Do(func() {
			if err != nil {
				p.kept.fails(err)
				return
			}
			p.reopened(r, id, src, outdated)
		})
	})
}

func (p *Page) reopened(r *model.Reading, id string, src port.Source, outdated string) {
	p.state.Reopen(r, id, src).Outdated = outdated
	p.card.reload()
	p.refresh()
}
