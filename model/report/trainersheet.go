package report

import (
	"fmt"
	"image"
	"time"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/model/practice"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// PracticeSheet is a set of practice photos to print: pages with the photos and
// lines to write on, then a page with the answers for the trainer.
type PracticeSheet struct {
	Exercises []practice.Exercise
	Photos    []*image.RGBA // of each exercise
	Inch      bool
	Version   string
	MadeAt    time.Time
	Style     chart.Style // zero = chart.Print()
}

const (
	photosPerPage = 4
	answersAPage  = 30
)

// Pages are the sheet's pages, the answers last, so that they can be kept back.
func (s *PracticeSheet) Pages() []Page {
	var out []Page
	for i := 0; i < len(s.Exercises); i += photosPerPage {
		out = append(out, &askPage{s, i, min(i+photosPerPage, len(s.Exercises))})
	}
	for i := 0; i < len(s.Exercises); i += answersAPage {
		out = append(out, &answerPage{s, i, min(i+answersAPage, len(s.Exercises))})
	}
	return out
}

func (s *PracticeSheet) unit() chart.Unit { return chart.UnitOf(s.Inch) }

// origin says how to get the same photos again.
func (s *PracticeSheet) origin() string {
	if len(s.Exercises) == 0 {
		return ""
	}
	e := s.Exercises[0]
	return fmt.Sprintf("series %d, level %d, photos 1 to %d: the same numbers give the same photos", e.Seed, e.Level, len(s.Exercises))
}

func (s *PracticeSheet) foot(k *pen) {
	k.y = k.c.Min.Y + k.footHeight() - k.s.Pt(3)
	k.c.StrokeLine2(k.s.Line(k.s.Rule, 0.7), k.x, k.y, k.x+k.width, k.y)
	k.gap(2)
	k.line(chart.Regular, footSize, k.s.Soft, -1, "Evenrim "+orWord(s.Version, "without a version")+". Synthetic photos, drawn from exact geometry.")
}

// askPage has up to four photos.
type askPage struct {
	s        *PracticeSheet
	from, to int
}

func (p *askPage) Title() string { return "Where is it wide, and why?" }
func (p *askPage) At() time.Time { return p.s.MadeAt }

func (p *askPage) Draw(c draw.Canvas) {
	k := frame(c, styleOr(p.s.Style))
	k.head("Practice sheet", p.Title(), p.s.origin(), p.s.MadeAt)
	k.line(chart.Regular, 10, k.s.Ink, -1, "Name: ______________________________     Date: ________________")
	k.gap(8)
	gap := k.s.Pt(gutter)
	w := (k.width - gap) / 2
	h := (k.y - k.c.Min.Y - k.footHeight() - gap) / 2
	for i := p.from; i < p.to; i++ {
		n := i - p.from
		q := *k
		q.x, q.width = k.x+vg.Length(n%2)*(w+gap), w
		q.y = k.y - vg.Length(n/2)*(h+gap)
		p.one(&q, i, h)
	}
	p.s.foot(k)
}

// one is a photo with its drawing's values and the lines to write on.
func (p *askPage) one(k *pen, i int, h vg.Length) {
	e, u := p.s.Exercises[i], p.s.unit()
	top := k.y
	unit := "µm"
	if p.s.Inch {
		unit = "thou"
	}
	k.line(chart.Bold, 12, k.s.Ink, -1, fmt.Sprintf("%d", i+1))
	k.para(chart.Regular, 8.4, k.s.Soft, fmt.Sprintf("bore %s, chamfer %s on the drawing, mismatch up to %s allowed",
		practice.OnDrawing(e.Shot.BoreMM, u), practice.OnDrawing(e.Shot.NominalMM, u), practice.OnDrawing(e.ToleranceMM, u)))
	k.gap(2)
	lines := []string{
		"Wide at ______ o'clock   or   even all round  [  ]",
		"Off by ____________ " + unit + ", or ______ % of the chamfer",
		"Conforms [  ]   does not [  ]   can't tell by eye [  ]",
	}
	below := k.s.Pt(float64(len(lines))*16 + 2*12 + 8)
	room := top - h + below
	box := draw.Canvas{Canvas: k.c.Canvas, Rectangle: vg.Rectangle{Min: vg.Point{X: k.x, Y: room}, Max: vg.Point{X: k.x + k.width, Y: k.y}}}
	(&chart.PhotoFigure{Src: p.s.Photos[i], Style: k.s, Unit: u}).Draw(box)
	k.y = room - k.s.Pt(6)
	for _, l := range lines {
		k.line(chart.Regular, 9, k.s.Ink, -1, l)
		k.gap(4.5)
	}
	for _, row := range [][]practice.Cause{practice.Causes[:3], practice.Causes[3:]} {
		x := k.x
		y := k.y
		for j, c := range row {
			st := k.s.Text(chart.Regular, 7.4, k.s.Ink)
			k.put(st, x+k.width*vg.Length(j)/3, "[  ] "+c.Words())
		}
		k.y = y - k.step(9)
	}
}

// answerPage is the trainer's own.
type answerPage struct {
	s        *PracticeSheet
	from, to int
}

func (p *answerPage) Title() string { return "Answers, for the trainer" }
func (p *answerPage) At() time.Time { return p.s.MadeAt }

func (p *answerPage) Draw(c draw.Canvas) {
	k := frame(c, styleOr(p.s.Style))
	u := p.s.unit()
	k.head("Practice sheet", p.Title(), p.s.origin(), p.s.MadeAt)
	k.para(chart.Regular, 8.4, k.s.Soft, "The figures are exact: the photos were drawn from them. Full marks within half an hour of the clock and a quarter of the size; nothing from two and a half hours or three times the size on.")
	k.gap(5)
	cols := []column{{0, false, "photo"}, {0.08, false, "wide at"}, {0.27, true, "off by"}, {0.39, true, "of the chamfer"},
		{0.42, false, "verdict"}, {0.60, false, "what it shows"}}
	k.cells(chart.Bold, tableSize+0.8, true, cols, names(cols))
	k.y -= k.step(12)
	for i := p.from; i < p.to; i++ {
		k.cells(chart.Regular, tableSize+0.8, false, cols, p.row(i, u))
		k.y -= k.step(12)
	}
	k.gap(8)
	k.heading("What to tell them by")
	for _, cause := range practice.Causes {
		k.item(8.4, k.s.Ink, cause.Words()+": "+cause.Sign())
	}
	k.gap(5)
	for _, l := range Cautions {
		k.item(7.8, k.s.Soft, l)
	}
	p.s.foot(k)
}

func (p *answerPage) row(i int, u chart.Unit) []string {
	e := p.s.Exercises[i]
	k := e.Key
	where, size, share := "even all round", "none", ""
	if !k.Even {
		mm := k.Mismatch.Norm()
		where = model.Clock(k.ScreenRad)
		size = practice.Small(mm, k.WidthMM/50, u)
		share = fmt.Sprintf("%.0f %%", 100*mm/k.WidthMM)
	}
	words := k.Cause.Words()
	if k.Cause == practice.Apart && (len(e.Shot.Flaws) > 0 || e.Shot.TiltX != 0 || e.Shot.TiltY != 0 || e.Shot.Light == practice.SideLight) {
		words += " (and a decoy)"
	}
	return []string{fmt.Sprint(i + 1), where, size, share, string(k.Verdict), words}
}
