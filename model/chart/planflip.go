package chart

import (
	"fmt"
	"math"

	"evenrim/model/plan"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// FlipMap shows where setup 2 is expected to land at each hole: for each the
// ellipse that holds 95 % of parts, and the tolerance zone. Walls are not on it.
func FlipMap(o plan.Outlook, u Unit, s Style) *Chart {
	m := MapOptions{Style: s, Unit: u, HideSetup: true}
	// Clouds nearly on top of each other are one to the eye: the worst is named.
	for i, f := range o.Features {
		if f.Wall {
			continue
		}
		cloud := MapCloud{Centre: f.Mean, Cov: f.Cov, Group: 0}
		if i == o.Worst {
			cloud.Label = f.Name
		}
		m.Clouds = append(m.Clouds, cloud)
	}
	return TargetMap(nil, Zone{ToleranceMM: o.Flip.ToleranceMM, Shape: o.Flip.Zone}, m)
}

// SourcesFigure shows what the mismatch at the worst place comes from, as bars.
type SourcesFigure struct {
	Outlook plan.Outlook
	Unit    Unit
	Style   Style
	Most    int // bars; 0 = all
}

// Draw implements Figure.
func (f *SourcesFigure) Draw(c draw.Canvas) {
	s := f.Style
	c.SetColor(s.Raised)
	c.Fill(c.Rectangle.Path())
	list := f.Outlook.Sources
	if f.Most > 0 && len(list) > f.Most {
		list = list[:f.Most]
	}
	if len(list) == 0 {
		return
	}
	pad := s.Pt(6)
	name := s.Text(Regular, labelSize, s.Ink)
	name.YAlign = text.YBottom
	num := s.Text(Bold, labelSize, s.Ink)
	num.XAlign, num.YAlign = text.XRight, text.YBottom
	left, right := c.Min.X+pad, c.Max.X-pad
	step := min((c.Size().Y-pad)/vg.Length(len(list)), s.Pt(34))
	bar := min(step*0.34, s.Pt(9))
	y := c.Max.Y - pad/2
	for i, q := range list {
		base := y - step + pad/2
		col := alpha(s.Ink, 0.30)
		if i < 3 {
			col = alpha(s.Ink, 0.75)
		}
		w := (right - left) * vg.Length(q.Share)
		fill(&c, alpha(s.Ink, 0.07), left, base, right, base+bar)
		fill(&c, col, left, base, left+max(w, s.Pt(1)), base+bar)
		at := base + bar + s.Pt(1.5)
		words := fmt.Sprintf("%s %s · %.0f %%", f.Unit.Format(q.RMSMM, f.Unit.Decimals(q.RMSMM)), f.Unit, math.Round(q.Share*100))
		c.FillText(name, vg.Point{X: left, Y: at}, clipText(name, q.Source.String(), right-left-num.Width(words)-pad))
		c.FillText(num, vg.Point{X: right, Y: at}, words)
		y -= step
	}
}

// clipText shortens words to a width.
func clipText(st text.Style, words string, width vg.Length) string {
	if st.Width(words) <= width {
		return words
	}
	r := []rune(words)
	for len(r) > 0 && st.Width(string(r)+"…") > width {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}

func fill(c *draw.Canvas, col colour, x0, y0, x1, y1 vg.Length) {
	var p vg.Path
	p.Move(vg.Point{X: x0, Y: y0})
	p.Line(vg.Point{X: x1, Y: y0})
	p.Line(vg.Point{X: x1, Y: y1})
	p.Line(vg.Point{X: x0, Y: y1})
	p.Close()
	c.SetColor(col)
	c.Fill(p)
}
