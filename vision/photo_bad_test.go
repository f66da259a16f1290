package vision

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"gocv.io/x/gocv"
	"golang.org/x/image/bmp"
	"golang.org/x/image/tiff"

	"evenrim/model"
)

func progressive(t *testing.T) []byte {
	mat, err := gocv.ImageToMatRGB(asymmetric(320, 240))
	if err != nil {
		t.Fatal(err)
	}
	defer mat.Close()
	buf, err := gocv.IMEncodeWithParams(gocv.JPEGFileExt, mat, []int{gocv.IMWriteJpegProgressive, 1})
	if err != nil {
		t.Fatal(err)
	}
	defer buf.Close()
	return bytes.Clone(buf.GetBytes())
}

// A file cut anywhere must not become a picture with an invented lower half.
func TestTruncatedIsRefused(t *testing.T) {
	im := asymmetric(320, 240)
	files := map[string][]byte{
		"jpeg":             asJPEG(t, im),
		"progressive jpeg": progressive(t),
		"png":              asPNG(t, im),
		"tiff": encode(t, func(b *bytes.Buffer) error {
			return tiff.Encode(b, im, &tiff.Options{Compression: tiff.Deflate})
		}),
		"bmp":  encode(t, func(b *bytes.Buffer) error { return bmp.Encode(b, im) }),
		"webp": webpWithExif(t, im, nil),
	}
	for name, file := range files {
		t.Run(name, func(t *testing.T) {
			mustDecode(t, file)
			for cut := 0; cut < len(file)-64; cut += 1 + len(file)/97 {
				_, err := Decode(context.Background(), name, file[:cut])
				var r *model.Refusal
				if !errors.As(err, &r) || r.Reason != model.Unreadable {
					t.Errorf("cut at %d of %d bytes: %v, want a refusal with %q", cut, len(file), err, model.Unreadable)
				}
			}
		})
	}
}

func TestJPEGWithoutEndMarkerIsWhole(t *testing.T) {
	file := asJPEG(t, asymmetric(320, 240))
	want := mustDecode(t, file)
	got := mustDecode(t, file[:len(file)-2])
	if !bytes.Equal(got.Gray8, want.Gray8) {
		t.Error("the pixels differ though only the end marker is missing")
	}
}

func TestJPEGWithDataAfterItsEnd(t *testing.T) { // as phones append films and depth maps
	file := append(asJPEG(t, asymmetric(320, 240)), bytes.Repeat([]byte("film"), 5000)...)
	mustDecode(t, file)
}

// bomb is a PNG header that claims a huge picture, with next to no data.
func bomb(w, h uint32) []byte {
	b := []byte("\x89PNG\r\n\x1a\n")
	ihdr := append([]byte("IHDR"), binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)...)
	ihdr = append(ihdr, 8, 0, 0, 0, 0)
	b = binary.BigEndian.AppendUint32(b, 13)
	b = append(b, ihdr...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(ihdr))
}

func flat(v uint8) *image.Gray {
	g := image.NewGray(image.Rect(0, 0, 100, 100))
	for i := range g.Pix {
		g.Pix[i] = v
	}
	return g
}

func TestBadFilesAreRefusedWithASentence(t *testing.T) {
	dir := t.TempDir()
	put := func(name string, data []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, data, 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	pipe := filepath.Join(dir, "pipe")
	if err := syscall.Mkfifo(pipe, 0o644); err != nil {
		t.Fatal(err)
	}
	bigJPEG := asJPEG(t, asymmetric(80, 80))
	if i := bytes.Index(bigJPEG, []byte{0xff, 0xc0}); i > 0 {
		copy(bigJPEG[i+5:], []byte{0xff, 0xdc, 0xff, 0xdc}) // 65500 x 65500
	}
	for _, tt := range []struct {
		name, path string
		reason     model.Reason
	}{
		{"missing", filepath.Join(dir, "none.jpg"), model.NotFound},
		{"no name", "", model.NotFound},
		{"name with a zero byte", "a\x00b.jpg", model.NotFound},
		{"name too long", filepath.Join(dir, strings.Repeat("x", 5000)), model.NotFound},
		{"folder", dir, model.BadInput},
		{"pipe", pipe, model.BadInput},
		{"device", "/dev/null", model.BadInput},
		{"empty", put("empty.jpg", nil), model.Unreadable},
		{"text", put("text.jpg", []byte("these are not pixels")), model.Unreadable},
		{"one byte", put("one.jpg", []byte{0xff}), model.Unreadable},
		{"gif", put("a.gif", []byte("GIF89a\x10\x00\x10\x00")), model.Unreadable},
		{"heic", put("a.heic", []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00")), model.Unreadable},
		{"png bomb", put("bomb.png", bomb(20000, 10000)), model.TooLarge},
		{"png bomb past 32 bits", put("bomb2.png", bomb(1<<20, 1<<20)), model.TooLarge},
		{"jpeg bomb", put("bomb.jpg", bigJPEG), model.TooLarge},
		{"1x1", put("1x1.png", asPNG(t, image.NewGray(image.Rect(0, 0, 1, 1)))), model.TooSmall},
		{"narrow", put("narrow.png", asPNG(t, asymmetric(2000, 63))), model.TooSmall},
		{"black", put("black.png", asPNG(t, flat(0))), model.Underexposed},
		{"white", put("white.png", asPNG(t, flat(255))), model.Overexposed},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p, err := Open(context.Background(), tt.path)
			var r *model.Refusal
			if !errors.As(err, &r) {
				t.Fatalf("Open = %v, %v; want a refusal", p, err)
			}
			if r.Reason != tt.reason {
				t.Errorf("reason %q (%s), want %q", r.Reason, r.Sentence, tt.reason)
			}
			if s := r.Sentence; !strings.HasSuffix(s, ".") || strings.Contains(s, "vision:") || strings.Contains(s, "%!") || len(s) < 30 {
				t.Errorf("not a sentence for the user: %q", s)
			}
		})
	}
}

func TestHugeFileIsRefusedUnread(t *testing.T) {
	path := filepath.Join(t.TempDir(), "huge.tif")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Truncate(MaxFileBytes + 1); err != nil { // sparse: takes no room
		t.Skip("the file system has no sparse files:", err)
	}
	f.Close()
	_, err = Open(context.Background(), path)
	var r *model.Refusal
	if !errors.As(err, &r) || r.Reason != model.TooLarge {
		t.Errorf("Open = %v, want a refusal with %q", err, model.TooLarge)
	}
}

func TestRawFilesThatAreTIFFInsideAreRefused(t *testing.T) {
	plain := encode(t, func(b *bytes.Buffer) error { return tiff.Encode(b, grey(asymmetric(120, 80)), nil) })
	thumbnailFirst := addTIFFTag(t, plain, 254, 1)
	if _, err := Decode(context.Background(), "x.dng", thumbnailFirst); err == nil || !strings.Contains(err.Error(), "raw") {
		t.Errorf("a TIFF whose first picture is a thumbnail: %v, want a refusal that says raw", err)
	}
}

func TestTenBitCameraInSixteenBitFileIsNotBlack(t *testing.T) {
	g := image.NewGray16(image.Rect(0, 0, 100, 100))
	for y := range 100 {
		for x := range 100 {
			g.SetGray16(x, y, color.Gray16{Y: uint16(10 * x)})
		}
	}
	mustDecode(t, asPNG(t, g))
}

func TestCancelledOpenAndClosedPhoto(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Open(ctx, "x"); !errors.Is(err, context.Canceled) {
		t.Errorf("Open with a cancelled context: %v", err)
	}
	p := mustDecode(t, asPNG(t, asymmetric(100, 80)))
	p.Close()
	p.Close()
	(*Photo)(nil).Close()
	if _, err := p.Display(context.Background()); err == nil {
		t.Error("Display of a closed photo gave no error")
	}
}

func TestAFileThatMayNotBeReadIsRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "locked.jpg")
	if err := os.WriteFile(path, asJPEG(t, asymmetric(80, 80)), 0); err != nil {
		t.Fatal(err)
	}
	if os.Getuid() == 0 {
		// Root may read everything; only this thread becomes somebody else.
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		const nobody = 65534
		syscall.RawSyscall(syscall.SYS_SETFSUID, nobody, 0, 0)
		defer syscall.RawSyscall(syscall.SYS_SETFSUID, 0, 0, 0)
	}
	_, err := Open(context.Background(), path)
	var r *model.Refusal
	if !errors.As(err, &r) || r.Reason != model.NotAllowed {
		t.Errorf("Open = %v, want a refusal with %q", err, model.NotAllowed)
	}
}

// Whatever the bytes, Decode returns: a photo with as many pixels as it says, or
// a refusal. (A crash would end the process, with all the other photos.)
func FuzzDecode(f *testing.F) {
	im := asymmetric(70, 66)
	j := asJPEG(f, im)
	f.Add(j)
	f.Add(j[:len(j)/2])
	f.Add(jpegWithExif(j, exif(binary.BigEndian, 7)))
	f.Add(asPNG(f, im))
	f.Add(encode(f, func(b *bytes.Buffer) error { return tiff.Encode(b, im, nil) }))
	f.Add(encode(f, func(b *bytes.Buffer) error {
		return tiff.Encode(b, image.NewGray16(im.Bounds()), &tiff.Options{Compression: tiff.Deflate, Predictor: true})
	}))
	f.Add(encode(f, func(b *bytes.Buffer) error { return bmp.Encode(b, grey(im)) }))
	f.Add(webpWithExif(f, im, nil))
	f.Add(webpWithExif(f, im, exif(binary.LittleEndian, 3)))
	f.Add(byOpenCV(f, ".webp", im, gocv.IMWriteWebpQuality, 101)) // lossless
	for _, packing := range []int{tiffLZW, tiffPackBits, tiffDeflate} {
		f.Add(byOpenCV(f, ".tiff", im, tiffCompression, packing))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		inTime(t)
		// The point is the code, not the machine's memory.
		if w, h, err := headerSize(fuzzKind(data), data); err == nil && w*h > 1<<20 {
			t.Skip()
		}
		p, err := Decode(context.Background(), "fuzz", data)
		if err != nil {
			var r *model.Refusal
			if !errors.As(err, &r) || r.Sentence == "" {
				t.Fatalf("not a refusal: %v", err)
			}
			return
		}
		if n := len(p.Gray8) + len(p.Gray16); n != p.W*p.H {
			t.Fatalf("%d pixels for %d x %d", n, p.W, p.H)
		}
		if _, err := p.Display(context.Background()); err != nil {
			t.Fatalf("measured in, but not displayed: %v", err)
		}
	})
}

// What TIFF 6.0 calls its ways of packing (sections 9 and 13; 8 is Adobe's), and
// OpenCV's name for the choice (IMWRITE_TIFF_COMPRESSION), which gocv lacks.
const tiffLZW, tiffDeflate, tiffPackBits, tiffCompression = 5, 8, 32773, 259

func byOpenCV(t testing.TB, ext gocv.FileExt, im image.Image, options ...int) []byte {
	mat, err := gocv.ImageToMatRGB(im)
	if err != nil {
		t.Fatal(err)
	}
	defer mat.Close()
	buf, err := gocv.IMEncodeWithParams(ext, mat, options)
	if err != nil {
		t.Fatal(err)
	}
	defer buf.Close()
	return bytes.Clone(buf.GetBytes())
}

// Whatever way a TIFF or a lossless WebP is packed, the pixels are the same.
func TestPackingChangesNoPixel(t *testing.T) {
	im := asymmetric(90, 70)
	want := mustDecode(t, asPNG(t, im)).Gray8
	files := map[string][]byte{"lossless WebP": byOpenCV(t, ".webp", im, gocv.IMWriteWebpQuality, 101)}
	for name, packing := range map[string]int{"LZW": tiffLZW, "PackBits": tiffPackBits, "Deflate": tiffDeflate} {
		files[name] = byOpenCV(t, ".tiff", im, tiffCompression, packing)
	}
	for name, file := range files {
		if got := mustDecode(t, file); !bytes.Equal(got.Gray8, want) {
			t.Errorf("%s: other pixels than the same picture as PNG", name)
		}
	}
}

func fuzzKind(data []byte) fileKind { k, _ := recognise(data); return k }
