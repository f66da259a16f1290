package vision

import (
	"bytes"
	"context"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"testing"

	"gocv.io/x/gocv"
	"golang.org/x/image/bmp"
	"golang.org/x/image/tiff"
)

// asymmetric is a picture that no turn or mirror maps onto itself: a bright bar
// at the top, a mid one at the left and texture.
func asymmetric(w, h int) *image.NRGBA {
	im := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := uint8(40 + (7*x+13*y)%23)
			switch {
			case y < h/8:
				v = 230
			case x < w/6:
				v = 140
			}
			im.SetNRGBA(x, y, color.NRGBA{v, v - 20, v / 2, 255})
		}
	}
	return im
}

func grey(im image.Image) *image.Gray {
	g := image.NewGray(im.Bounds())
	draw.Draw(g, g.Rect, im, image.Point{}, draw.Src)
	return g
}

func encode(t testing.TB, f func(*bytes.Buffer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := f(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asJPEG(t testing.TB, im image.Image) []byte {
	return encode(t, func(b *bytes.Buffer) error { return jpeg.Encode(b, im, &jpeg.Options{Quality: 92}) })
}

func asPNG(t testing.TB, im image.Image) []byte {
	return encode(t, func(b *bytes.Buffer) error { return png.Encode(b, im) })
}

// exif is a TIFF structure with the orientation tag alone.
func exif(bo binary.ByteOrder, orientation int) []byte {
	var b bytes.Buffer
	if bo == binary.LittleEndian {
		b.WriteString("II*\x00")
	} else {
		b.WriteString("MM\x00*")
	}
	for _, v := range []any{uint32(8), uint16(1), uint16(0x0112), uint16(3), uint32(1), uint16(orientation), uint16(0), uint32(0)} {
		binary.Write(&b, bo, v)
	}
	return b.Bytes()
}

func jpegWithExif(file, tags []byte) []byte {
	n := 2 + 6 + len(tags)
	head := []byte{0xff, 0xd8, 0xff, 0xe1, byte(n >> 8), byte(n)}
	return append(append(append(head, "Exif\x00\x00"...), tags...), file[2:]...)
}

func pngWithExif(file, tags []byte) []byte {
	const afterIHDR = 8 + 25
	c := binary.BigEndian.AppendUint32(nil, uint32(len(tags)))
	body := append([]byte("eXIf"), tags...)
	c = append(c, body...)
	c = binary.BigEndian.AppendUint32(c, crc32.ChecksumIEEE(body))
	return append(append(bytes.Clone(file[:afterIHDR]), c...), file[afterIHDR:]...)
}

func webpWithExif(t testing.TB, im image.Image, tags []byte) []byte {
	mat, err := gocv.ImageToMatRGB(im)
	if err != nil {
		t.Fatal(err)
	}
	defer mat.Close()
	buf, err := gocv.IMEncode(".webp", mat)
	if err != nil {
		t.Fatal(err)
	}
	defer buf.Close()
	file := bytes.Clone(buf.GetBytes())
	if tags == nil {
		return file
	}
	// The extended form: a VP8X chunk with the Exif flag before, the tags after.
	vp8x := []byte("VP8X\x0a\x00\x00\x00\x08\x00\x00\x00")
	w, h := im.Bounds().Dx()-1, im.Bounds().Dy()-1
	vp8x = append(vp8x, byte(w), byte(w>>8), 0, byte(h), byte(h>>8), 0)
	body := append([]byte("WEBP"), vp8x...)
	body = append(body, file[12:]...)
	if len(body)%2 == 1 {
		body = append(body, 0)
	}
	body = append(body, "EXIF"...)
	body = binary.LittleEndian.AppendUint32(body, uint32(len(tags)))
	body = append(body, tags...)
	out := binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(body)))
	return append(out, body...)
}

func mustDecode(t *testing.T, data []byte) *Photo {
	t.Helper()
	p, err := Decode(context.Background(), "x", data)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(p.Close)
	return p
}

// The oracle is OpenCV's own reader, which turns a JPEG by its tag.
func TestOrientationAgainstOpenCV(t *testing.T) {
	plain := asJPEG(t, grey(asymmetric(120, 80)))
	for o := 1; o <= 8; o++ {
		for _, bo := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
			file := jpegWithExif(plain, exif(bo, o))
			got := mustDecode(t, file)
			mat, err := gocv.IMDecode(file, gocv.IMReadGrayScale)
			if err != nil {
				t.Fatal(err)
			}
			want, _ := mat.DataPtrUint8()
			if got.Info.Orientation != o || got.W != mat.Cols() || got.H != mat.Rows() || !bytes.Equal(got.Gray8, want) {
				t.Errorf("orientation %d (%v): %d x %d, tag %d; OpenCV has %d x %d, or the pixels differ", o, bo, got.W, got.H, got.Info.Orientation, mat.Cols(), mat.Rows())
			}
			mat.Close()
		}
	}
}

func TestOrientationSameInEveryFormat(t *testing.T) {
	im := asymmetric(120, 80)
	for o := 1; o <= 8; o++ {
		want := mustDecode(t, pngWithExif(asPNG(t, im), exif(binary.BigEndian, o)))
		jp := mustDecode(t, jpegWithExif(asJPEG(t, im), exif(binary.LittleEndian, o)))
		wp := mustDecode(t, webpWithExif(t, im, exif(binary.LittleEndian, o)))
		for name, got := range map[string]*Photo{"JPEG": jp, "WebP": wp} {
			if got.W != want.W || got.H != want.H {
				t.Fatalf("%s, orientation %d: %d x %d, want %d x %d", name, o, got.W, got.H, want.W, want.H)
			}
			if d := meanDiff(got.Gray8, want.Gray8); d > 8 {
				t.Errorf("%s, orientation %d: mean difference from the PNG %.1f grey levels, want <= 8 (lossy coding)", name, o, d)
			}
		}
		// What the eye sees must be turned like what is measured in.
		show, err := want.Display(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if show.Stride != 4*want.W || show.Rect != image.Rect(0, 0, want.W, want.H) || !bytes.Equal(luma8(show), want.Gray8) {
			t.Errorf("orientation %d: the displayed picture differs from the measured one", o)
		}
	}
}

func TestOrientationOfTIFF(t *testing.T) {
	plain := encode(t, func(b *bytes.Buffer) error { return tiff.Encode(b, grey(asymmetric(120, 80)), nil) })
	file := addTIFFTag(t, plain, 0x0112, 6)
	got := mustDecode(t, file)
	want := mustDecode(t, pngWithExif(asPNG(t, grey(asymmetric(120, 80))), exif(binary.BigEndian, 6)))
	if got.Info.Orientation != 6 || !bytes.Equal(got.Gray8, want.Gray8) || got.W != 80 {
		t.Errorf("TIFF with orientation 6 is %d x %d, tag %d", got.W, got.H, got.Info.Orientation)
	}
}

// addTIFFTag rewrites the directory of a little-endian TIFF at the end of the
// file with one more short tag, in order.
func addTIFFTag(t *testing.T, file []byte, tag, value uint16) []byte {
	t.Helper()
	le := binary.LittleEndian
	at := le.Uint32(file[4:])
	n := le.Uint16(file[at:])
	out := bytes.Clone(file)
	le.PutUint32(out[4:], uint32(len(out)))
	out = le.AppendUint16(out, n+1)
	added := false
	for i := range n {
		e := file[int(at)+2+12*int(i):][:12]
		if !added && le.Uint16(e) > tag {
			out = append(le.AppendUint32(le.AppendUint16(le.AppendUint16(out, tag), 3), 1), byte(value), byte(value>>8), 0, 0)
			added = true
		}
		out = append(out, e...)
	}
	return le.AppendUint32(out, 0)
}

func meanDiff(a, b []uint8) float64 {
	s := 0.0
	for i := range a {
		s += max(float64(a[i])-float64(b[i]), float64(b[i])-float64(a[i]))
	}
	return s / float64(len(a))
}

func TestFormatsKeepThePixels(t *testing.T) {
	g := grey(asymmetric(96, 64))
	deep := image.NewGray16(g.Rect)
	deepColour := image.NewNRGBA64(g.Rect)
	for y := range 64 {
		for x := range 96 {
			v := uint16(x*600 + y)
			deep.SetGray16(x, y, color.Gray16{Y: v})
			deepColour.SetNRGBA64(x, y, color.NRGBA64{v, v, v, 0xffff})
		}
	}
	for _, tt := range []struct {
		name string
		file []byte
		deep bool
	}{
		{"png 8", asPNG(t, g), false},
		{"tiff 8", encode(t, func(b *bytes.Buffer) error { return tiff.Encode(b, g, nil) }), false},
		{"tiff 8 deflate", encode(t, func(b *bytes.Buffer) error {
			return tiff.Encode(b, g, &tiff.Options{Compression: tiff.Deflate, Predictor: true})
		}), false},
		{"bmp 8", encode(t, func(b *bytes.Buffer) error { return bmp.Encode(b, g) }), false},
		{"png 16", asPNG(t, deep), true},
		{"png 16 colour", asPNG(t, deepColour), true},
		{"tiff 16", encode(t, func(b *bytes.Buffer) error { return tiff.Encode(b, deep, nil) }), true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := mustDecode(t, tt.file)
			if (p.Gray16 != nil) != tt.deep || (p.Gray8 != nil) == tt.deep {
				t.Fatalf("8-bit %t, 16-bit %t; want 16-bit %t only", p.Gray8 != nil, p.Gray16 != nil, tt.deep)
			}
			for y := range 64 {
				for x := range 96 {
					if tt.deep && p.Gray16[y*96+x] != deep.Gray16At(x, y).Y {
						t.Fatalf("(%d, %d) = %d, want %d", x, y, p.Gray16[y*96+x], deep.Gray16At(x, y).Y)
					}
					if !tt.deep && p.Gray8[y*96+x] != g.GrayAt(x, y).Y {
						t.Fatalf("(%d, %d) = %d, want %d", x, y, p.Gray8[y*96+x], g.GrayAt(x, y).Y)
					}
				}
			}
		})
	}
}

// Luma of colour files against OpenCV's own conversion.
func TestColourLumaAgainstOpenCV(t *testing.T) {
	im := asymmetric(120, 80)
	for name, file := range map[string][]byte{"jpeg": asJPEG(t, im), "png": asPNG(t, im), "bmp": encode(t, func(b *bytes.Buffer) error { return bmp.Encode(b, im) })} {
		mat, err := gocv.IMDecode(file, gocv.IMReadGrayScale)
		if err != nil {
			t.Fatal(err)
		}
		want, _ := mat.DataPtrUint8()
		got := mustDecode(t, file).Gray8
		for i := range want {
			if d := int(got[i]) - int(want[i]); d < -1 || d > 1 {
				t.Errorf("%s: pixel %d = %d, OpenCV has %d, tolerance 1", name, i, got[i], want[i])
				break
			}
		}
		mat.Close()
	}
}
