package report

import (
	"fmt"
	"math"
	"sort"

	"evenrim/model"
	"evenrim/model/chart"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
)

// budgetRow is a line of the uncertainty budget as printed.
type budgetRow struct {
	source, value, u string
	x, y             float64 // standard contribution to each axis, mm
	share            float64 // of the summed variance
}

// budgetRows are the lines by weight; at most n of them, the rest as one.
func budgetRows(r *model.Reading, u chart.Unit, n int) []budgetRow {
	lines := model.Shown(r.Budget, u == chart.Inch)
	weight := func(b model.BudgetLine) float64 { return b.Cov.XX + b.Cov.YY }
	sort.SliceStable(lines, func(i, j int) bool { return weight(lines[i]) > weight(lines[j]) })
	total := r.Cov.XX + r.Cov.YY
	share := func(c model.Sym2) float64 {
		if total <= 0 {
			return 0
		}
		return (c.XX + c.YY) / total
	}
	var rows []budgetRow
	var rest model.Sym2
	left := 0
	for i, b := range lines {
		if len(lines) > n && i >= n-1 {
			rest = rest.Add(b.Cov)
			left++
			continue
		}
		rows = append(rows, budgetRow{b.Source, b.Value, uWords(b), root(b.Cov.XX), root(b.Cov.YY), share(b.Cov)})
	}
	if left > 0 {
		rows = append(rows, budgetRow{fmt.Sprintf("%d smaller sources together", left), "", "", root(rest.XX), root(rest.YY), share(rest)})
	}
	return rows
}

func root(v float64) float64 { return math.Sqrt(math.Max(v, 0)) }

// uWords say how an input is known.
func uWords(b model.BudgetLine) string {
	if b.U == 0 {
		return b.Distribution
	}
	s := twoFigures(b.U) + " " + b.Unit
	if b.Distribution != "" && b.Distribution != "normal" {
		s += ", " + b.Distribution
	}
	if b.DOF > 0 {
		s += fmt.Sprintf(", %.0f d.o.f.", b.DOF)
	}
	return s
}

// twoFigures writes x without an exponent, which hundred-thousandths of an inch would get.
func twoFigures(x float64) string {
	if !(x > 0) || math.IsInf(x, 0) {
		return fmt.Sprintf("%.2g", x)
	}
	return fmt.Sprintf("%.*f", max(0, 1-int(math.Floor(math.Log10(x)))), x)
}

// smallLength writes a contribution in microns or millionths of an inch: whole
// lengths would be all zeros.
func smallLength(mm float64, u chart.Unit) string {
	v := mm * 1000
	if u == chart.Inch {
		v = mm / model.MMPerInch * 1e6
	}
	switch {
	case v == 0:
		return "0"
	case v < 0.05:
		return "< 0.1"
	case v < 10:
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.0f", v)
}

func smallUnit(u chart.Unit) string {
	if u == chart.Inch {
		return "µin"
	}
	return "µm"
}

// budget writes the table over the pen's whole width.
func (p *pen) budget(r *model.Reading, u chart.Unit, rows int) {
	const size = 7.6
	p.heading("Uncertainty budget (standard uncertainties, mismatch in " + smallUnit(u) + ")")
	w := p.width
	cols := struct{ source, value, u, x, y, bar vg.Length }{
		0, 0.27 * w, 0.53 * w, 0.745 * w, 0.81 * w, 0.83 * w,
	}
	head := p.s.Text(chart.Regular, size, p.s.Soft)
	right := head
	right.XAlign = text.XRight
	p.put(head, p.x+cols.source, "source")
	p.put(head, p.x+cols.value, "taken as")
	p.put(head, p.x+cols.u, "known to")
	p.put(right, p.x+cols.x, "in X")
	p.put(right, p.x+cols.y, "in Y")
	p.put(head, p.x+cols.bar, "share of the variance")
	p.y -= p.step(size)

	body := p.s.Text(chart.Regular, size, p.s.Ink)
	num := body
	num.XAlign = text.XRight
	gap := p.s.Pt(5)
	barW := w - cols.bar - p.s.Pt(26)
	if len(r.Budget) == 0 {
		p.put(body, p.x, "where it comes from is not known: no budget came with these figures")
		p.y -= p.step(size)
	}
	for _, b := range budgetRows(r, u, rows) {
		p.put(body, p.x+cols.source, clip(body, b.source, cols.value-gap))
		p.put(body, p.x+cols.value, clip(body, b.value, cols.u-cols.value-gap))
		p.put(body, p.x+cols.u, clip(body, b.u, cols.x-cols.u-p.s.Pt(24)))
		p.put(num, p.x+cols.x, smallLength(b.x, u))
		p.put(num, p.x+cols.y, smallLength(b.y, u))
		p.bar(p.x+cols.bar, barW, size, b.share)
		p.put(num, p.x+w, fmt.Sprintf("%.0f %%", 100*b.share))
		p.y -= p.step(size)
	}
	if !p.dry {
		y := p.y - p.s.Pt(1.5)
		p.c.StrokeLine2(p.s.Line(p.s.Rule, 0.7), p.x, y, p.x+w, y)
	}
	p.gap(3)
	bold := p.s.Text(chart.Bold, size, p.s.Ink)
	boldR := bold
	boldR.XAlign = text.XRight
	p.put(bold, p.x, "all together")
	p.put(body, p.x+cols.value, fmt.Sprintf("95 %% region: ± %s %s along its longer axis", u.FormatU(r.U95MM, u.Decimals(r.U95MM)), u))
	p.put(boldR, p.x+cols.x, smallLength(root(r.Cov.XX), u))
	p.put(boldR, p.x+cols.y, smallLength(root(r.Cov.YY), u))
	p.y -= p.step(size)
}

// bar is a share as a length: it prints in grey and reads at a glance.
func (p *pen) bar(x, w vg.Length, size, share float64) {
	if p.dry || share <= 0 {
		return
	}
	h := p.s.Pt(size * 0.5)
	mid := p.y - p.s.Pt(size*0.62)
	box := vg.Rectangle{
		Min: vg.Point{X: x, Y: mid - h/2},
		Max: vg.Point{X: x + w*vg.Length(math.Min(share, 1)), Y: mid + h/2},
	}
	p.c.SetColor(p.s.Setup2)
	p.c.Fill(box.Path())
}
