package bench

import (
	"context"
	"image"

	"evenrim/model"
	"evenrim/model/report"
	"evenrim/ui/kit"
	"evenrim/ui/port"
	"evenrim/ui/state"
)

// keepTurns puts what turn sets say together into the record, as soon as all their
// readings are there.
func (p *Page) keepTurns() {
	k, ok := p.deps.Keeper.(port.SetKeeper)
	if !ok || p.closed {
		return
	}
	for _, s := range p.state.Outrun() {
		p.keepNow(s)
	}
	sets, members := p.state.UnkeptTurns()
	for i, t := range sets {
		t.Kept = state.BeingKept
		j, names := t.ToKeep, members[i]
		p.crew.Go(func() {
			id, err := k.KeepSet(context.Background(), j, names)
			p.land(func() {
				if err != nil {
					p.sheet.keepProblem = err.Error() // the record's errors are sentences
					id = ""
				}
				if t.ToKeep == j {
					t.Kept = id
				}
				p.kept.reload()
				p.refresh()
			})
		})
	}
}

// ReopenTurns lays a kept turn set on the bench exactly as it was, with its readings.
func (p *Page) ReopenTurns(id string) {
	k, ok := p.deps.Keeper.(port.SetKeeper)
	if !ok {
		return
	}
	p.crew.Go(func() {
		ctx := context.Background()
		j, members, err := k.ReopenSet(ctx, id)
		var readings []*model.Reading
		var sources []port.Source
		for _, m := range members {
			if err != nil {
				break
			}
			var r *model.Reading
			var src port.Source
			if r, src, err = p.deps.Keeper.Reopen(ctx, m); err == nil {
				readings, sources = append(readings, r), append(sources, src)
			}
		}
		p.crew.Do(func() {
			if err != nil {
				p.kept.fails(err)
				return
			}
			var photos []*state.Photo
			for i, r := range readings {
				photos = append(photos, p.state.Reopen(r, members[i], sources[i]))
			}
			p.help.open, p.help.kind = false, noTool
			p.state.ReopenTurns(j, id, photos)
			p.card.reload()
			p.refresh()
		})
	})
}

// turnsInView is the turn set that the sheet shows, nil when it shows one photo.
func (p *Page) turnsInView() *state.Turns {
	if _, set := p.sheet.inView(); set == nil {
		return nil
	}
	return p.state.Turns
}

// saveTurnReport asks where to and writes the turn set as one page to print.
func (p *Page) saveTurnReport(t *state.Turns) {
	first := p.state.Photo(t.Photos[0])
	if first == nil {
		return
	}
	kit.AskSave(p.win, kit.FileWish{Title: "Save the turn set's report", Name: baseName(first.Name) + " turn set.pdf", Endings: []string{".pdf"}, FolderPref: folderPref,
		Then: func(path string) { p.writeTurnReport(path, t) }})
}

func (p *Page) writeTurnReport(path string, t *state.Turns) {
	j := *t.Result
	j.Job.ShowInch = p.state.Units == state.Inch
	page := &report.TurnSetPage{Joined: &j, Members: t.Used}
	kept := t.Kept
	source := map[*model.Reading]port.Source{}
	for i, id := range t.Photos {
		if s := p.state.Photo(id); s != nil {
			source[t.Used[i]] = s.Source
		}
	}
	// A photo at a time, read again: the page outlives what lies on the shelf.
	page.Photo = func(r *model.Reading) *image.RGBA {
		src, ok := source[r]
		if !ok {
			return nil
		}
		pic, err := p.deps.Photos.Open(context.Background(), src)
		if err != nil {
			return nil
		}
		defer pic.Close()
		return pic.RGBA()
	}
	paper := report.PaperFor(p.state.Units)
	p.crew.Go(func() {
		page.Labels = p.labelsOf(kept)
		err := report.Save(path, paper, page)
		p.crew.Do(func() { p.written(err, "Report", "The report is in "+path+".") })
	})
}
