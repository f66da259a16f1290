package report

import (
	"image/color"
	"strings"

	"evenrim/model/chart"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// pen writes into a column from the top down.
type pen struct {
	c     draw.Canvas
	s     chart.Style
	x, y  vg.Length // the next line's top left
	width vg.Length
	dry   bool // measure only
}

// leading is the distance of lines as a share of the letters' size.
const leading = 1.28

func (p *pen) step(size float64) vg.Length { return p.s.Pt(size * leading) }

// line writes one line without wrapping; align is -1 left, 0 middle, 1 right.
func (p *pen) line(l chart.Letter, size float64, col color.Color, align int, words string) {
	st := p.s.Text(l, size, col)
	x := p.x
	switch align {
	case 0:
		st.XAlign, x = text.XCenter, p.x+p.width/2
	case 1:
		st.XAlign, x = text.XRight, p.x+p.width
	}
	p.put(st, x, words)
	p.y -= p.step(size)
}

// put writes words with their baseline where a line at p.y has it.
func (p *pen) put(st text.Style, x vg.Length, words string) {
	if p.dry || words == "" {
		return
	}
	st.YAlign = text.YTop
	p.c.FillText(st, vg.Point{X: x, Y: p.y}, words)
}

// para writes words wrapped to the column.
func (p *pen) para(l chart.Letter, size float64, col color.Color, words string) {
	st := p.s.Text(l, size, col)
	for _, line := range wrap(st, words, p.width) {
		p.put(st, p.x, line)
		p.y -= p.step(size)
	}
}

// item writes words wrapped, with a small dash that hangs in the margin.
func (p *pen) item(size float64, col color.Color, words string) {
	st := p.s.Text(chart.Regular, size, col)
	p.put(st, p.x, "–")
	in := p.s.Pt(8)
	p.x += in
	p.width -= in
	p.para(chart.Regular, size, col, words)
	p.x -= in
	p.width += in
}

// heading writes a small title with a rule under it.
func (p *pen) heading(words string) {
	p.line(chart.Bold, 9, p.s.Ink, -1, words)
	if !p.dry {
		y := p.y - p.s.Pt(1.5)
		p.c.StrokeLine2(p.s.Line(p.s.Rule, 0.7), p.x, y, p.x+p.width, y)
	}
	p.gap(3.5)
}

// table writes rows of name and value, the values aligned.
func (p *pen) table(size float64, rows []row) {
	name := p.s.Text(chart.Regular, size, p.s.Soft)
	value := p.s.Text(chart.Regular, size, p.s.Ink)
	var in vg.Length
	for _, r := range rows {
		in = max(in, name.Width(r.name))
	}
	in = min(in+p.s.Pt(6), p.width/2)
	for _, r := range rows {
		p.put(name, p.x, r.name)
		x, w := p.x, p.width
		p.x, p.width = p.x+in, p.width-in
		p.para(chart.Regular, size, value.Color, r.value)
		p.x, p.width = x, w
	}
}

func (p *pen) gap(points float64) { p.y -= p.s.Pt(points) }

// height measures what write takes without writing it.
func (p pen) height(write func(*pen)) vg.Length {
	p.dry = true
	top := p.y
	write(&p)
	return top - p.y
}

// wrap breaks words into lines no wider than width; a word that is too wide by
// itself is cut.
func wrap(st text.Style, words string, width vg.Length) []string {
	var lines []string
	for _, para := range strings.Split(words, "\n") {
		line := ""
		for _, w := range breakable(para) {
			for st.Width(w) > width && len([]rune(w)) > 1 {
				if line != "" {
					lines, line = append(lines, line), ""
				}
				head := fit(st, w, width)
				lines = append(lines, head)
				w = w[len(head):]
			}
			try := w
			if line != "" {
				try = line + " " + w
			}
			if line != "" && st.Width(try) > width {
				lines, line = append(lines, line), w
				continue
			}
			line = try
		}
		lines = append(lines, line)
	}
	return lines
}

// breakable are the pieces between which a line may break: not at the spaces
// that hold a number to its unit.
func breakable(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\t' })
}

// fit is the longest start of w, at least one letter, that fits into width.
func fit(st text.Style, w string, width vg.Length) string {
	r := []rune(w)
	n := 1
	for n < len(r) && st.Width(string(r[:n+1])) <= width {
		n++
	}
	return string(r[:n])
}

// clip shortens words to one line, with dots where something is missing.
func clip(st text.Style, words string, width vg.Length) string {
	words = strings.Join(strings.Fields(words), " ")
	if st.Width(words) <= width {
		return words
	}
	r := []rune(words)
	for len(r) > 0 && st.Width(string(r)+"…") > width {
		r = r[:len(r)-1]
	}
	return strings.TrimRight(string(r), " ,;") + "…"
}
