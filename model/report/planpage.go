package report

import (
	"fmt"
	"image/color"
	"time"

	"evenrim/model/chart"
	answers "evenrim/model/plan/words"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// PlanInput is a field as it went into a plan.
type PlanInput struct {
	Name, Value string
	Own         bool // changed from its default
}

// PlanPicture is a drawing of a plan with its title.
type PlanPicture struct {
	Title  string
	Figure chart.Figure
	Wide   float64 // width over height at its best
}

// PlanPage is one of the planner's answers as a setup sheet: what to do, drawings,
// what was assumed, cautions, and lines to sign.
type PlanPage struct {
	Question string
	Job      string // name of the job; "" = a line to write on
	Answer   answers.Answer
	Inputs   []PlanInput
	Pictures []PlanPicture
	Version  string
	MadeAt   time.Time
	Style    chart.Style // zero = chart.Print(); Pictures have to be drawn in the same
}

// Title names the page.
func (p *PlanPage) Title() string { return p.Question }

// At is when the plan was made.
func (p *PlanPage) At() time.Time { return p.MadeAt }

// Draw lays the page out on c: the answer first, what was assumed at the foot, and
// the drawings as large as the rest allows.
func (p *PlanPage) Draw(c draw.Canvas) {
	k := frame(c, styleOr(p.Style))
	sub := "Job: " + p.Job
	if p.Job == "" {
		sub = "Job: ______________________________   Part: ____________________   Date: ______________"
	}
	k.head("Setup sheet", p.Question, sub, p.MadeAt)
	p.answer(k)
	bottom := k.c.Min.Y + k.footHeight()
	below := func(q *pen) {
		p.tables(q)
		p.inputs(q)
		p.notes(q)
	}
	if n := len(p.Pictures); n > 0 {
		w := (k.width - vg.Length(n-1)*k.s.Pt(gutter)) / vg.Length(n)
		h := k.y - bottom - k.height(below) - k.s.Pt(24)
		h = min(max(h, k.s.Pt(70)), w/vg.Length(p.Pictures[0].Wide))
		for i, q := range p.Pictures {
			x := k.x + vg.Length(i)*(w+k.s.Pt(gutter))
			st := k.s.Text(chart.Bold, bodySize, k.s.Ink)
			st.YAlign = text.YTop
			k.c.FillText(st, vg.Point{X: x, Y: k.y}, clip(st, q.Title, w))
			top := k.y - k.step(bodySize)
			q.Figure.Draw(draw.Canvas{Canvas: k.c.Canvas, Rectangle: vg.Rectangle{Min: vg.Point{X: x, Y: top - h}, Max: vg.Point{X: x + w, Y: top}}})
		}
		k.y -= h + k.step(bodySize) + k.s.Pt(8)
	}
	below(k)
	p.foot(k)
}

func (p *PlanPage) answer(k *pen) {
	a := p.Answer
	col := map[answers.Grade]color.Color{answers.Good: k.s.Good, answers.Doubt: k.s.Doubt, answers.Bad: k.s.Bad, answers.Plain: k.s.Ink}[a.Grade]
	y := k.y
	k.line(chart.Bold, 16, col, -1, a.Headline)
	if a.Figure != "" {
		k.y = y
		k.line(chart.Bold, 16, k.s.Ink, 1, a.Figure+" "+a.Unit)
	}
	k.gap(1)
	k.para(chart.Regular, 9.2, k.s.Ink, a.About)
	k.gap(3)
	for _, l := range a.Lines {
		k.item(bodySize, k.s.Ink, l)
	}
	for _, l := range a.Warnings {
		k.item(bodySize, k.s.Doubt, l)
	}
	k.gap(6)
}

// tables are the answer's, one under the other, columns as wide as their words.
func (p *PlanPage) tables(k *pen) {
	for _, t := range p.Answer.Tables {
		k.heading(t.Title)
		size := tableSize
		st, bold := k.s.Text(chart.Regular, size, k.s.Ink), k.s.Text(chart.Bold, size, k.s.Soft)
		widths := make([]vg.Length, len(t.Head))
		total := vg.Length(0)
		for i, h := range t.Head {
			widths[i] = bold.Width(h)
			for _, r := range t.Rows {
				widths[i] = max(widths[i], st.Width(r[i]))
			}
			total += widths[i]
		}
		gap := min((k.width-total)/vg.Length(max(len(widths)-1, 1)), k.s.Pt(26))
		gap = max(gap, k.s.Pt(4))
		row := func(st text.Style, r []string) {
			x := k.x
			for i, w := range r {
				k.put(st, x, w)
				x += widths[i] + gap
			}
			k.y -= k.step(size)
		}
		row(bold, t.Head)
		for _, r := range t.Rows {
			row(st, r)
		}
		if t.Note != "" {
			k.para(chart.Italic, size-0.6, k.s.Soft, t.Note)
		}
		k.gap(5)
	}
}

// inputs are all fields in columns; changed ones are marked.
func (p *PlanPage) inputs(k *pen) {
	k.heading("What this rests on")
	const columns = 3
	const size = 7.2
	n := (len(p.Inputs) + columns - 1) / columns
	w := (k.width - (columns-1)*k.s.Pt(gutter)) / columns
	low := k.y
	for c := range columns {
		q := *k
		q.x, q.width = k.x+vg.Length(c)*(w+k.s.Pt(gutter)), w
		for _, in := range p.Inputs[min(c*n, len(p.Inputs)):min((c+1)*n, len(p.Inputs))] {
			name, value := k.s.Text(chart.Regular, size, k.s.Soft), k.s.Text(chart.Regular, size, k.s.Ink)
			v := in.Value
			if in.Own {
				v += " *"
			}
			q.put(name, q.x, in.Name)
			value.XAlign = text.XRight
			room := w - name.Width(in.Name) - k.s.Pt(6)
			if value.Width(v) <= room {
				q.put(value, q.x+w, v)
				q.y -= q.step(size)
				continue
			}
			// What does not fit beside its name goes under it.
			q.y -= q.step(size)
			q.x, q.width = q.x+k.s.Pt(8), w-k.s.Pt(8)
			q.para(chart.Regular, size, k.s.Ink, v)
			q.x, q.width = q.x-k.s.Pt(8), w
		}
		low = min(low, q.y)
	}
	k.y = low
	k.para(chart.Italic, size, k.s.Soft, "* the shop's own figure. The others are defaults: common practice without a source, unless the planner names one beside the field.")
	k.gap(4)
}

func (p *PlanPage) notes(k *pen) {
	for _, l := range p.Answer.Cautions {
		k.item(7.8, k.s.Soft, l)
	}
}

func (p *PlanPage) foot(k *pen) {
	k.y = k.c.Min.Y + k.footHeight() - k.s.Pt(3)
	k.c.StrokeLine2(k.s.Line(k.s.Rule, 0.7), k.x, k.y, k.x+k.width, k.y)
	k.gap(2)
	k.line(chart.Regular, footSize, k.s.Soft, -1, fmt.Sprintf("Evenrim %s. Planned, not measured.", orWord(p.Version, "without a version")))
}
