package chart

import (
	"image"
	"math"

	"evenrim/model"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Panel is one photo of a comparison.
type Panel struct {
	Name    string      // above it
	Words   string      // below the name: its figures
	Group   int         // mark beside the name, as on the target map
	Src     *image.RGBA // nil = not at hand
	Reading *model.Reading
}

// PanelsFigure lays photos side by side at one scale and one orientation, each
// with its unrolled rim below, also at one scale.
type PanelsFigure struct {
	Panels []Panel
	Style  Style
	Unit   Unit
	Rims   bool
}

// Draw fills c.
func (f *PanelsFigure) Draw(c draw.Canvas) {
	s := f.Style
	c.SetColor(s.Paper)
	c.Fill(c.Rectangle.Path())
	n := vg.Length(len(f.Panels))
	if n == 0 {
		return
	}
	var readings []*model.Reading
	for _, p := range f.Panels {
		readings = append(readings, p.Reading)
	}
	half := FacedHalf(readings...)
	in, out := stripRange(readings)
	gap := s.Pt(10)
	w := (c.Size().X - gap*(n-1)) / n
	name, words := s.Text(Bold, titleSize, s.Ink), s.Text(Regular, noteSize, s.Soft)
	head := name.Height("Mp") + words.Height("Mp") + s.Pt(6)
	strip := min(max(c.Size().Y*0.2, s.Pt(44)), w*0.3)
	square := min(w, c.Size().Y-head-strip-s.Pt(8))
	for i, p := range f.Panels {
		x := c.Min.X + vg.Length(i)*(w+gap)
		top := c.Max.Y
		look := s.group(p.Group)
		drawMark(&c, look.mark, vg.Point{X: x + s.Pt(5), Y: top - name.Height("M")*0.62}, s.Pt(3.4), look.color, s.Paper, s.Pt(1.2))
		name.YAlign, words.YAlign = text.YTop, text.YTop
		c.FillText(name, vg.Point{X: x + s.Pt(14), Y: top}, cut(name, p.Name, w-s.Pt(14)))
		c.FillText(words, vg.Point{X: x + s.Pt(14), Y: top - name.Height("Mp") - s.Pt(1)}, cut(words, p.Words, w-s.Pt(14)))
		top -= head
		box := draw.Canvas{Canvas: c.Canvas, Rectangle: vg.Rectangle{
			Min: vg.Point{X: x + (w-square)/2, Y: top - square}, Max: vg.Point{X: x + (w+square)/2, Y: top}}}
		(&FacedFigure{Src: p.Src, Reading: p.Reading, Style: s, Unit: f.Unit, HalfMM: half, Rims: f.Rims, Words: true}).Draw(box)
		top -= square + s.Pt(8)
		band := draw.Canvas{Canvas: c.Canvas, Rectangle: vg.Rectangle{Min: vg.Point{X: x, Y: top - strip}, Max: vg.Point{X: x + w, Y: top}}}
		(&StripFigure{Src: p.Src, Reading: p.Reading, StripOptions: StripOptions{
			Style: s, Lines: f.Rims, Clock: true, InMM: in, OutMM: out, ByPart: true}}).Draw(band)
	}
}

// stripRange is what a strip shows inside and outside of the bore wall so that
// the rims of all readings fit.
func stripRange(readings []*model.Reading) (in, out float64) {
	for _, r := range readings {
		if s, ok := model.NewStrip(r, model.UnrollOptions{}); ok {
			in, out = math.Max(in, s.InMM), math.Max(out, s.OutMM)
		}
	}
	return in, out
}

// cut shortens words to a width, with dots where something is missing.
func cut(st text.Style, words string, w vg.Length) string {
	if st.Width(words) <= w {
		return words
	}
	r := []rune(words)
	for len(r) > 0 && st.Width(string(r)+"…") > w {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}
