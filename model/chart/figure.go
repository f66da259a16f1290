package chart

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	vgdraw "gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Figure is anything that can be drawn on a canvas: a Chart, a photo with its
// rims, an unrolled rim, a page of a report.
type Figure interface {
	// Draw fills c, ground included.
	Draw(c vgdraw.Canvas)
}

// Chart is a plot whose axes may be held equal: a circle in the data is then a
// circle on the screen, whatever the picture's shape. It is safe to draw one
// from several goroutines.
type Chart struct {
	Plot  *plot.Plot
	Equal bool
	Inset vg.Length // free border inside of the canvas
	Head  vg.Length // room above the plot that a layer writes into
}

// Draw draws the chart on c.
func (f *Chart) Draw(c vgdraw.Canvas) {
	if f.Plot.BackgroundColor != nil {
		c.SetColor(f.Plot.BackgroundColor)
		c.Fill(c.Rectangle.Path())
	}
	c = f.inset(c)
	p := f.fitted(c)
	if size := p.DataCanvas(c).Size(); !(size.X > leastData && size.Y > leastData) {
		return // no room for data beside the axes: paper says more than a smear
	}
	p.Draw(c)
}

// leastData is the least room for data that is worth drawing; below it gonum's
// data area can turn inside out.
const leastData vg.Length = 6

func (f *Chart) inset(c vgdraw.Canvas) vgdraw.Canvas {
	return vgdraw.Crop(c, f.Inset, -f.Inset, f.Inset, -f.Inset-f.Head)
}

// DataCanvas is the part of c that the data fill, to line pictures up with it.
func (f *Chart) DataCanvas(c vgdraw.Canvas) vgdraw.Canvas {
	c = f.inset(c)
	return f.fitted(c).DataCanvas(c)
}

// fitted is a copy of the plot with the axes' ranges made equal for c: the axis
// that has room to spare shows more.
func (f *Chart) fitted(c vgdraw.Canvas) *plot.Plot {
	p := *f.Plot
	p.BackgroundColor = nil // drawn, border and all
	if !f.Equal {
		thinTicks(&p, c)
		return &p
	}
	x0, x1, y0, y1 := p.X.Min, p.X.Max, p.Y.Min, p.Y.Max
	// More than once: other ranges can have other tick labels, which take other room.
	for range 3 {
		size := p.DataCanvas(c).Size()
		if size.X <= 0 || size.Y <= 0 {
			break
		}
		perX, perY := (x1-x0)/float64(size.X), (y1-y0)/float64(size.Y)
		per := max(perX, perY)
		grow := func(lo, hi, per0 float64) (float64, float64) {
			mid, half := (lo+hi)/2, (hi-lo)/2*per/per0
			return mid - half, mid + half
		}
		p.X.Min, p.X.Max = grow(x0, x1, perX)
		p.Y.Min, p.Y.Max = grow(y0, y1, perY)
		p.X.Tick.Marker = f.Plot.X.Tick.Marker
		thinTicks(&p, c)
	}
	return &p
}

// thinTicks marks the X axis at fewer places where the numbers would run into each other.
func thinTicks(p *plot.Plot, c vgdraw.Canvas) {
	t, ok := p.X.Tick.Marker.(ticker)
	if !ok {
		return
	}
	st := p.X.Tick.Label
	data := p.DataCanvas(c)
	x, _ := p.Transforms(&data)
	for ; t.n > 1; t.n-- {
		ticks := t.Ticks(p.X.Min, p.X.Max)
		crowded := false
		for i := 1; i < len(ticks); i++ {
			a, b := ticks[i-1], ticks[i]
			crowded = crowded || x(b.Value)-x(a.Value) < (st.Width(a.Label)+st.Width(b.Label))/2+st.Width("0")
		}
		if !crowded {
			break
		}
	}
	p.X.Tick.Marker = t
}

// Render draws f into w x h pixels. dpi scales text and lines: 96 is a plain
// screen, 192 one of double density. The picture is tight (Stride = 4 w) and
// starts at (0, 0), as a window's toolkit wants it.
func Render(f Figure, w, h int, dpi float64) *image.RGBA {
	return render(f, w, h, dpi, color.White)
}

func render(f Figure, w, h int, dpi float64, ground color.Color) *image.RGBA {
	w, h = max(w, 1), max(h, 1)
	if dpi <= 0 {
		dpi = 96
	}
	// The canvas takes whole dots per inch; its size follows from the pixels.
	dots := int(dpi + 0.5)
	inches := func(px int) vg.Length { return vg.Length(px) / vg.Length(dots) * vg.Inch }
	c := vgimg.NewWith(vgimg.UseDPI(dots), vgimg.UseWH(inches(w), inches(h)), vgimg.UseBackgroundColor(ground))
	f.Draw(vgdraw.New(c))
	img, ok := c.Image().(*image.RGBA)
	if ok && img.Rect == image.Rect(0, 0, w, h) && img.Stride == 4*w {
		return img
	}
	tight := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(tight, tight.Rect, c.Image(), c.Image().Bounds().Min, draw.Src)
	return tight
}

// Format is a file format for figures.
type Format string

const (
	PNG Format = "png"
	SVG Format = "svg"
	PDF Format = "pdf"
)

// PlotDPI is the resolution of figures written as PNG: enough for print.
const PlotDPI = 200

// Write writes f to w in the given format and size. Text stays text in SVG and
// PDF. The same figure gives the same bytes.
func Write(w io.Writer, f Figure, width, height vg.Length, format Format) error {
	switch format {
	case PNG:
		px := func(l vg.Length) int { return int(l.Dots(PlotDPI) + 0.5) }
		if err := png.Encode(w, Render(f, px(width), px(height), PlotDPI)); err != nil {
			return fmt.Errorf("chart: write png: %w", err)
		}
	case SVG:
		c := vgsvg.NewWith(vgsvg.UseWH(width, height), vgsvg.EmbedFonts(true))
		f.Draw(vgdraw.New(c))
		if _, err := c.WriteTo(w); err != nil {
			return fmt.Errorf("chart: write svg: %w", err)
		}
	case PDF:
		c := NewPages(width, height, time.Unix(0, 0).UTC())
		f.Draw(vgdraw.New(c))
		if _, err := c.WriteTo(w); err != nil {
			return fmt.Errorf("chart: write pdf: %w", err)
		}
	default:
		return fmt.Errorf("chart: no format %q: png, svg and pdf are known", format)
	}
	return nil
}
