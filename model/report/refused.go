package report

import (
	"image"
	"time"

	"evenrim/model"
	"evenrim/model/chart"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// RefusedPage says on one page why a photo gave no reading and what to do.
type RefusedPage struct {
	Refusal *model.Refusal
	Origin  model.Photo
	Photo   *image.RGBA        // upright, at any size; nil if it could not be read
	Load    func() *image.RGBA // as in ReadingPage
	Job     model.JobCard
	Labels  Labels
	Version string
	MadeAt  time.Time
	Style   chart.Style // zero = chart.Print()
}

// Title names the page.
func (p *RefusedPage) Title() string { return title(p.Job.Name, p.Labels) }

// At is the time of the attempt.
func (p *RefusedPage) At() time.Time { return p.MadeAt }

// reasonWords are a refusal's reason as a heading.
var reasonWords = map[model.Reason]string{
	model.NoHole: "no hole found", model.NoChamfer: "no chamfer found", model.CutOff: "the hole is cut off",
	model.Blurred: "too blurred", model.Overexposed: "too bright", model.Underexposed: "too dark",
	model.Unreadable: "not a readable picture", model.TooLarge: "picture too large", model.TooSmall: "picture too small",
	model.NotFound: "file not found", model.NotAllowed: "file may not be read", model.BadInput: "wrong input",
	model.Failed: "a fault of the program", model.Cancelled: "stopped",
	model.Ambiguous: "more than one hole", model.Unsure: "not sure enough",
}

// Draw lays the page out on c.
func (p *RefusedPage) Draw(c draw.Canvas) {
	if p.Photo == nil && p.Load != nil {
		loaded := *p
		loaded.Photo = p.Load()
		p = &loaded
	}
	s := styleOr(p.Style)
	u := chart.UnitOf(p.Job.ShowInch)
	k := frame(c, s)
	k.head("No reading", p.Title(), origin(p.Origin), p.MadeAt)

	size := s.Pt(18)
	top := k.y
	k.sign("", s.Doubt, vg.Point{X: k.x + size*0.42, Y: top - size*0.68}, size*0.36)
	why := reasonWords[p.Refusal.Reason]
	if why == "" {
		why = string(p.Refusal.Reason)
	}
	x := k.x
	k.x += size
	k.line(chart.Bold, 17, s.Doubt, -1, "No reading: "+why)
	k.x = x
	k.gap(1)
	k.para(chart.Regular, 9.2, s.Ink, sentence(p.Refusal.Sentence)+
		" No number is given rather than one that cannot be trusted.")
	k.gap(6)

	bottom := k.c.Min.Y + k.footHeight()
	below := func(q *pen) {
		q.heading("Told")
		q.table(bodySize, inputs(p.Job, u))
		if p.Labels.Note != "" {
			q.gap(3)
			q.para(chart.Italic, bodySize, s.Ink, "Note: "+p.Labels.Note)
		}
	}
	h := k.height(below)
	photo := draw.Canvas{Canvas: k.c.Canvas, Rectangle: vg.Rectangle{
		Min: vg.Point{X: k.x, Y: bottom + h + s.Pt(12)}, Max: vg.Point{X: k.x + k.width, Y: k.y},
	}}
	// As high as the photo needs, so that the table follows it.
	if p.Photo != nil && p.Photo.Rect.Dx() > 0 {
		need := k.width * vg.Length(p.Photo.Rect.Dy()) / vg.Length(p.Photo.Rect.Dx())
		photo.Min.Y = max(photo.Min.Y, photo.Max.Y-need)
	} else {
		photo.Min.Y = photo.Max.Y - s.Pt(40)
	}
	(&chart.PhotoFigure{
		Src: p.Photo, Style: s, Unit: u, Places: p.Refusal.Candidates,
		PhotoPx: image.Point{X: p.Origin.WidthPx, Y: p.Origin.HeightPx},
	}).Draw(photo)
	k.y = photo.Min.Y - s.Pt(12)
	below(k)
	k.foot(&model.Reading{Photo: p.Origin, Version: p.Version}, p.Labels)
}
