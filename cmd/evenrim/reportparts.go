package main

import (
	"image"
	"math"

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
	pages []report.Page
	holes []*partHole
}

// partHole is one hole's photos in the order of the list.
type partHole struct {
	name     string
	at       *model.Vec
	readings []*model.Reading
	turnRad  []float64
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
	var h *partHole
	for _, known := range p.holes {
		if known.name == row.Hole {
			h = known
		}
	}
	if h == nil {
		h = &partHole{name: row.Hole}
		p.holes = append(p.holes, h)
	}
	turn := math.NaN() // not stated
	if row.Turn != nil {
		turn = *row.Turn
	}
	if h.at == nil {
		h.at = row.HoleAt
	}
	h.readings, h.turnRad = append(h.readings, r), append(h.turnRad, turn)
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
	n := 0
	for _, h := range p.holes {
		n += len(h.readings)
	}
	if name == "" || n < 2 {
		return nil
	}
	var holes []model.HoleReading
	for _, h := range p.holes {
		j, err := model.JoinHole(h.name, h.at, h.readings, h.turnRad)
		if err != nil {
			a.say("Part %s: %s.", name, err)
			return nil
		}
		holes = append(holes, j)
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
