package chart

import (
	"image"
	"image/color"

	"evenrim/model"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// RimFigure is the signature picture: the unrolled rim with the width curve
// below it, hour above hour.
type RimFigure struct {
	Src     *image.RGBA
	Reading *model.Reading
	Style   Style
	Unit    Unit
	Title   string
	Points  bool    // traced points on the strip
	Share   float64 // of the height for the strip; 0 = 0.36
	Flush   bool    // no border: on a page that has its own
}

// Draw draws strip and curve.
func (f *RimFigure) Draw(c draw.Canvas) {
	s := f.Style
	c.SetColor(s.Raised)
	c.Fill(c.Rectangle.Path())
	if f.Title != "" {
		st := s.Text(Bold, titleSize, s.Ink)
		st.XAlign, st.YAlign = text.XCenter, text.YTop
		c.FillText(st, vg.Point{X: c.Center().X, Y: c.Max.Y}, f.Title)
		c.Max.Y -= st.Height(f.Title) + s.Pt(5)
	}
	share := f.Share
	if share <= 0 {
		share = 0.36
	}
	stripH := c.Size().Y * vg.Length(share)
	below := draw.Crop(c, 0, 0, 0, -stripH-s.Pt(2))
	curve := WidthCurve(f.Reading, CurveOptions{Style: s, Unit: f.Unit})
	if f.Flush {
		curve.Inset = 0
	}
	curve.Draw(below)
	data := curve.DataCanvas(below)
	body := vg.Rectangle{
		Min: vg.Point{X: data.Min.X, Y: c.Max.Y - stripH},
		Max: vg.Point{X: data.Max.X, Y: c.Max.Y},
	}
	strip := &StripFigure{f.Src, f.Reading, StripOptions{Style: s, Lines: true, Points: f.Points}}
	strip.drawIn(c, body)
	f.names(c, body)
}

// names stand left of the strip at the height of their rims at 12 o'clock.
func (f *RimFigure) names(c draw.Canvas, body vg.Rectangle) {
	lay, ok := model.NewStrip(f.Reading, model.UnrollOptions{WidthPx: 1200, HeightPx: 1000})
	if !ok {
		return
	}
	a, _ := lay.FromStrip(model.Vec{X: 0})
	h := body.Size().Y
	yAt := func(outMM float64) vg.Length {
		return body.Max.Y - h*vg.Length((lay.ToStrip(a, outMM).Y+0.5)/1000)
	}
	outer, bore := yAt(max(f.Reading.Solid().WidthAt(a), 0)), yAt(0)
	st := f.Style.Text(Bold, tickSize, f.Style.Setup2)
	gap := st.Height("outer") * 2.1
	if outer-bore < gap { // pushed apart about their middle
		mid := (outer + bore) / 2
		outer, bore = mid+gap/2, mid-gap/2
	}
	for _, n := range []struct {
		y     vg.Length
		words string
		col   color.Color
	}{{outer, "outer\nedge", f.Style.Setup2}, {bore, "bore\nedge", f.Style.Setup1}} {
		st.Color = n.col
		st.XAlign, st.YAlign = text.XRight, text.YCenter
		c.FillText(st, vg.Point{X: body.Min.X - f.Style.Pt(5), Y: n.y}, n.words)
	}
}
