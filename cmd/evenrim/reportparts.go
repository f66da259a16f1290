package main

import (
	"image"
	"strings"

	"evenrim/model"
	"evenrim/model/report"
)

// partBook puts the pages of a list in the order of its parts and joins the
// readings of each part's holes.
type partBook struct {
	order []string
	parts map[string]*partPages
	load  map[*model.Reading]func() *image.RGBA
}

type partPages struct {
	pages  []report.Page
	photos []model.HolePhoto // in the order of the list
}

func newPartBook() *partBook {
	return &partBook{parts: map[string]*partPages{}, load: map[*model.Reading]func() *image.RGBA{}}
}

func (b *partBook) part(name string) *partPages {
	p := b.parts[name]
	if p == nil {
		p = &partPages{}
		b.parts[name] = p
		b.order = append(b.order, name)
	}
	return p
}

func (b *partBook) addPage(part string, page report.Page) {
	p := b.part(part)
	p.pages = append(p.pages, page)
}

func (b *partBook) addReading(row model.ListRow, r *model.Reading, load func() *image.RGBA) {
	b.load[r] = load
	p := b.part(row.Part)
	p.photos = append(p.photos, model.HolePhoto{Hole: row.Hole, At: row.HoleAt, TurnRad: row.Turn, Reading: r})
}

// pages are all pages; a part that has a name and more than one reading begins
// with a page of its own. What cannot be joined is said on stderr.
func (b *partBook) pages(a *app) []report.Page {
	var out []report.Page
	for _, name := range b.order {
		p := b.parts[name]
		if page := b.partPage(a, name, p); page != nil {
			out = append(out, page)
		}
		out = append(out, p.pages...)
	}
	return out
}

func (b *partBook) partPage(a *app, name string, p *partPages) report.Page {
	if name == "" || len(p.photos) < 2 {
		return nil
	}
	holes, err := model.JoinHoles(p.photos)
	if err != nil {
		a.say("Part %s: %s.", name, strings.TrimSuffix(err.Error(), "."))
		return nil
	}
	f, err := model.FitPart(name, holes, nil)
	if err != nil {
		a.say("Part %s: %s.", name, err)
		return nil
	}
	advice := model.AdvisePart(f, holes[0].Job, model.Machine{Inch: holes[0].Job.ShowInch})
	causes, _ := model.Causes(model.Evidence{Part: f})
	return &report.PartPage{
		Fit: f, Job: holes[0].Job, Version: versionText(), Advice: &advice, Causes: causes,
		Photo: func(r *model.Reading) *image.RGBA {
			if load := b.load[r]; load != nil {
				return load()
			}
			return nil
		},
	}
}
