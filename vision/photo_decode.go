package vision

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"unsafe"

	"golang.org/x/image/bmp"
	"golang.org/x/image/tiff"
	"golang.org/x/image/webp"

	"evenrim/model"
	"evenrim/vision/jpegturbo"
)

// decodeGray fills W, H, the pixels and the orientation.
func (p *Photo) decodeGray() error {
	o := orientation(p.kind, p.data)
	p.Info.Orientation = o
	if p.kind == jpegFile {
		w, h, space, err := jpegturbo.Header(p.data)
		if err != nil {
			return refuseDamaged(p.kind, err)
		}
		if space != jpegturbo.Other {
			luma, err := jpegturbo.Luma(p.data, w, h)
			if err != nil {
				return refuseDamaged(p.kind, err)
			}
			p.Gray8, p.W, p.H = turnUpright(luma, w, h, o)
			return nil
		}
	}
	im, err := decodeImage(p.kind, p.data)
	if err != nil {
		return refuseDamaged(p.kind, err)
	}
	w, h := im.Bounds().Dx(), im.Bounds().Dy()
	if isDeep(im) {
		p.Gray16, p.W, p.H = turnUpright(lumaDeep(im), w, h, o)
	} else {
		p.Gray8, p.W, p.H = turnUpright(luma8(im), w, h, o)
	}
	return nil
}

// decodeColour is the same picture for the eye.
func (p *Photo) decodeColour() (*image.RGBA, error) {
	var rgba *image.RGBA
	if w, h, space, err := 0, 0, jpegturbo.Other, error(nil); p.kind == jpegFile {
		w, h, space, err = jpegturbo.Header(p.data)
		if err == nil && space != jpegturbo.Other {
			pix, err := jpegturbo.RGBA(p.data, w, h)
			if err != nil {
				return nil, refuseDamaged(p.kind, err)
			}
			rgba = &image.RGBA{Pix: pix, Stride: 4 * w, Rect: image.Rect(0, 0, w, h)}
		}
	}
	if rgba == nil {
		im, err := decodeImage(p.kind, p.data)
		if err != nil {
			return nil, refuseDamaged(p.kind, err)
		}
		rgba = opaque(im)
	}
	if p.Info.Orientation <= 1 {
		return rgba, nil
	}
	w, h := rgba.Rect.Dx(), rgba.Rect.Dy()
	// Four bytes move as one value.
	px := unsafe.Slice((*uint32)(unsafe.Pointer(unsafe.SliceData(rgba.Pix))), w*h)
	px, w, h = turnUpright(px, w, h, p.Info.Orientation)
	pix := unsafe.Slice((*uint8)(unsafe.Pointer(unsafe.SliceData(px))), 4*len(px))
	return &image.RGBA{Pix: pix, Stride: 4 * w, Rect: image.Rect(0, 0, w, h)}, nil
}

// decodeImage decodes what jpegturbo does not. Go's own decoders check lengths
// and checksums and report what is wrong as an error; a failed assertion in
// OpenCV would end the process.
func decodeImage(kind fileKind, data []byte) (im image.Image, err error) {
	defer func() {
		// A decoder's slip on a hostile file must not take the other photos with it.
		if r := recover(); r != nil {
			im, err = nil, fmt.Errorf("vision: decode: %v", r)
		}
	}()
	r := bytes.NewReader(data)
	switch kind {
	case jpegFile:
		return jpeg.Decode(r)
	case pngFile:
		return png.Decode(r)
	case tiffFile:
		return tiff.Decode(r)
	case bmpFile:
		return bmp.Decode(r)
	default:
		return webp.Decode(r)
	}
}

func refuseDamaged(kind fileKind, err error) error {
	var unsupported tiff.UnsupportedError
	switch {
	case errors.As(err, &unsupported), errors.Is(err, bmp.ErrUnsupported):
		return refuse(model.Unreadable, err, "This kind of %v cannot be read: save the photo as PNG or as %v without compression.", kind, kind)
	}
	return refuse(model.Unreadable, err, "The %v file is damaged or incomplete: copy it from the camera again.", kind)
}

func isDeep(im image.Image) bool {
	switch im.(type) {
	case *image.Gray16, *image.RGBA64, *image.NRGBA64:
		return true
	}
	return false
}

// Luma weights as in ITU-R BT.601, which JPEG's Y has too, scaled to 2^16.
const redWeight, greenWeight, blueWeight = 19595, 38470, 7471

func luma(r, g, b uint32) uint32 {
	return uint32((uint64(redWeight)*uint64(r) + uint64(greenWeight)*uint64(g) + uint64(blueWeight)*uint64(b) + 1<<15) >> 16)
}

// luma8 returns the luma of im; an alpha channel is left out of account.
func luma8(im image.Image) []uint8 {
	b := im.Bounds()
	w, h := b.Dx(), b.Dy()
	out := make([]uint8, w*h)
	switch m := im.(type) {
	case *image.Gray:
		copyRows(out, m.Pix, w, h, m.Stride)
	case *image.YCbCr:
		copyRows(out, m.Y, w, h, m.YStride)
	case *image.NYCbCrA:
		copyRows(out, m.Y, w, h, m.YStride)
	case *image.NRGBA:
		lumaRows(out, m.Pix, w, h, m.Stride)
	case *image.RGBA:
		lumaRows(out, m.Pix, w, h, m.Stride)
	case *image.Paletted:
		var table [256]uint8
		for i, c := range m.Palette {
			table[i] = luma1(c)
		}
		for y := range h {
			for x, v := range m.Pix[y*m.Stride:][:w] {
				out[y*w+x] = table[v]
			}
		}
	default:
		for y := range h {
			for x := range w {
				out[y*w+x] = luma1(im.At(b.Min.X+x, b.Min.Y+y))
			}
		}
	}
	return out
}

func luma1(c color.Color) uint8 {
	n := color.NRGBAModel.Convert(c).(color.NRGBA)
	return uint8(luma(uint32(n.R), uint32(n.G), uint32(n.B)))
}

func copyRows(dst, src []uint8, w, h, stride int) {
	for y := range h {
		copy(dst[y*w:][:w], src[y*stride:])
	}
}

func lumaRows(dst, src []uint8, w, h, stride int) {
	for y := range h {
		row := src[y*stride:][:4*w]
		for x := range w {
			px := row[4*x:][:4]
			dst[y*w+x] = uint8(luma(uint32(px[0]), uint32(px[1]), uint32(px[2])))
		}
	}
}

func lumaDeep(im image.Image) []uint16 {
	b := im.Bounds()
	w, h := b.Dx(), b.Dy()
	out := make([]uint16, w*h)
	if m, ok := im.(*image.Gray16); ok {
		for y := range h {
			row := m.Pix[y*m.Stride:][:2*w]
			for x := range w {
				out[y*w+x] = uint16(row[2*x])<<8 | uint16(row[2*x+1])
			}
		}
		return out
	}
	pix, stride := deepPix(im)
	for y := range h {
		row := pix[y*stride:][:8*w]
		for x := range w {
			px := row[8*x:][:8]
			v := func(i int) uint32 { return uint32(px[i])<<8 | uint32(px[i+1]) }
			out[y*w+x] = uint16(luma(v(0), v(2), v(4)))
		}
	}
	return out
}

func deepPix(im image.Image) (pix []uint8, stride int) {
	switch m := im.(type) {
	case *image.RGBA64:
		return m.Pix, m.Stride
	case *image.NRGBA64:
		return m.Pix, m.Stride
	}
	panic("vision: not a deep colour picture")
}

// opaque returns im as tight RGBA with full alpha.
func opaque(im image.Image) *image.RGBA {
	b := im.Bounds()
	out := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	switch m := im.(type) {
	case *image.NRGBA: // alpha is left out of account, as in luma8
		copyRows(out.Pix, m.Pix, 4*b.Dx(), b.Dy(), m.Stride)
	default:
		draw.Draw(out, out.Rect, im, b.Min, draw.Src)
	}
	for i := 3; i < len(out.Pix); i += 4 {
		out.Pix[i] = 255
	}
	return out
}

// checkLight refuses a picture in which there is nothing at all to see, from a
// coarse sample of its pixels.
func (p *Photo) checkLight() error {
	var darkest, lightest float64
	if p.Gray16 != nil {
		lo, hi := extremes(p.Gray16, p.W, p.H)
		// A 10-bit camera may fill only the lowest bits of a 16-bit file.
		darkest, lightest = float64(lo)/65535, float64(hi)/1023
	} else {
		lo, hi := extremes(p.Gray8, p.W, p.H)
		darkest, lightest = float64(lo)/255, float64(hi)/255
	}
	switch {
	case lightest < 0.03:
		return refuse(model.Underexposed, nil, "The picture is black: take the lens cap off, or give more light or a longer exposure.")
	case darkest > 0.98:
		return refuse(model.Overexposed, nil, "The picture is white all over: give less light or a shorter exposure.")
	}
	return nil
}

// extremes returns the 2nd and 998th thousandth of a sample of pixels, so that a
// few hot or dead ones don't count.
func extremes[T uint8 | uint16](pix []T, w, h int) (lo, hi T) {
	step := max(1, h/200)
	var count [4096]int
	shift := 0
	if any(T(0)) == any(uint16(0)) {
		shift = 4
	}
	n := 0
	for y := step / 2; y < h; y += step {
		for _, v := range pix[y*w:][:w] {
			count[uint(v)>>shift]++
			n++
		}
	}
	rank := func(k int) T {
		for v, c := range count {
			if k -= c; k < 0 {
				return T(v << shift)
			}
		}
		return 0
	}
	return rank(n / 500), rank(n - 1 - n/500)
}
