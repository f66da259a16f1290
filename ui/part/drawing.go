package part

import (
	"image"

	"evenrim/model"
	"evenrim/model/chart"
	drawings "evenrim/model/drawing"
	"evenrim/ui/kit"
	"evenrim/ui/look"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// plotDPI is a plain screen's resolution; k scales it to the device.
const plotDPI = 96

// drawing is the part from above.
type drawing struct {
	p       *Page
	plan    *kit.Drawing
	words   *kit.Prose
	content fyne.CanvasObject
}

func newDrawing(p *Page) *drawing {
	d := &drawing{p: p, plan: kit.NewDrawing(p.crew, fyne.NewSize(240, 160)), words: kit.NewProse("", 1.1, kit.Soft).Centred()}
	d.content = kit.NewGround(kit.Paper, 8, container.NewStack(d.plan, centred(d.words)))
	return d
}

func (d *drawing) refresh() {
	s := d.p.state
	if s.Report == nil {
		d.plan.Paint(nil)
		words := s.Problem
		if words == "" {
			words = "The part is drawn here once a hole or a wall is read."
		}
		d.words.Set(words)
		d.words.Show()
		return
	}
	d.words.Hide()
	f, u, outline := s.Report.Fit, s.Units, s.Outline()
	d.plan.Paint(func(w, h int, k float64, p look.Palette) *image.RGBA {
		st := p.Style
		st.Raised = p.Paper
		return chart.Render(chart.PartMap(f, chart.PartOptions{Style: st, Unit: u, Outline: outline}), w, h, plotDPI*k)
	})
}

// vise is the drawing of the correction in setup 2, nil where there is none.
func (p *Page) vise() kit.Painter {
	s := p.state
	if s.Report == nil || s.Report.Advice.Empty() {
		return nil
	}
	v := drawings.Vise{Setup: 2, Outline: s.Outline()}
	if v.Outline == nil {
		v.Outline = chart.Box(model.Vec{}, 60, 40)
	}
	for _, h := range s.Holes {
		if h.Placed {
			v.Holes = append(v.Holes, h.At)
		}
	}
	for _, m := range s.Report.Advice.Setup2 {
		words := m.Amount(model.Machine{Inch: s.Report.Job.ShowInch})
		switch m.Axis {
		case model.AxisX:
			v.X, v.Move.X = "X "+words, m.AmountMM
		case model.AxisY:
			v.Y, v.Move.Y = "Y "+words, m.AmountMM
		case model.AxisTurn:
			v.Turn, v.TurnRad = words, m.AmountRad
		}
	}
	return func(w, h int, k float64, p look.Palette) *image.RGBA {
		return chart.Render(v.Figure(p.Style), w, h, plotDPI*k)
	}
}
