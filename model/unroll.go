package model

import (
	"image"
	"math"
	"runtime"
	"sync"
)

// UnrollOptions say how the ring round the hole is laid out. Zero values choose.
type UnrollOptions struct {
	WidthPx, HeightPx int     // of the strip; 0 = 1440 x 120
	InMM, OutMM       float64 // shown inside and outside of the bore wall; 0 = from the reading
	// ByPart cuts the ring open at the part's +Y, as if +X pointed right, so that
	// strips of photos taken every which way can be laid beside each other.
	ByPart bool
}

// Strip is the map between a photo and its unrolled rim: the ring round the
// hole, cut open at 12 o'clock of the photo and laid out clockwise from left to
// right, so that 3 o'clock is a quarter of the way along. Downwards the strip
// goes towards the hole. Distance from the bore wall is radial, as seen from
// straight above: the bore edge is a straight line whatever the view, an even
// chamfer a parallel band, a mismatch one slow wave.
//
// Strip coordinates are pixels with centres at integers, y down. A Strip is safe
// for concurrent use.
type Strip struct {
	WidthPx, HeightPx int
	InMM, OutMM       float64

	solid Solid
	plusX float64
	proj  Projector
	trace Trace
	photo Photo
	pxMM  float64
}

// NewStrip lays out r. It returns ok = false when r lacks what it takes: a bore,
// a camera.
func NewStrip(r *Reading, o UnrollOptions) (s Strip, ok bool) {
	if r == nil || r.Job.BoreMM <= 0 || !r.Camera.Placed() || !r.Mismatch.IsFinite() {
		return Strip{}, false
	}
	s = Strip{
		WidthPx: o.WidthPx, HeightPx: o.HeightPx, InMM: o.InMM, OutMM: o.OutMM,
		solid: r.Solid(), plusX: r.Camera.PlusX, proj: r.Camera.Projector(),
		trace: r.Trace, photo: r.Photo, pxMM: r.Camera.PxPerMM,
	}
	if o.ByPart {
		s.plusX = 0
	}
	if s.WidthPx <= 0 {
		s.WidthPx = 1440
	}
	if s.HeightPx <= 0 {
		s.HeightPx = 120
	}
	// The band in the middle with two thirds of its mean width of bore and face
	// beside it; never less than three photo pixels of each.
	w := math.Max(math.Abs(s.solid.WidthMM), 3/s.pxMM)
	if s.InMM <= 0 {
		s.InMM = 0.65 * w
	}
	if s.OutMM <= 0 {
		s.OutMM = s.solid.WidthMM + s.solid.Mismatch.Norm() + 0.65*w
	}
	return s, true
}

// Solid is the machined shape that r found.
func (r *Reading) Solid() Solid {
	a := r.Job.HalfAngle
	if a == 0 {
		a = math.Pi / 4
	}
	return Solid{
		RadiusMM: r.Job.BoreMM / 2, WidthMM: r.WidthMM, ThicknessMM: r.Job.ThicknessMM,
		HalfAngle: a, Mismatch: r.Mismatch,
	}
}

// ToStrip returns where the direction angleRad (part axes) and the radial
// distance outMM beyond the bore wall lie in the strip.
func (s Strip) ToStrip(angleRad, outMM float64) Vec {
	return Vec{
		X: clockRad(s.plusX+angleRad)/(2*math.Pi)*float64(s.WidthPx) - 0.5,
		Y: (s.OutMM-outMM)/(s.OutMM+s.InMM)*float64(s.HeightPx) - 0.5,
	}
}

// FromStrip is the inverse of ToStrip; angleRad is in (-pi, pi].
func (s Strip) FromStrip(p Vec) (angleRad, outMM float64) {
	clock := (p.X + 0.5) / float64(s.WidthPx) * 2 * math.Pi
	return wrapPi(math.Pi/2 - clock - s.plusX),
		s.OutMM - (p.Y+0.5)/float64(s.HeightPx)*(s.OutMM+s.InMM)
}

// surfaceDepth is how far below the face the surface is sampled at radius q in a
// direction: on the cone between bore wall and outer edge, on the face beyond
// it, and inside the bore on the level of the bore edge there.
func surfaceDepth(s Solid, along, d2, q, tan float64) float64 {
	if q < s.RadiusMM {
		q = s.RadiusMM
	}
	reach := s.RadiusMM + s.WidthMM
	m2 := q*q - 2*q*along + d2
	if m2 >= reach*reach {
		return 0
	}
	return (reach - math.Sqrt(math.Abs(m2))) / tan // rounding may leave -0
}

// stripColumn is what a strip's column has in common.
type stripColumn struct {
	h     [3]float64 // homogeneous picture of one mm along the direction
	along float64    // mismatch along the direction
}

// Sample draws the strip from src, the upright photo or the same photo at another size.
// It returns nil when src is empty. Where the ring leaves the picture the strip is
// transparent.
func (s Strip) Sample(src *image.RGBA) *image.RGBA {
	if src == nil || src.Rect.Empty() {
		return nil
	}
	// src may be a reduced copy: pixel areas, not centres, scale.
	kx, ky := 1.0, 1.0
	if s.photo.WidthPx > 0 && s.photo.HeightPx > 0 {
		kx = float64(src.Rect.Dx()) / float64(s.photo.WidthPx)
		ky = float64(src.Rect.Dy()) / float64(s.photo.HeightPx)
	}
	// Sub-samples about a source pixel apart, so that a large photo is averaged
	// and not picked at random.
	pitch := s.pxMM * math.Max(kx, ky)
	nx := subSamples(2 * math.Pi * s.solid.RadiusMM * pitch / float64(s.WidthPx))
	ny := subSamples((s.InMM + s.OutMM) * pitch / float64(s.HeightPx))

	cols := make([]stripColumn, s.WidthPx*nx)
	for i := range cols {
		a, _ := s.FromStrip(Vec{X: (float64(i)+0.5)/float64(nx) - 0.5})
		u := Polar(1, a)
		cols[i].along = s.solid.Mismatch.Dot(u)
		for k := range 3 {
			cols[i].h[k] = s.proj.m[k][0]*u.X + s.proj.m[k][1]*u.Y
		}
	}
	dst := image.NewRGBA(image.Rect(0, 0, s.WidthPx, s.HeightPx))
	rows := make(chan int, s.HeightPx)
	for y := range s.HeightPx {
		rows <- y
	}
	close(rows)
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), s.HeightPx) {
		wg.Go(func() {
			for y := range rows {
				s.row(dst, src, cols, y, nx, ny, kx, ky)
			}
		})
	}
	wg.Wait()
	return dst
}

func subSamples(stepPx float64) int {
	const most = 6
	return int(math.Min(math.Max(math.Ceil(stepPx/1.3), 1), most))
}

// row fills row y of dst from nx x ny samples a pixel.
func (s Strip) row(dst, src *image.RGBA, cols []stripColumn, y, nx, ny int, kx, ky float64) {
	tan := math.Tan(s.solid.HalfAngle)
	d2 := s.solid.Mismatch.Dot(s.solid.Mismatch)
	out := dst.Pix[y*dst.Stride : y*dst.Stride+4*s.WidthPx]
	all := uint32(nx * ny)
	radius := make([]float64, ny)
	for j := range radius {
		_, o := s.FromStrip(Vec{Y: float64(y) + (float64(j)+0.5)/float64(ny) - 0.5})
		radius[j] = s.solid.RadiusMM + o
	}
	for x := range s.WidthPx {
		var sum [4]uint32
		for _, q := range radius {
			for i := range nx {
				c := &cols[x*nx+i]
				z := -surfaceDepth(s.solid, c.along, d2, q, tan)
				w := q*c.h[2] + z*s.proj.m[2][2] + s.proj.m[2][3]
				u := (q*c.h[0] + z*s.proj.m[0][2] + s.proj.m[0][3]) / w
				v := (q*c.h[1] + z*s.proj.m[1][2] + s.proj.m[1][3]) / w
				addBilinear(src, (u+0.5)*kx-0.5, (v+0.5)*ky-0.5, &sum)
			}
		}
		for k := range 4 {
			out[4*x+k] = uint8((sum[k]/all + 128) >> 8)
		}
	}
}

// addBilinear adds 256 times the colour of src at (u, v), pixel centres at
// integers; nothing outside of the picture. Plain comparisons, because this is
// where the time goes.
func addBilinear(src *image.RGBA, u, v float64, sum *[4]uint32) {
	w, h := src.Rect.Dx(), src.Rect.Dy()
	if !(u >= -0.5 && v >= -0.5 && u <= float64(w)-0.5 && v <= float64(h)-0.5) {
		return
	}
	// In sixteenths of a pixel.
	iu, iv := int(u*16+8.5)-8, int(v*16+8.5)-8
	x, y, fx, fy := iu>>4, iv>>4, uint32(iu&15), uint32(iv&15)
	if x < 0 || x >= w-1 || y < 0 || y >= h-1 {
		addNearest(src, u, v, sum)
		return
	}
	w11, w10, w01 := fx*fy, fx*(16-fy), (16-fx)*fy
	w00 := 256 - w11 - w10 - w01
	i := y*src.Stride + 4*x
	a, c := src.Pix[i:i+8:i+8], src.Pix[i+src.Stride:i+src.Stride+8:i+src.Stride+8]
	sum[0] += w00*uint32(a[0]) + w10*uint32(a[4]) + w01*uint32(c[0]) + w11*uint32(c[4])
	sum[1] += w00*uint32(a[1]) + w10*uint32(a[5]) + w01*uint32(c[1]) + w11*uint32(c[5])
	sum[2] += w00*uint32(a[2]) + w10*uint32(a[6]) + w01*uint32(c[2]) + w11*uint32(c[6])
	sum[3] += w00*uint32(a[3]) + w10*uint32(a[7]) + w01*uint32(c[3]) + w11*uint32(c[7])
}

// addNearest serves the picture's last row and column.
func addNearest(src *image.RGBA, u, v float64, sum *[4]uint32) {
	x, y := int(u+0.5), int(v+0.5)
	if !(u >= -0.5 && v >= -0.5) || x >= src.Rect.Dx() || y >= src.Rect.Dy() {
		return
	}
	i := y*src.Stride + 4*x
	p := src.Pix[i : i+4 : i+4]
	sum[0] += uint32(p[0]) << 8
	sum[1] += uint32(p[1]) << 8
	sum[2] += uint32(p[2]) << 8
	sum[3] += uint32(p[3]) << 8
}
