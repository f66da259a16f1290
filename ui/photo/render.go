package photo

import (
	"encoding/binary"
	"image"
	"image/color"
	"math"
)

// sharpFrom is the scale from which photo pixels are shown as squares: then what
// is judged is what was taken, not what a filter made of it.
const sharpFrom = 2.5

// Render draws the part of p that v shows into dst, which is tight with origin
// (0, 0) and reused whole: outside the photo it is ground.
func Render(dst *image.RGBA, p *Pyramid, v View, ground color.NRGBA) {
	w, h := dst.Rect.Dx(), dst.Rect.Dy()
	if p == nil || w == 0 || h == 0 {
		fill(dst, 0, h, ground)
		return
	}
	src, f := p.level(v.Scale)
	xs := axis(w, v.OX, v.Scale, f, src.Rect.Dx(), v.Scale >= sharpFrom)
	ys := axis(h, v.OY, v.Scale, f, src.Rect.Dy(), v.Scale >= sharpFrom)
	inBands(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			row := dst.Pix[y*dst.Stride : y*dst.Stride+4*w]
			if ys[y].lo < 0 {
				fill(dst, y, y+1, ground)
				continue
			}
			a := src.Pix[ys[y].lo*src.Stride:]
			b := src.Pix[ys[y].hi*src.Stride:]
			wy := ys[y].w
			for x, t := range xs {
				d := row[4*x : 4*x+4 : 4*x+4]
				if t.lo < 0 {
					d[0], d[1], d[2], d[3] = ground.R, ground.G, ground.B, 0xff
					continue
				}
				i := 4 * t.lo
				pix := binary.LittleEndian.Uint32(a[i : i+4])
				if t.w|wy != 0 {
					j := 4 * t.hi
					top := mix(pix, binary.LittleEndian.Uint32(a[j:j+4]), t.w)
					low := mix(binary.LittleEndian.Uint32(b[i:i+4]), binary.LittleEndian.Uint32(b[j:j+4]), t.w)
					pix = mix(top, low, wy)
				}
				binary.LittleEndian.PutUint32(d, pix|0xff000000)
			}
		}
	})
}

// mix returns p + (q-p) w/256 for each of four bytes, two at a time.
func mix(p, q, w uint32) uint32 {
	const even = 0x00ff00ff
	v := 256 - w
	return ((p&even*v+q&even*w)>>8)&even | (p>>8&even*v+q>>8&even*w)&^even
}

// tap is where one row or column of the screen takes its picture from: two
// neighbours and the weight of the second, out of 256. lo < 0 is off the photo.
type tap struct {
	lo, hi int
	w      uint32
}

func axis(n int, origin, scale, reduced float64, size int, sharp bool) []tap {
	taps := make([]tap, n)
	for i := range taps {
		full := origin + float64(i)/scale // in photo pixels
		x := (full+0.5)/reduced - 0.5
		if x < -0.5 || x >= float64(size)-0.5 {
			taps[i].lo = -1
			continue
		}
		if sharp {
			k := min(int(math.Floor(x+0.5)), size-1)
			taps[i] = tap{lo: k, hi: k}
			continue
		}
		lo := math.Floor(x)
		w := uint32((x-lo)*256 + 0.5)
		taps[i] = tap{lo: max(int(lo), 0), hi: min(int(lo)+1, size-1), w: w}
	}
	return taps
}

func fill(dst *image.RGBA, y0, y1 int, c color.NRGBA) {
	row := dst.Pix[y0*dst.Stride : y1*dst.Stride]
	for i := 0; i < len(row); i += 4 {
		row[i], row[i+1], row[i+2], row[i+3] = c.R, c.G, c.B, 0xff
	}
}

// frame draws a border of n pixels inside dst: the sign of keyboard focus.
func frame(dst *image.RGBA, c color.NRGBA, n int) {
	w, h := dst.Rect.Dx(), dst.Rect.Dy()
	n = min(n, w/2, h/2)
	fill(dst, 0, n, c)
	fill(dst, h-n, h, c)
	for y := n; y < h-n; y++ {
		for i := range n {
			for _, x := range [2]int{i, w - 1 - i} {
				at := y*dst.Stride + 4*x
				dst.Pix[at], dst.Pix[at+1], dst.Pix[at+2], dst.Pix[at+3] = c.R, c.G, c.B, 0xff
			}
		}
	}
}
