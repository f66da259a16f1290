package report

import (
	"fmt"
	"image"
	"math"

	"evenrim/model"
	"evenrim/model/chart"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// column of a table: where it stands, as a share of the width; right = figures.
type column struct {
	at    float64
	right bool
	name  string
}

func (k *pen) cells(l chart.Letter, size float64, soft bool, cols []column, words []string) {
	for i, c := range cols {
		col := k.s.Ink
		if soft {
			col = k.s.Soft
		}
		st := k.s.Text(l, size, col)
		if c.right {
			st.XAlign = text.XRight
		}
		k.put(st, k.x+k.width*vg.Length(c.at), words[i])
	}
}

func names(cols []column) []string {
	out := make([]string, len(cols))
	for i, c := range cols {
		out[i] = c.name
	}
	return out
}

func longUnit(u chart.Unit) string {
	if u == chart.Inch {
		return "inches"
	}
	return "mm"
}

// holeTable lists the holes from one up to, not with, another.
func (p *PartPage) holeTable(k *pen, u chart.Unit, from, to int) {
	f := p.Fit
	k.heading("Holes (mismatch in " + longUnit(u) + ", ± 95 %)")
	cols := []column{
		{0, false, "hole"}, {0.16, true, "at X"}, {0.25, true, "at Y"}, {0.345, true, "X"}, {0.43, true, "Y"}, {0.505, true, "±"},
		{0.59, true, "off the fit X"}, {0.665, true, "Y"}, {0.68, false, "verdict"}, {0.83, false, "unrolled rim"},
	}
	if p.Photo == nil {
		cols[len(cols)-1].name = ""
	}
	k.cells(chart.Regular, tableSize, true, cols, names(cols))
	k.y -= k.step(tableSize)
	for _, h := range f.Holes[from:to] {
		major, _, _ := h.Cov.Eigen()
		u95 := 2.4477468307 * root(major)
		if h.Set != nil {
			u95 = h.Set.U95MM
		} else if len(h.Readings) == 1 {
			u95 = h.Readings[0].U95MM
		}
		dec := u.Decimals(u95)
		row := []string{h.Hole, "?", "?", u.Signed(h.Mismatch.X, dec), u.Signed(h.Mismatch.Y, dec), u.FormatU(u95, dec),
			u.Signed(h.Residual.X, dec), u.Signed(h.Residual.Y, dec), string(h.Verdict), ""}
		if h.HasPlace {
			row[1], row[2] = u.Format(h.At.X, 3), u.Format(h.At.Y, 3)
		}
		if h.LeftOut {
			row[0] += ", left out"
		} else if h.Misfit {
			row[0] += ", doubtful"
		}
		if p.Photo == nil {
			k.cells(chart.Regular, tableSize, false, cols, row)
			k.y -= k.step(tableSize)
			continue
		}
		if !k.dry && len(h.Readings) > 0 {
			strip(k, h.Readings[0], p.Photo(h.Readings[0]), 0.83)
		}
		top := k.y
		k.y -= k.s.Pt((stripRow - tableSize*leading) / 2)
		k.cells(chart.Regular, tableSize, false, cols, row)
		k.y = top - k.s.Pt(stripRow)
	}
}

// strip draws r's unrolled rim into the row of a table, from the share at of its width.
func strip(k *pen, r *model.Reading, src *image.RGBA, at float64) {
	if k.dry || src == nil {
		return
	}
	x := k.x + k.width*vg.Length(at)
	box := vg.Rectangle{
		Min: vg.Point{X: x, Y: k.y - k.s.Pt(stripRow-2)}, Max: vg.Point{X: k.x + k.width, Y: k.y},
	}
	(&chart.StripFigure{Src: src, Reading: r, StripOptions: chart.StripOptions{Style: k.s}}).
		Draw(draw.Canvas{Canvas: k.c.Canvas, Rectangle: box})
}

// wallTable lists the walls from one up to, not with, another.
func (p *PartPage) wallTable(k *pen, u chart.Unit, from, to int) {
	f := p.Fit
	k.heading("Walls (step in " + longUnit(u) + ", + = setup 2's half stands proud, ± 95 %)")
	cols := []column{
		{0, false, "wall"}, {0.16, true, "readings"}, {0.28, true, "step"}, {0.36, true, "±"},
		{0.49, true, "as the fit has it"}, {0.60, true, "off the fit"}, {0.64, false, ""},
	}
	k.cells(chart.Regular, tableSize, true, cols, names(cols))
	k.y -= k.step(tableSize)
	for _, w := range f.Walls[from:to] {
		dec := u.Decimals(model.Factor95 * w.UMM)
		drift := ""
		if w.DriftIsReal() {
			drift = "changes along the wall: " + slopeWords(math.Abs(w.DriftPerMM), u)
		}
		k.cells(chart.Regular, tableSize, false, cols, []string{
			w.Wall, fmt.Sprint(w.N), u.Signed(w.MeanMM, dec), u.FormatU(model.Factor95*w.UMM, dec),
			u.Signed(w.PredictedMM, dec), u.Signed(w.ResidualMM, dec), drift,
		})
		k.y -= k.step(tableSize)
	}
}

// overleaf says how many rows are on the next page.
func (k *pen) overleaf(n int, what string) {
	if n > 0 {
		k.line(chart.Italic, tableSize, k.s.Soft, -1, fmt.Sprintf("and %s more on the next page", counted(n, what)))
	}
}

// ofAllWalls is what the walls say together.
func (p *PartPage) ofAllWalls(k *pen, u chart.Unit) {
	f := p.Fit
	for _, q := range f.Pairs {
		k.para(chart.Regular, tableSize, k.s.Soft, fmt.Sprintf("%s and %s: %s.", q.A, q.B, q.Says))
	}
	if f.KnowsSize {
		g := model.Factor95 * root(f.Cov[3][3])
		dec := u.Decimals(g)
		k.para(chart.Regular, tableSize, k.s.Soft, fmt.Sprintf("Size difference between the setups, the same on every wall: %s ± %s %s.", u.Signed(f.SizeMM, dec), u.FormatU(g, dec), u))
	}
	if c := f.Compare; c != nil {
		k.para(chart.Regular, tableSize, k.s.Soft, agreementWords(c))
	}
}

func agreementWords(c *model.Comparison) string {
	if !c.Compares {
		return "These walls tell nothing that the photos tell, too."
	}
	word := "agree"
	if !c.Agree {
		word = "do not agree"
	}
	return fmt.Sprintf("Photos and indicator %s (%s, where 1 is as far apart as their uncertainties allow: E_n).", word, enWords(c))
}

func enWords(c *model.Comparison) string {
	s := ""
	add := func(name string, v float64, known bool) {
		if known {
			if s != "" {
				s += ", "
			}
			s += fmt.Sprintf("%s %.2f", name, math.Abs(v)) // how far apart, as in the window
		}
	}
	add("X", c.EnX, c.ComparesX)
	add("Y", c.EnY, c.ComparesY)
	add("rotation", c.EnRotation, c.ComparesRotation)
	add("together", c.EnTogether, c.Compares)
	return s
}
