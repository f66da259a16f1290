package chart

import (
	"image"
	"math"

	"evenrim/model"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// FacedFigure is a photo laid into the part's own axes: +X to the right, +Y up,
// the bore edge round and in the middle, one mm as long as in every other faced
// figure of the same HalfMM. Photos taken from any side and distance can so be
// laid beside or over each other.
//
// It is exact on the level of the bore edge; what lies higher (the face, the outer
// edge) keeps the slant that the camera saw it at.
type FacedFigure struct {
	Src     *image.RGBA // the upright photo at any size; nil = rims alone
	Reading *model.Reading
	Style   Style
	Unit    Unit
	HalfMM  float64 // from the bore's axis to the border; 0 = FacedHalf
	Rims    bool
	Words   bool // +X and a scale
}

// FacedHalf is the HalfMM that shows the holes of all readings with some face
// round them; 0 when none has a hole.
func FacedHalf(readings ...*model.Reading) float64 {
	half := 0.0
	for _, r := range readings {
		if r != nil && canFace(r) {
			s := r.Solid()
			half = math.Max(half, 1.16*(s.RadiusMM+math.Max(s.WidthMM, 0)+s.Mismatch.Norm()))
		}
	}
	return half
}

func canFace(r *model.Reading) bool {
	return r.Job.BoreMM > 0 && r.Camera.Placed() && r.Mismatch.IsFinite()
}

// boreLevel is the mean height of the bore edge, mm, not above the face.
func boreLevel(s model.Solid) float64 { return -math.Max(s.WidthMM, 0) / math.Tan(s.HalfAngle) }

// Draw draws the largest square that fits into c.
func (f *FacedFigure) Draw(c draw.Canvas) {
	c.SetColor(f.Style.Paper)
	c.Fill(c.Rectangle.Path())
	half := f.HalfMM
	if half <= 0 {
		half = FacedHalf(f.Reading)
	}
	size := min(c.Size().X, c.Size().Y)
	mid := c.Center()
	body, w, h := snapped(c, vg.Rectangle{
		Min: vg.Point{X: mid.X - size/2, Y: mid.Y - size/2}, Max: vg.Point{X: mid.X + size/2, Y: mid.Y + size/2},
	})
	c.SetColor(f.Style.Sunk)
	c.Fill(body.Path())
	if f.Reading == nil || !canFace(f.Reading) || half <= 0 {
		f.say(c, "no traced rim to lay out")
		return
	}
	if f.Src != nil && !f.Src.Rect.Empty() {
		c.DrawImage(body, faced(f.Src, f.Reading, half, w, h))
	} else {
		f.say(c, "the photo is not at hand")
	}
	clip := draw.Canvas{Canvas: c.Canvas, Rectangle: body}
	k := body.Size().X / vg.Length(2*half)
	at := func(p model.Vec) vg.Point {
		return vg.Point{X: body.Min.X + body.Size().X/2 + vg.Length(p.X)*k, Y: body.Min.Y + body.Size().Y/2 + vg.Length(p.Y)*k}
	}
	if f.Rims {
		f.rims(clip, at)
	}
	if f.Words {
		turned := *f.Reading
		turned.Camera.PlusX = 0
		p := &PhotoFigure{Reading: &turned, Style: f.Style, Unit: f.Unit}
		p.arrow(clip)
		perPx := turned.Camera.PxPerMM
		p.scale(clip, func(v model.Vec) vg.Point { return at(v.Scale(1 / perPx)) })
	}
}

func (f *FacedFigure) say(c draw.Canvas, words string) {
	st := f.Style.Text(Italic, labelSize, f.Style.Soft)
	st.XAlign, st.YAlign = text.XCenter, text.YCenter
	c.FillText(st, c.Center(), words)
}

// rims draws the fitted rims where the picture shows them.
func (f *FacedFigure) rims(c draw.Canvas, at func(model.Vec) vg.Point) {
	proj, z := f.Reading.Camera.Projector(), boreLevel(f.Reading.Solid())
	to := func(p model.Vec) vg.Point { return at(proj.ToPlane(p.X, p.Y, z)) }
	paths := model.PhotoPaths(f.Reading)
	f.Style.rim(c, to, paths.Bore, PhotoSetup1, boreDash)
	f.Style.rim(c, to, paths.Outer, PhotoSetup2, nil)
}

// faced samples src in part axes on the level of the bore edge into w x h pixels
// of a square of 2 half mm.
func faced(src *image.RGBA, r *model.Reading, half float64, w, h int) *image.RGBA {
	// A photo much finer than the picture is averaged first; what is left is
	// interpolated.
	kx, ky := 1.0, 1.0
	if r.Photo.WidthPx > 0 && r.Photo.HeightPx > 0 {
		kx, ky = float64(src.Rect.Dx())/float64(r.Photo.WidthPx), float64(src.Rect.Dy())/float64(r.Photo.HeightPx)
	}
	step := 2 * half / float64(w) * r.Camera.PxPerMM * kx // source pixels a pixel
	if n := int(step + 0.25); n >= 2 {
		src = boxed(src, src.Rect, n)
		kx, ky = kx/float64(n), ky/float64(n)
	}
	proj, z := r.Camera.Projector(), boreLevel(r.Solid())
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		py := half * (1 - 2*(float64(y)+0.5)/float64(h))
		for x := range w {
			px := half * (2*(float64(x)+0.5)/float64(w) - 1)
			u, v := proj.ToPhoto(px, py, z)
			bilinear(dst.Pix[dst.PixOffset(x, y):], src, (u+0.5)*kx-0.5, (v+0.5)*ky-0.5)
		}
	}
	return dst
}

// bilinear writes src at (u, v), pixel centres at integers, into p[0:4]; outside
// of the picture nothing.
func bilinear(p []uint8, src *image.RGBA, u, v float64) {
	b := src.Rect
	if !(u > -0.5 && v > -0.5 && u < float64(b.Dx())-0.5 && v < float64(b.Dy())-0.5) {
		return
	}
	x0, y0 := int(math.Floor(u)), int(math.Floor(v))
	fx, fy := u-float64(x0), v-float64(y0)
	in := func(i, n int) int { return min(max(i, 0), n-1) }
	row0, row1 := in(y0, b.Dy())*src.Stride, in(y0+1, b.Dy())*src.Stride
	c0, c1 := 4*in(x0, b.Dx()), 4*in(x0+1, b.Dx())
	for k := range 4 {
		top := float64(src.Pix[row0+c0+k])*(1-fx) + float64(src.Pix[row0+c1+k])*fx
		low := float64(src.Pix[row1+c0+k])*(1-fx) + float64(src.Pix[row1+c1+k])*fx
		p[k] = uint8(top*(1-fy) + low*fy + 0.5)
	}
}
