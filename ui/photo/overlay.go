package photo

import (
	"image"
	"image/color"
	"math"

	"evenrim/model"

	"git.sr.ht/~sbinet/gg"
)

// Overlay is what lies over a photo, in photo pixels. The zero value is nothing.
type Overlay struct {
	Lines []Line
	Dots  []Dots
	Marks []Mark
	Rings []Ring
	Bands []Band
	Edges []Edge
	Axes  *Axes
	// PhotoW and PhotoH are the photo's size, px: marks stay inside it; 0 = not known.
	PhotoW, PhotoH int
	// Text is the text scale; 0 = 1.
	Text float64
}

// Line is a curve over the photo, thin enough to judge the edge under it.
type Line struct {
	Path    []model.Vec
	Colour  color.NRGBA
	WidthPx float64 // layout pixels; 0 = 1.2
	Dashed  bool
}

// Dots are traced positions, shown once they stand apart on the screen.
type Dots struct {
	At     []model.Vec
	Colour color.NRGBA
}

// Mark is a place on a rim with a word beside it, on the side away from From.
type Mark struct {
	At, From model.Vec
	Words    string
	Colour   color.NRGBA
}

// Axes are setup 2's axes as they lie in the photo.
type Axes struct {
	Origin   model.Vec
	PlusX    float64 // rad, counter-clockwise on the screen from image-right
	LengthPx float64 // of the +X arrow, photo pixels
	Grabbed  bool
}

// Tip returns the point of the +X arrow, photo pixels.
func (a Axes) Tip() model.Vec {
	d := model.Polar(a.LengthPx, a.PlusX)
	return model.Vec{X: a.Origin.X + d.X, Y: a.Origin.Y - d.Y}
}

// Towards returns the +X direction that points from the origin to a photo point.
func (a Axes) Towards(px, py float64) float64 {
	return math.Atan2(a.Origin.Y-py, px-a.Origin.X)
}

// grabRadius is how near, in layout pixels, a finger must come to the arrow's tip.
const grabRadius = 24

// Colours of what is drawn here; the rims bring their own.
var (
	shade    = color.NRGBA{0x14, 0x11, 0x0e, 0xcc}
	paperInk = color.NRGBA{0xff, 0xfa, 0xf0, 0xff}
	axisInk  = color.NRGBA{0xff, 0xa3, 0x3a, 0xff} // setup 2's: the axes are its machine axes
)

// Draw lays o over dst as v shows the photo. k is device pixels per layout pixel.
func Draw(dst *image.RGBA, o Overlay, v View, k float64) {
	if dst.Rect.Empty() {
		return
	}
	dc := gg.NewContextForRGBA(dst)
	area := box{-8 * k, -8 * k, float64(dst.Rect.Dx()) + 8*k, float64(dst.Rect.Dy()) + 8*k}
	for _, l := range o.Lines {
		drawLine(dc, l, v, k, area)
	}
	for _, d := range o.Dots {
		drawDots(dc, d, v, k, area)
	}
	drawHelp(dc, o, v, k)
	if o.Axes != nil {
		drawAxes(dc, *o.Axes, v, k*letters(o.Text)/13)
	}
	drawMarks(dc, o, v, k)
}

func drawLine(dc *gg.Context, l Line, v View, k float64, area box) {
	w := l.WidthPx
	if w == 0 {
		w = 1.2
	}
	dc.SetLineWidth(w * k)
	dc.SetColor(l.Colour)
	dc.SetLineCapRound()
	dc.SetDash()
	if l.Dashed {
		dc.SetDash(5*k, 4*k)
	}
	open := false
	for i := 1; i < len(l.Path); i++ {
		ax, ay := v.ToDevice(l.Path[i-1].X, l.Path[i-1].Y)
		bx, by := v.ToDevice(l.Path[i].X, l.Path[i].Y)
		cx0, cy0, cx1, cy1, ok := area.clip(ax, ay, bx, by)
		if !ok {
			open = false
			continue
		}
		// gg puts pixel centres at half integers.
		if !open || cx0 != ax || cy0 != ay {
			dc.MoveTo(cx0+0.5, cy0+0.5)
		}
		dc.LineTo(cx1+0.5, cy1+0.5)
		open = cx1 == bx && cy1 == by
	}
	dc.Stroke()
	dc.SetDash()
}

// drawDots shows traced points from the zoom at which they don't run together.
func drawDots(dc *gg.Context, d Dots, v View, k float64, area box) {
	if len(d.At) < 2 || v.Scale < 1 || v.Scale*d.At[0].Sub(d.At[1]).Norm() < 14*k {
		return
	}
	dc.SetColor(d.Colour)
	for _, p := range d.At {
		x, y := v.ToDevice(p.X, p.Y)
		if area.holds(x, y) {
			dc.DrawCircle(x+0.5, y+0.5, 1.8*k)
		}
	}
	dc.Fill()
}

func drawAxes(dc *gg.Context, a Axes, v View, k float64) {
	ox, oy := v.ToDevice(a.Origin.X, a.Origin.Y)
	tip := a.Tip()
	tx, ty := v.ToDevice(tip.X, tip.Y)
	l := math.Hypot(tx-ox, ty-oy)
	if l < 1 {
		return
	}
	ux, uy := (tx-ox)/l, (ty-oy)/l
	yx, yy := ox+uy*0.45*l, oy-ux*0.45*l // +Y: a quarter turn counter-clockwise on the screen
	for _, pass := range []struct {
		c color.NRGBA
		w float64
	}{{shade, 4.5}, {axisInk, 2}} {
		dc.SetColor(pass.c)
		dc.SetLineCapRound()
		dc.SetLineWidth(pass.w * k)
		stroke(dc, ox, oy, tx, ty)
		dc.SetLineWidth((pass.w - 0.8) * k)
		stroke(dc, ox, oy, yx, yy)
	}
	// The handle: a disc to take hold of with the head of the arrow in it.
	r := 13 * k
	if a.Grabbed {
		r = 17 * k
	}
	dc.DrawCircle(tx+0.5, ty+0.5, r+1.5*k)
	dc.SetColor(shade)
	dc.Fill()
	dc.DrawCircle(tx+0.5, ty+0.5, r)
	dc.SetColor(axisInk)
	dc.Fill()
	dc.SetColor(color.NRGBA{0x26, 0x1a, 0x0c, 0xff})
	label(dc, "X", tx+0.5, ty+0.5, 15*k, true)
	tag(dc, "Y", yx-0, yy-0, 12*k, axisInk)
}

func stroke(dc *gg.Context, x0, y0, x1, y1 float64) {
	dc.MoveTo(x0+0.5, y0+0.5)
	dc.LineTo(x1+0.5, y1+0.5)
	dc.Stroke()
}

// tag writes words on a dark slip with a coloured foot, centred on (x, y).
func tag(dc *gg.Context, words string, x, y, size float64, c color.NRGBA) {
	w, h := measure(words, size)
	px, py := size*0.5, size*0.34
	dc.DrawRoundedRectangle(x-w/2-px, y-h/2-py, w+2*px, h+2*py, size*0.22)
	dc.SetColor(shade)
	dc.Fill()
	dc.DrawRectangle(x-w/2-px+size*0.2, y+h/2+py-size*0.12, w+2*px-size*0.4, size*0.12)
	dc.SetColor(c)
	dc.Fill()
	dc.SetColor(paperInk)
	label(dc, words, x, y-size*0.03, size, false)
}

type box struct{ x0, y0, x1, y1 float64 }

func (b box) holds(x, y float64) bool { return x >= b.x0 && x <= b.x1 && y >= b.y0 && y <= b.y1 }

// clip returns the part of a segment inside b (Liang and Barsky's method). Lines
// drawn at 64-fold zoom would otherwise cost their whole length.
func (b box) clip(ax, ay, bx, by float64) (x0, y0, x1, y1 float64, ok bool) {
	t0, t1 := 0.0, 1.0
	dx, dy := bx-ax, by-ay
	for _, e := range [4][2]float64{{-dx, ax - b.x0}, {dx, b.x1 - ax}, {-dy, ay - b.y0}, {dy, b.y1 - ay}} {
		p, q := e[0], e[1]
		if p == 0 {
			if q < 0 {
				return 0, 0, 0, 0, false
			}
			continue
		}
		r := q / p
		if p < 0 {
			t0 = max(t0, r)
		} else {
			t1 = min(t1, r)
		}
		if t0 > t1 {
			return 0, 0, 0, 0, false
		}
	}
	x0, y0, x1, y1 = ax, ay, bx, by
	if t0 > 0 {
		x0, y0 = ax+t0*dx, ay+t0*dy
	}
	if t1 < 1 {
		x1, y1 = ax+t1*dx, ay+t1*dy
	}
	return x0, y0, x1, y1, true
}
