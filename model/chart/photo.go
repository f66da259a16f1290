package chart

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"evenrim/model"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// PhotoFigure is a photo with its rims drawn over it, as large as fits.
type PhotoFigure struct {
	Src     *image.RGBA    // the upright photo at any size
	Reading *model.Reading // nil = the photo alone
	Style   Style
	Unit    Unit
	Close   bool           // the hole with some face round it instead of the whole photo
	Words   bool           // widest, narrowest, +X and a scale
	Left    bool           // against the left border instead of in the middle
	Places  []model.Circle // ringed and numbered: where the finder hesitates, photo px
	PhotoPx image.Point    // the photo's own size; zero = Reading's, or Src's
}

// Draw draws the photo in the middle of c.
func (f *PhotoFigure) Draw(c draw.Canvas) {
	c.SetColor(f.Style.Paper)
	c.Fill(c.Rectangle.Path())
	if f.Src == nil || f.Src.Rect.Empty() {
		st := f.Style.Text(Italic, labelSize, f.Style.Soft)
		st.XAlign, st.YAlign = text.XCenter, text.YCenter
		c.FillText(st, c.Center(), "the photo is not at hand")
		return
	}
	crop := f.crop()
	size := c.Size()
	k := min(size.X/vg.Length(crop.Dx()), size.Y/vg.Length(crop.Dy()))
	w, h := vg.Length(crop.Dx())*k, vg.Length(crop.Dy())*k
	mid := c.Center()
	if f.Left {
		mid.X = c.Min.X + w/2
	}
	body, pw, ph := snapped(c, vg.Rectangle{
		Min: vg.Point{X: mid.X - w/2, Y: mid.Y - h/2}, Max: vg.Point{X: mid.X + w/2, Y: mid.Y + h/2},
	})
	c.DrawImage(body, resized(f.Src, crop, pw, ph))
	// Photo pixels to the canvas, by pixel areas: Src may be a reduced copy.
	kx, ky := f.reduced()
	bs := body.Size()
	to := func(p model.Vec) vg.Point {
		return vg.Point{
			X: body.Min.X + bs.X*vg.Length(((p.X+0.5)*kx-float64(crop.Min.X))/float64(crop.Dx())),
			Y: body.Max.Y - bs.Y*vg.Length(((p.Y+0.5)*ky-float64(crop.Min.Y))/float64(crop.Dy())),
		}
	}
	clip := draw.Canvas{Canvas: c.Canvas, Rectangle: body}
	f.places(clip, to)
	if f.Reading == nil {
		return
	}
	paths := model.PhotoPaths(f.Reading)
	f.Style.rim(clip, to, paths.Exit, PhotoExit, exitDash)
	f.Style.rim(clip, to, paths.Bore, PhotoSetup1, boreDash)
	f.Style.rim(clip, to, paths.Outer, PhotoSetup2, nil)
	if f.Words && f.Reading.Camera.Placed() {
		f.words(clip, to)
	}
}

// reduced is how many pixels of Src one pixel of the photo has.
func (f *PhotoFigure) reduced() (kx, ky float64) {
	px := f.PhotoPx
	if px == (image.Point{}) && f.Reading != nil {
		px = image.Point{X: f.Reading.Photo.WidthPx, Y: f.Reading.Photo.HeightPx}
	}
	if px.X <= 0 || px.Y <= 0 {
		return 1, 1
	}
	return float64(f.Src.Rect.Dx()) / float64(px.X), float64(f.Src.Rect.Dy()) / float64(px.Y)
}

// places rings the spots between which the finder could not choose.
func (f *PhotoFigure) places(c draw.Canvas, to func(model.Vec) vg.Point) {
	for i, q := range f.Places {
		const n = 72
		ring := make([]vg.Point, n+1)
		for j := range ring {
			ring[j] = to(model.Vec{X: q.X, Y: q.Y}.Add(model.Polar(q.R, 2*math.Pi*float64(j)/n)))
		}
		f.halo(c, ring, PhotoSetup2)
		f.tag(c, to(model.Vec{X: q.X, Y: q.Y - q.R}), model.Vec{Y: 1}, fmt.Sprint(i+1))
	}
}

// crop is the part of Src shown, in its pixels.
func (f *PhotoFigure) crop() image.Rectangle {
	all := f.Src.Rect
	r := f.Reading
	if !f.Close || r == nil || !r.Camera.Placed() {
		return all
	}
	k, _ := f.reduced()
	s := r.Solid()
	half := (s.RadiusMM + math.Max(s.WidthMM, 0) + s.Mismatch.Norm()) * 1.42 * r.Camera.PxPerMM
	box := image.Rect(int((r.Camera.U0-half)*k), int((r.Camera.V0-half)*k), int((r.Camera.U0+half)*k), int((r.Camera.V0+half)*k))
	if box = box.Intersect(all); box.Empty() {
		return all
	}
	return box
}

// words mark widest and narrowest at the rim and show +X and a scale.
func (f *PhotoFigure) words(c draw.Canvas, to func(model.Vec) vg.Point) {
	r := f.Reading
	proj, solid := r.Camera.Projector(), r.Solid()
	at := func(angle, radius float64) vg.Point {
		q := model.Polar(radius, angle)
		u, v := proj.ToPhoto(q.X, q.Y, 0)
		return to(model.Vec{X: u, Y: v})
	}
	if !r.IsEven() {
		outside := solid.RadiusMM + math.Max(solid.WidthMM, 0)
		for _, e := range []struct {
			name string
			at   model.Extreme
		}{{"widest", r.Widest()}, {"narrowest", r.Narrowest()}} {
			name := e.name
			if e.at.WidthMM <= 0 {
				name = "no chamfer"
			}
			from := outside + math.Max(e.at.WidthMM-solid.WidthMM, 0)
			p, q := at(e.at.AngleRad, from+0.03*solid.RadiusMM), at(e.at.AngleRad, from+0.12*solid.RadiusMM)
			f.halo(c, []vg.Point{p, q}, color.White)
			d := model.Vec{X: float64(q.X - p.X), Y: float64(q.Y - p.Y)}
			f.tag(c, q, d, name)
		}
	}
	f.arrow(c)
	f.scale(c, to)
}

func (f *PhotoFigure) halo(c draw.Canvas, line []vg.Point, col color.Color) {
	l := c.ClipLinesXY(line)
	c.StrokeLines(f.Style.Line(PhotoHalo, 2.6), l...)
	c.StrokeLines(f.Style.Line(col, 1.2), l...)
}

// tag writes words on a dark slip beyond at in direction d, inside of c.
func (f *PhotoFigure) tag(c draw.Canvas, at vg.Point, d model.Vec, words string) {
	st := f.Style.Text(Bold, tickSize, color.White)
	st.XAlign, st.YAlign = text.XCenter, text.YCenter
	w, h := st.Width(words)+f.Style.Pt(6), st.Height(words)+f.Style.Pt(3)
	u := d.Scale(1 / math.Max(d.Norm(), 1e-9))
	x := at.X + vg.Length(u.X)*w/2
	y := at.Y + vg.Length(u.Y)*h/2
	x = min(max(x, c.Min.X+w/2), c.Max.X-w/2)
	y = min(max(y, c.Min.Y+h/2), c.Max.Y-h/2)
	box := vg.Rectangle{Min: vg.Point{X: x - w/2, Y: y - h/2}, Max: vg.Point{X: x + w/2, Y: y + h/2}}
	c.SetColor(alpha(PhotoHalo, 0.72))
	c.Fill(box.Path())
	c.FillText(st, vg.Point{X: x, Y: y}, words)
}

// arrow shows setup 2's +X in the lower left corner.
func (f *PhotoFigure) arrow(c draw.Canvas) {
	const long = 20
	dir := model.Polar(1, f.Reading.PlusXInPhoto()) // y up, as the canvas
	mid := vg.Point{X: c.Min.X + f.Style.Pt(34), Y: c.Min.Y + f.Style.Pt(30)}
	move := func(p vg.Point, v model.Vec, k float64) vg.Point {
		return vg.Point{X: p.X + f.Style.Pt(k*v.X), Y: p.Y + f.Style.Pt(k*v.Y)}
	}
	tail, tip := move(mid, dir, -long/2), move(mid, dir, long/2)
	side := dir.Rotate(math.Pi / 2)
	f.halo(c, []vg.Point{tail, tip}, color.White)
	f.halo(c, []vg.Point{move(move(tip, dir, -5), side, 3.2), tip, move(move(tip, dir, -5), side, -3.2)}, color.White)
	f.tag(c, move(tip, dir, 3), dir, "+X")
}

// scale draws a bar of a round length in the lower right corner.
func (f *PhotoFigure) scale(c draw.Canvas, to func(model.Vec) vg.Point) {
	r := f.Reading
	p, q := to(model.Vec{}), to(model.Vec{X: r.Camera.PxPerMM})
	perMM := float64(q.X - p.X)
	if !(perMM > 0) {
		return
	}
	// About a fifth of the picture, a round figure in the unit shown.
	step, dec := niceStep(f.Unit.Of(float64(c.Size().X) / 14 / perMM))
	long := vg.Length(f.Unit.MM(step) * perMM)
	words := number(step, dec) + " " + f.Unit.String()
	right, y := c.Max.X-f.Style.Pt(8), c.Min.Y+f.Style.Pt(8)
	f.halo(c, []vg.Point{{X: right - long, Y: y}, {X: right, Y: y}}, color.White)
	f.tag(c, vg.Point{X: right - long/2, Y: y + f.Style.Pt(4)}, model.Vec{Y: 1}, words)
}
