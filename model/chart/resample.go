package chart

import (
	"image"
	"math"

	xdraw "golang.org/x/image/draw"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// resized is the part crop of src at w x h pixels: first whole pixels are
// averaged, then the rest is interpolated, which is as good as one wide filter
// and many times faster on a 24 MP photo.
func resized(src *image.RGBA, crop image.Rectangle, w, h int) *image.RGBA {
	w, h = max(w, 1), max(h, 1)
	crop = crop.Intersect(src.Rect)
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	if crop.Empty() {
		return dst
	}
	if k := min(crop.Dx()/w, crop.Dy()/h) / 2; k >= 2 {
		src = boxed(src, crop, k)
		crop = src.Rect
	}
	xdraw.BiLinear.Scale(dst, dst.Rect, src, crop, xdraw.Src, nil)
	return dst
}

// boxed averages k x k pixels; a rest at the right and lower border is dropped.
func boxed(src *image.RGBA, crop image.Rectangle, k int) *image.RGBA {
	w, h := crop.Dx()/k, crop.Dy()/k
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	sum := make([]uint32, 4*w)
	for y := range h {
		clear(sum)
		for j := range k {
			i := src.PixOffset(crop.Min.X, crop.Min.Y+y*k+j)
			p := src.Pix[i : i+4*w*k]
			for x := range w {
				s, q := sum[4*x:4*x+4:4*x+4], p[4*x*k:4*(x+1)*k]
				for len(q) >= 4 {
					s[0] += uint32(q[0])
					s[1] += uint32(q[1])
					s[2] += uint32(q[2])
					s[3] += uint32(q[3])
					q = q[4:]
				}
			}
		}
		out, n := dst.Pix[y*dst.Stride:y*dst.Stride+4*w], uint32(k*k)
		for i, s := range sum {
			out[i] = uint8((s + n/2) / n)
		}
	}
	return dst
}

// dotsPerPoint is how finely a picture on c should be sampled.
func dotsPerPoint(c draw.Canvas) float64 {
	if d, ok := c.Canvas.(interface{ DPI() float64 }); ok {
		return d.DPI() / 72
	}
	return 220.0 / 72 // paper: what a shop's printer shows of a photo
}

// snapped moves r's sides to whole dots, so that a picture of that many pixels
// is copied and not smeared, and says how many they are.
func snapped(c draw.Canvas, r vg.Rectangle) (out vg.Rectangle, w, h int) {
	k := dotsPerPoint(c)
	snap := func(l vg.Length) vg.Length { return vg.Length(math.Round(float64(l)*k) / k) }
	out = vg.Rectangle{
		Min: vg.Point{X: snap(r.Min.X), Y: snap(r.Min.Y)},
		Max: vg.Point{X: snap(r.Max.X), Y: snap(r.Max.Y)},
	}
	size := out.Size()
	return out, max(int(float64(size.X)*k+0.5), 1), max(int(float64(size.Y)*k+0.5), 1)
}
