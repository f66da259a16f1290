package photo

import (
	"fmt"
	"image"
	"image/color"
	"runtime"
	"sync"
)

// Pyramid is a photo with its reductions by 2, 4, 8, ... made ready to be shown
// at any zoom. It is never changed after NewPyramid and safe for concurrent use.
type Pyramid struct{ levels []*image.RGBA }

// NewPyramid takes img over: it must not be changed afterwards. It costs a third
// of img's memory and about 4 ns per pixel.
//
// Errors: img is nil, empty, or not tight with origin (0, 0): the toolkit draws
// such pictures wrong without a word.
func NewPyramid(img *image.RGBA) (*Pyramid, error) {
	if img == nil || img.Rect.Empty() || img.Rect.Min != (image.Point{}) || img.Stride != 4*img.Rect.Dx() {
		return nil, fmt.Errorf("ui: photo to show is not a tight picture with origin 0, 0")
	}
	p := &Pyramid{levels: []*image.RGBA{img}}
	for l := img; min(l.Rect.Dx(), l.Rect.Dy()) >= 128; {
		l = halve(l)
		p.levels = append(p.levels, l)
	}
	return p, nil
}

// Size is the photo's width and height, px.
func (p *Pyramid) Size() (w, h int) { return p.levels[0].Rect.Dx(), p.levels[0].Rect.Dy() }

// Photo is the full-size picture; it must not be changed.
func (p *Pyramid) Photo() *image.RGBA { return p.levels[0] }

// level returns the picture to sample at scale s (device px per photo px): never
// reduced below what the screen shows, so that nothing shimmers and nothing blurs.
func (p *Pyramid) level(s float64) (*image.RGBA, float64) {
	n, f := 0, 1.0
	for n+1 < len(p.levels) && s*f*2 <= 1 {
		n, f = n+1, f*2
	}
	return p.levels[n], f
}

// halve averages blocks of 2 x 2; an odd last row or column is repeated.
func halve(src *image.RGBA) *image.RGBA {
	sw, sh := src.Rect.Dx(), src.Rect.Dy()
	dst := image.NewRGBA(image.Rect(0, 0, (sw+1)/2, (sh+1)/2))
	dw := dst.Rect.Dx()
	inBands(dst.Rect.Dy(), func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			a := src.Pix[2*y*src.Stride:]
			b := a
			if 2*y+1 < sh {
				b = src.Pix[(2*y+1)*src.Stride:]
			}
			d := dst.Pix[y*dst.Stride : y*dst.Stride+4*dw]
			for x := range dw {
				i := 8 * x
				j := i + 4
				if 2*x+1 >= sw {
					j = i
				}
				for c := range 4 {
					d[4*x+c] = uint8((int(a[i+c]) + int(a[j+c]) + int(b[i+c]) + int(b[j+c]) + 2) >> 2)
				}
			}
		}
	})
	return dst
}

// inBands runs f over [0, n) in one band a core and waits.
func inBands(n int, f func(lo, hi int)) {
	k := min(runtime.GOMAXPROCS(0), n)
	if k <= 1 {
		f(0, n)
		return
	}
	var wg sync.WaitGroup
	for i := range k {
		wg.Go(func() { f(i*n/k, (i+1)*n/k) })
	}
	wg.Wait()
}

// Thumb returns p reduced to fit w x h pixels, tight and with origin (0, 0).
func Thumb(p *Pyramid, w, h int) *image.RGBA {
	pw, ph := p.Size()
	k := min(float64(w)/float64(pw), float64(h)/float64(ph))
	tw, th := max(int(float64(pw)*k), 1), max(int(float64(ph)*k), 1)
	dst := image.NewRGBA(image.Rect(0, 0, tw, th))
	Render(dst, p, FitPhoto(tw, th, pw, ph), color.NRGBA{A: 255})
	return dst
}
