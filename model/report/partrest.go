package report

import (
	"time"

	"evenrim/model/chart"

	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/recorder"
)

// WithRest puts after each part's page the rows that it has no room for on this paper.
func WithRest(paper Paper, pages ...Page) []Page {
	var out []Page
	for _, p := range pages {
		out = append(out, p)
		if part, ok := p.(*PartPage); ok {
			out = append(out, part.rest(paper)...)
		}
	}
	return out
}

// partRest is a page of rows of a part that its first page has no room for.
type partRest struct {
	*PartPage
	from, to partRows
}

// rest lays out the pages after the first.
func (p *PartPage) rest(paper Paper) []Page {
	w, h := paper.Size()
	c := draw.NewCanvas(new(recorder.Canvas), w, h) // to measure on
	_, at := p.begin(c)
	all := partRows{len(p.Fit.Holes), len(p.Fit.Walls), len(p.Fit.Warnings)}
	var out []Page
	for at != all {
		page := &partRest{p, at, at}
		k := page.begin(c)
		room := k.y - k.c.Min.Y - k.footHeight()
		// A row more, as long as it fits; one at least.
		for page.to != all {
			more := page.to
			switch {
			case more.holes < all.holes:
				more.holes++
			case more.walls < all.walls:
				more.walls++
			default:
				more.warnings++
			}
			longer := &partRest{p, at, more}
			if page.to != at && k.height(longer.words) > room {
				break
			}
			page = longer
		}
		at = page.to
		out = append(out, page)
	}
	return out
}

// Title names the page.
func (p *partRest) Title() string { return p.PartPage.Title() + ", continued" }

// At is the time of the part's last reading.
func (p *partRest) At() time.Time { return p.PartPage.At() }

// Draw lays the page out on c.
func (p *partRest) Draw(c draw.Canvas) {
	k := p.begin(c)
	p.words(k)
	p.foot(k)
}

func (p *partRest) begin(c draw.Canvas) *pen {
	k := frame(c, styleOr(p.Style))
	k.head("Part", p.Title(), p.contents(), p.At())
	return k
}

func (p *partRest) words(k *pen) {
	u := chart.UnitOf(p.Job.ShowInch)
	if p.to.holes > p.from.holes {
		p.holeTable(k, u, p.from.holes, p.to.holes)
		k.gap(6)
	}
	if p.to.walls > p.from.walls {
		p.wallTable(k, u, p.from.walls, p.to.walls)
		k.gap(6)
	}
	if n := p.to.warnings - p.from.warnings; n > 0 {
		k.doubtsAndNote(p.Fit.Warnings[p.from.warnings:p.to.warnings], n, "")
	}
}
