package synth

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"strings"

	"evenrim/model/whole"
)

// Encode returns the picture as a file's bytes, in its scene's format.
func (p *Picture) Encode() ([]byte, error) {
	img := p.Image()
	var b bytes.Buffer
	if p.format != JPEG {
		enc := png.Encoder{CompressionLevel: png.BestSpeed}
		if err := enc.Encode(&b, img); err != nil {
			return nil, fmt.Errorf("synth: encode PNG: %w", err)
		}
		return b.Bytes(), nil
	}
	if err := jpeg.Encode(&b, turned(img.(*image.RGBA), p.orientation), &jpeg.Options{Quality: p.quality}); err != nil {
		return nil, fmt.Errorf("synth: encode JPEG: %w", err)
	}
	if p.orientation == 1 {
		return b.Bytes(), nil
	}
	return withOrientation(b.Bytes(), p.orientation), nil
}

// turned stores an upright picture so that an EXIF orientation brings it upright
// again: the inverse of the tag's own turn.
func turned(img *image.RGBA, orientation int) *image.RGBA {
	if orientation == 1 {
		return img
	}
	w, h := img.Rect.Dx(), img.Rect.Dy()
	sw, sh := w, h
	if orientation >= 5 {
		sw, sh = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, sw, sh))
	for y := range h {
		for x := range w {
			// Where upright (x, y) is stored: CIPA DC-008 (Exif 2.3), tag 0x0112.
			sx, sy := x, y
			switch orientation {
			case 2:
				sx = w - 1 - x
			case 3:
				sx, sy = w-1-x, h-1-y
			case 4:
				sy = h - 1 - y
			case 5:
				sx, sy = y, x
			case 6:
				sx, sy = y, w-1-x
			case 7:
				sx, sy = h-1-y, w-1-x
			case 8:
				sx, sy = h-1-y, x
			}
			copy(out.Pix[sy*out.Stride+4*sx:][:4], img.Pix[y*img.Stride+4*x:][:4])
		}
	}
	return out
}

// withOrientation puts an EXIF block with the one tag behind a JPEG's first marker.
func withOrientation(jpg []byte, orientation int) []byte {
	var tiff bytes.Buffer
	tiff.WriteString("MM\x00\x2a")
	be := func(v any) { binary.Write(&tiff, binary.BigEndian, v) }
	be(uint32(8))           // first directory
	be(uint16(1))           // one entry
	be(uint16(0x0112))      // orientation
	be(uint16(3))           // SHORT
	be(uint32(1))           // one value
	be(uint16(orientation)) // left-justified in four bytes
	be(uint16(0))
	be(uint32(0)) // no further directory
	body := append([]byte("Exif\x00\x00"), tiff.Bytes()...)
	out := append([]byte{}, jpg[:2]...)
	out = append(out, 0xff, 0xe1, byte((len(body)+2)>>8), byte(len(body)+2))
	out = append(out, body...)
	return append(out, jpg[2:]...)
}

// Ext returns the file name's ending of a format, with its dot.
func (f Format) Ext() string {
	if f == PNG || f == PNG16 {
		return ".png"
	}
	return ".jpg"
}

// FormatOf returns the format that a file name asks for.
func FormatOf(path string) (Format, error) {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".jpg", ".jpeg":
		return JPEG, nil
	case ".png":
		return PNG, nil
	}
	return "", badScene("out", "The picture's name must end in .jpg or .png; it is %q.", filepath.Base(path))
}

// Write draws s to path (.jpg or .png) and its truth to the same name with
// .json. Either both files are written whole or neither is left behind. A picture that
// was not drawn here is not drawn over.
func Write(path string, s Scene) (Truth, error) {
	f, err := FormatOf(path)
	if err != nil {
		return Truth{}, err
	}
	if f == JPEG || s.Format != PNG16 {
		s.Format = f
	}
	if err := mayDraw(path); err != nil {
		return Truth{}, err
	}
	p, t, err := Draw(s)
	if err != nil {
		return Truth{}, err
	}
	t.name(filepath.Base(path))
	data, err := p.Encode()
	if err != nil {
		return Truth{}, err
	}
	js, err := t.JSON()
	if err != nil {
		return Truth{}, fmt.Errorf("synth: truth of %q: %w", path, err)
	}
	if err := writeWhole(path, data); err != nil {
		return Truth{}, err
	}
	if err := writeWhole(TruthPath(path), append(js, '\n')); err != nil {
		os.Remove(path)
		return Truth{}, err
	}
	return t, nil
}

// TruthPath returns where Write puts the truth of the picture at path.
func TruthPath(path string) string { return strings.TrimSuffix(path, filepath.Ext(path)) + ".json" }

func (t *Truth) name(file string) {
	t.File, t.ID = file, strings.TrimSuffix(file, filepath.Ext(file))
}

func writeWhole(path string, data []byte) error {
	if err := whole.Bytes(path, 0o644, data); err != nil {
		return fmt.Errorf("synth: write %q: %w", path, err)
	}
	return nil
}
