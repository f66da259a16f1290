package chart

import (
	"fmt"
	"image"
	"image/color"

	"evenrim/model"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// StripOptions are how an unrolled rim looks.
type StripOptions struct {
	Style  Style
	Lines  bool // outer edge and bore edge as fitted
	Points bool // as traced
	Clock  bool // the hours below
	// InMM, OutMM and ByPart as in model.UnrollOptions; zero = from the reading.
	InMM, OutMM float64
	ByPart      bool
}

// StripFigure is the unrolled rim of a photo: the ring round the hole as a
// straight strip, clockwise from 12 o'clock, the hole below. See model.Strip.
type StripFigure struct {
	Src     *image.RGBA // the upright photo, at any size; nil = paper alone
	Reading *model.Reading
	StripOptions
}

// Strip renders the unrolled rim of r into w x h pixels with its rims: for a
// card in the tray, the bench or the report. dpi as in Render.
func Strip(src *image.RGBA, r *model.Reading, w, h int, dpi float64, o StripOptions) *image.RGBA {
	return Render(&StripFigure{src, r, o}, w, h, dpi)
}

// Draw draws the strip, and the clock below it if asked for.
func (f *StripFigure) Draw(c draw.Canvas) {
	c.SetColor(f.Style.Paper)
	c.Fill(c.Rectangle.Path())
	body := c.Rectangle
	if f.Clock {
		st := f.Style.Text(Regular, tickSize, f.Style.Soft)
		body.Min.Y += st.Height("12") + f.Style.Pt(4)
		f.hours(c, body, st)
	}
	f.drawIn(c, body)
}

func (f *StripFigure) hours(c draw.Canvas, body vg.Rectangle, st text.Style) {
	st.YAlign = text.YTop
	w := body.Size().X
	tick := f.Style.Line(f.Style.Soft, hair)
	for h := 0; h <= 12; h++ {
		x := body.Min.X + w*vg.Length(h)/12
		c.StrokeLine2(tick, x, body.Min.Y, x, body.Min.Y-f.Style.Pt(3))
		st.XAlign = text.XCenter
		switch h {
		case 0:
			st.XAlign = text.XLeft
		case 12:
			st.XAlign = text.XRight
		}
		// On a narrow strip every third hour is enough.
		if h%3 != 0 && w < 12*2.2*st.Width("12") {
			continue
		}
		name := fmt.Sprint(h)
		if h == 0 {
			name = "12"
		}
		c.FillText(st, vg.Point{X: x, Y: body.Min.Y - f.Style.Pt(3)}, name)
	}
}

// drawIn draws picture and rims into body.
func (f *StripFigure) drawIn(c draw.Canvas, body vg.Rectangle) {
	body, w, h := snapped(c, body)
	c.SetColor(f.Style.Sunk)
	c.Fill(body.Path())
	s, ok := model.NewStrip(f.Reading, model.UnrollOptions{WidthPx: w, HeightPx: h, InMM: f.InMM, OutMM: f.OutMM, ByPart: f.ByPart})
	if !ok {
		return
	}
	if img := s.Sample(f.Src); img != nil {
		c.DrawImage(body, img)
	}
	k := vg.Length(1 / dotsPerPoint(c))
	to := func(p model.Vec) vg.Point {
		return vg.Point{X: body.Min.X + vg.Length(p.X+0.5)*k, Y: body.Max.Y - vg.Length(p.Y+0.5)*k}
	}
	clip := draw.Canvas{Canvas: c.Canvas, Rectangle: body}
	paths := s.Paths()
	if f.Lines {
		f.Style.rim(clip, to, paths.Bore, PhotoSetup1, boreDash)
		f.Style.rim(clip, to, paths.Outer, PhotoSetup2, nil)
	}
	if f.Points {
		f.Style.dots(clip, to, paths.BorePoints, PhotoSetup1)
		f.Style.dots(clip, to, paths.OuterPoints, PhotoSetup2)
	}
}

// Dashes that tell rims apart in grey: the outer edge is solid.
var (
	boreDash = []float64{5, 2.5}
	exitDash = []float64{1.5, 2.5}
)

// rim draws lines over a photo: thin, on a dark halo, so that they show on
// bright and on dark metal and hide neither.
func (s Style) rim(c draw.Canvas, to func(model.Vec) vg.Point, lines [][]model.Vec, col color.Color, dash []float64) {
	var out [][]vg.Point
	for _, l := range lines {
		q := make([]vg.Point, len(l))
		for i, p := range l {
			q[i] = to(p)
		}
		out = append(out, q)
	}
	out = c.ClipLinesXY(out...)
	c.StrokeLines(s.Line(PhotoHalo, 2.0), out...)
	c.StrokeLines(s.Line(col, 0.9, dash...), out...)
}

// dots draws traced points over a photo.
func (s Style) dots(c draw.Canvas, to func(model.Vec) vg.Point, pts []model.Vec, col color.Color) {
	var p vg.Path
	r := s.Pt(0.9)
	for _, q := range pts {
		at := to(q)
		if c.Contains(at) {
			p.Move(vg.Point{X: at.X + r, Y: at.Y})
			p.Arc(at, r, 0, 6.283185307179586)
			p.Close()
		}
	}
	if len(p) > 0 {
		c.SetColor(col)
		c.Fill(p)
	}
}
