package report

import (
	"fmt"
	"strings"
	"time"

	"evenrim/model"
	"evenrim/model/batch"
	"evenrim/model/chart"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// BatchPage is one batch on one page: where it lies, how well it keeps to the
// tolerance, what to move, its map and its parts.
type BatchPage struct {
	Answer  BatchAnswer
	Unit    chart.Unit
	Version string
	MadeAt  time.Time
	Style   chart.Style // zero = chart.Print()
}

// Title names the page.
func (p *BatchPage) Title() string { return capital(BatchName(p.Answer.Batch.Name)) }

// At is when the batch was worked out.
func (p *BatchPage) At() time.Time { return p.MadeAt }

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// Draw lays the page out on c.
func (p *BatchPage) Draw(c draw.Canvas) {
	a, s, u := p.Answer, styleOr(p.Style), p.Unit
	k := frame(c, s)
	k.head("Batch", p.Title(), counted(len(a.Batch.Parts), "part")+", mismatch of setup 2 in setup 2's axes", p.MadeAt)
	k.line(chart.Bold, 17, s.Ink, -1, a.Figures(u))
	k.gap(1)
	if of := a.Of(u); of != "" {
		k.para(chart.Regular, bodySize, s.Soft, of)
		k.gap(1)
	}
	k.para(chart.Regular, 9.2, s.Ink, a.Where(u)+" "+a.StandOut())
	k.gap(6)

	top, x, width := k.y, k.x, k.width
	side := width * 0.46
	m := chart.BatchMap([]batch.Batch{a.Batch}, chart.MapOptions{Style: s, Unit: u})
	m.Inset = 0
	m.Draw(draw.Canvas{Canvas: c.Canvas, Rectangle: vg.Rectangle{Min: vg.Point{X: x, Y: top - side}, Max: vg.Point{X: x + side, Y: top}}})
	k.x, k.width = x+side+s.Pt(gutter), width-side-s.Pt(gutter)
	k.heading("Against the tolerance")
	for _, l := range a.CapabilityWords() {
		k.para(chart.Regular, bodySize, s.Ink, l)
		k.gap(2)
	}
	if a.Capability != nil {
		k.para(chart.Regular, 7.8, s.Soft, PpkWords)
	}
	k.gap(5)
	k.heading("Correction")
	for _, l := range a.CorrectionWords(u) {
		k.para(chart.Regular, bodySize, s.Ink, l)
		k.gap(2)
	}
	k.gap(2)
	for _, l := range Cautions {
		k.item(7.8, s.Soft, l)
	}
	k.y = min(k.y, top-side) - s.Pt(10)
	k.x, k.width = x, width
	if d := a.Doubts(); len(d) > 0 {
		k.heading("Mind")
		for _, l := range d {
			k.item(7.8, s.Doubt, l)
		}
		k.gap(8)
	}
	p.table(k, u)
	batchFoot(k, p.Version)
}

// table lists the parts in as many columns as they need.
func (p *BatchPage) table(k *pen, u chart.Unit) {
	parts := p.Answer.Batch.Parts
	k.heading("Parts in the order of making (mismatch in " + longUnit(u) + ", ± 95 %)")
	rows := int((k.y - k.c.Min.Y - k.footHeight() - k.s.Pt(4)) / k.step(tableSize))
	if rows < 3 {
		return
	}
	columns := 2
	perColumn := min(rows-1, (len(parts)+columns-1)/columns)
	top, x, width := k.y, k.x, k.width
	k.width = (width - k.s.Pt(gutter)) / 2
	cols := []column{{0, false, "part"}, {0.38, true, "X"}, {0.54, true, "Y"}, {0.69, true, "±"}, {0.73, false, "verdict"}}
	shown := 0
	for i := range columns {
		k.x, k.y = x+vg.Length(i)*(k.width+k.s.Pt(gutter)), top
		k.cells(chart.Regular, tableSize, true, cols, names(cols))
		k.y -= k.step(tableSize)
		for range perColumn {
			if shown >= len(parts) {
				break
			}
			if i == columns-1 && k.y-2*k.step(tableSize) < k.c.Min.Y+k.footHeight() && shown < len(parts)-1 {
				k.line(chart.Italic, tableSize, k.s.Soft, -1, fmt.Sprintf("and %s more", counted(len(parts)-shown, "part")))
				break
			}
			q := parts[shown]
			u95 := model.U95(q.Cov)
			d := u.Decimals(u95)
			v := q.Verdict(p.Answer.Batch.ToleranceMM, p.Answer.Batch.Zone)
			name := clip(k.s.Text(chart.Regular, tableSize, k.s.Ink), q.Name, k.width*0.3)
			k.cells(chart.Regular, tableSize, false, cols, []string{name, u.Signed(q.D.X, d), u.Signed(q.D.Y, d), u.FormatU(u95, d), string(v)})
			k.y -= k.step(tableSize)
			shown++
		}
	}
	k.x, k.width = x, width
}

func batchFoot(k *pen, version string) {
	k.y = k.c.Min.Y + k.footHeight() - k.s.Pt(3)
	k.c.StrokeLine2(k.s.Line(k.s.Rule, 0.7), k.x, k.y, k.x+k.width, k.y)
	k.gap(2)
	k.put(k.s.Text(chart.Regular, footSize, k.s.Soft), k.x, "Evenrim "+orWord(version, "without a version"))
}

// BatchChartsPage has the control charts of a batch and, in words, what breaks
// their rules.
type BatchChartsPage BatchPage

// Title names the page.
func (p *BatchChartsPage) Title() string {
	return capital(BatchName(p.Answer.Batch.Name)) + ", control charts"
}

// At is when the batch was worked out.
func (p *BatchChartsPage) At() time.Time { return p.MadeAt }

// Draw lays the page out on c.
func (p *BatchChartsPage) Draw(c draw.Canvas) {
	a, s, u := p.Answer, styleOr(p.Style), p.Unit
	k := frame(c, s)
	k.head("Batch", p.Title(), "limits at three standard deviations from the moving range; a ring marks what a rule calls out", p.MadeAt)
	words := a.SignalWords()
	const most = 14
	if len(words) > most {
		words = append(words[:most:most], fmt.Sprintf("And %d more.", len(words)-most))
	}
	below := func(q *pen) {
		q.heading("What stands out")
		for _, l := range words {
			q.item(7.8, s.Ink, l)
		}
		if a.Control != nil {
			q.para(chart.Regular, 7.8, s.Soft, PlaneWords)
		}
		if len(a.Causes) > 0 {
			q.gap(4)
			q.heading("Likely causes")
			for _, l := range CauseWords(a.Causes) {
				q.item(7.8, s.Ink, l)
			}
		}
	}
	if a.Control != nil {
		list := chart.BatchCharts(a.Batch, *a.Control, u, s)
		room := k.y - k.c.Min.Y - k.footHeight() - k.height(below) - s.Pt(14)
		grid(k, list, room)
	}
	below(k)
	batchFoot(k, p.Version)
}

// grid draws charts in two columns into a height: X left, Y right.
func grid(k *pen, list []chart.BatchChart, height vg.Length) {
	n := len(list)
	half := (n - 1) / 2 // the last one is of both axes
	order := make([]int, 0, n)
	for i := range half {
		order = append(order, i, i+half)
	}
	order = append(order, n-1)
	rows := (n + 1) / 2
	gap := k.s.Pt(8)
	h := min((height-gap*vg.Length(rows-1))/vg.Length(rows), k.width*0.36)
	w := (k.width - k.s.Pt(gutter)) / 2
	for i, at := range order {
		x, y := k.x, k.y-vg.Length(i/2)*(h+gap)
		wide := w
		if i%2 == 1 {
			x += w + k.s.Pt(gutter)
		} else if i == n-1 {
			wide = k.width
		}
		list[at].Chart.Inset = 0
		list[at].Chart.Draw(draw.Canvas{Canvas: k.c.Canvas, Rectangle: vg.Rectangle{Min: vg.Point{X: x, Y: y - h}, Max: vg.Point{X: x + wide, Y: y}}})
	}
	k.y -= vg.Length(rows)*(h+gap) + k.s.Pt(4)
}

// ComparePage sets a batch against the one before: did the change help?
type ComparePage struct {
	Answer  CompareAnswer
	Unit    chart.Unit
	Panels  func() []chart.Panel // a photo of each; nil = none
	Version string
	MadeAt  time.Time
	Style   chart.Style
}

// Title names the page.
func (p *ComparePage) Title() string {
	return capital(BatchName(p.Answer.B.Name)) + " against " + BatchName(p.Answer.A.Name)
}

// At is when the batches were compared.
func (p *ComparePage) At() time.Time { return p.MadeAt }

// Draw lays the page out on c.
func (p *ComparePage) Draw(c draw.Canvas) {
	a, s, u := p.Answer, styleOr(p.Style), p.Unit
	k := frame(c, s)
	k.head("Before and after", p.Title(), counted(len(a.A.Parts), "part")+" before, "+fmt.Sprint(len(a.B.Parts))+" after", p.MadeAt)
	k.para(chart.Bold, 13, s.Ink, a.Headline())
	k.gap(3)
	for _, l := range a.Words(u) {
		k.para(chart.Regular, 9.2, s.Ink, l)
		k.gap(1.5)
	}
	for _, l := range a.Doubts() {
		k.item(bodySize, s.Doubt, l)
	}
	k.gap(8)
	side := k.width * 0.62
	m := chart.BatchMap([]batch.Batch{a.A, a.B}, chart.MapOptions{Style: s, Unit: u, Title: "Every part, and where 95 % of such parts lie"})
	m.Inset = 0
	m.Draw(draw.Canvas{Canvas: c.Canvas, Rectangle: vg.Rectangle{Min: vg.Point{X: k.x + (k.width-side)/2, Y: k.y - side}, Max: vg.Point{X: k.x + (k.width+side)/2, Y: k.y}}})
	k.y -= side + s.Pt(12)
	if p.Panels != nil {
		if panels := p.Panels(); len(panels) > 0 {
			k.heading("A photo of each, at one scale, +X to the right; below, its unrolled rim from +Y on, clockwise")
			h := k.y - k.c.Min.Y - k.footHeight() - s.Pt(4)
			(&chart.PanelsFigure{Panels: panels, Style: s, Unit: u, Rims: true}).Draw(draw.Canvas{Canvas: c.Canvas, Rectangle: vg.Rectangle{
				Min: vg.Point{X: k.x, Y: k.y - h}, Max: vg.Point{X: k.x + k.width, Y: k.y}}})
		}
	}
	batchFoot(k, p.Version)
}

// BatchPages are the pages of batches: each with its charts, and each set against
// the one before it; all in one unit, whatever the readings were made in. panels gives a
// photo of each of two batches, nil = none.
func BatchPages(answers []BatchAnswer, u chart.Unit, panels func(a, b batch.Batch) []chart.Panel, version string, at time.Time) ([]Page, error) {
	var out []Page
	for i, a := range answers {
		b := BatchPage{Answer: a, Unit: u, Version: version, MadeAt: at}
		out = append(out, &b)
		if a.Control != nil {
			charts := BatchChartsPage(b)
			out = append(out, &charts)
		}
		if i == 0 {
			continue
		}
		c, err := AnswerCompare(answers[i-1].Batch, a.Batch)
		if err != nil {
			return nil, err
		}
		page := &ComparePage{Answer: c, Unit: u, Version: version, MadeAt: at}
		if panels != nil {
			page.Panels = func() []chart.Panel { return panels(c.A, c.B) }
		}
		out = append(out, page)
	}
	return out, nil
}

// BatchPlots are a batch's pictures, each as a file of its own.
func BatchPlots(a BatchAnswer, s chart.Style) []Plot {
	u := chart.UnitOf(a.Batch.ShowInch)
	const wide = 16 * vg.Centimeter
	out := []Plot{{"map", chart.BatchMap([]batch.Batch{a.Batch}, chart.MapOptions{Style: s, Unit: u}), 11 * vg.Centimeter, 11 * vg.Centimeter}}
	if a.Control != nil {
		for _, c := range chart.BatchCharts(a.Batch, *a.Control, u, s) {
			out = append(out, Plot{c.Name, c.Chart, wide, 6 * vg.Centimeter})
		}
	}
	return out
}

// FunnelPage shows why a correction is reduced, and never made after one part.
type FunnelPage struct {
	Shows   []batch.FunnelShow
	Unit    chart.Unit
	Version string
	MadeAt  time.Time
	Style   chart.Style
}

// Title names the page.
func (p *FunnelPage) Title() string { return "What correcting does to the parts" }

// At is when the page was made.
func (p *FunnelPage) At() time.Time { return p.MadeAt }

// Draw lays the page out on c.
func (p *FunnelPage) Draw(c draw.Canvas) {
	s := styleOr(p.Style)
	k := frame(c, s)
	k.head("Simulation", p.Title(), "the same chance under four habits", p.MadeAt)
	k.para(chart.Regular, bodySize, s.Soft, "Each dot is a part's distance from even, the line their "+RMSWords+".")
	k.gap(4)
	n := vg.Length(len(p.Shows))
	for _, f := range p.Shows {
		for _, l := range f.Sentences() {
			k.para(chart.Regular, bodySize, s.Ink, l)
		}
		k.gap(4)
		room := (k.c.Size().Y-s.Pt(90))/n - s.Pt(100)
		list := chart.FunnelFigure(f, p.Unit, s)
		h := (room - s.Pt(8)) / 2
		w := (k.width - s.Pt(gutter)) / 2
		for i, q := range list {
			q.Chart.Inset = 0
			x, y := k.x+vg.Length(i%2)*(w+s.Pt(gutter)), k.y-vg.Length(i/2)*(h+s.Pt(8))
			q.Chart.Draw(draw.Canvas{Canvas: c.Canvas, Rectangle: vg.Rectangle{Min: vg.Point{X: x, Y: y - h}, Max: vg.Point{X: x + w, Y: y}}})
		}
		k.y -= 2*h + s.Pt(22)
	}
	batchFoot(k, p.Version)
}
