package vision

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/png"

	"golang.org/x/image/bmp"
	"golang.org/x/image/tiff"
	"golang.org/x/image/webp"

	"evenrim/model"
	"evenrim/vision/jpegturbo"
)

// fileKind is a picture format, told from the file's first bytes: its name may lie.
type fileKind int

const (
	jpegFile fileKind = iota
	pngFile
	tiffFile
	bmpFile
	webpFile
)

func (k fileKind) String() string {
	return [...]string{"JPEG", "PNG", "TIFF", "BMP", "WebP"}[k]
}

// recognise tells the format of a file that can be read, and says what to do
// about one that cannot.
func recognise(data []byte) (fileKind, error) {
	has := func(at int, s string) bool { return len(data) >= at+len(s) && string(data[at:at+len(s)]) == s }
	switch {
	case len(data) == 0:
		return 0, refuse(model.Unreadable, nil, "The file is empty: copy it from the camera again.")
	case has(0, "\xff\xd8\xff"):
		return jpegFile, nil
	case has(0, "\x89PNG\r\n\x1a\n"):
		return pngFile, nil
	case has(0, "II*\x00") && !has(8, "CR") && !isCameraRaw(data), has(0, "MM\x00*") && !isCameraRaw(data):
		return tiffFile, nil
	case has(0, "BM") && len(data) > 26:
		return bmpFile, nil
	case has(0, "RIFF") && has(8, "WEBP"):
		return webpFile, nil
	case has(0, "II*\x00"), has(0, "MM\x00*"), has(0, "IIRO"), has(0, "FUJIFILMCCD-RAW"), has(0, "II+\x00"), has(0, "MM\x00+"), has(4, "ftypcrx"):
		return 0, refuse(model.Unreadable, nil, "This is a camera's raw file or a TIFF of an uncommon kind: save the photo as JPEG, PNG or plain TIFF.")
	case has(4, "ftyp"):
		return 0, refuse(model.Unreadable, nil, "This is a HEIC or AVIF picture or a film: set the camera to JPEG, or save the photo as JPEG.")
	case has(0, "GIF8"):
		return 0, refuse(model.Unreadable, nil, "This is a GIF, which has too few grey levels to measure in: save the photo as JPEG or PNG.")
	case has(0, "%PDF"):
		return 0, refuse(model.Unreadable, nil, "This is a PDF document: give the photo itself, as JPEG, PNG, TIFF, BMP or WebP.")
	}
	return 0, refuse(model.Unreadable, nil, "This is not a picture that can be read: give a JPEG, PNG, TIFF, BMP or WebP file.")
}

// isCameraRaw tells the raw files that are TIFF inside: their first picture is a
// thumbnail, which must not be measured in as if it were the photo.
func isCameraRaw(data []byte) bool {
	reduced, raw := false, false
	walkTIFF(data, func(tag uint16, value uint32) {
		switch tag {
		case 254: // NewSubfileType, bit 0: a reduced picture of another one in the file
			reduced = value&1 != 0
		case 50706: // DNGVersion
			raw = true
		case 262: // PhotometricInterpretation: colour filter array
			raw = raw || value == 32803
		}
	})
	return reduced || raw
}

// walkTIFF calls f with the short and long single values of the first directory
// of a TIFF structure (TIFF 6.0 section 2; Exif uses the same).
func walkTIFF(data []byte, f func(tag uint16, value uint32)) {
	if len(data) < 8 {
		return
	}
	var bo binary.ByteOrder = binary.LittleEndian
	if data[0] == 'M' {
		bo = binary.BigEndian
	}
	at := uint64(bo.Uint32(data[4:]))
	if at+2 > uint64(len(data)) {
		return
	}
	n := uint64(bo.Uint16(data[at:]))
	for i := range n {
		e := at + 2 + 12*i
		if e+12 > uint64(len(data)) {
			return
		}
		entry := data[e : e+12]
		switch typ := bo.Uint16(entry[2:]); typ {
		case 3:
			f(bo.Uint16(entry), uint32(bo.Uint16(entry[8:])))
		default:
			f(bo.Uint16(entry), bo.Uint32(entry[8:]))
		}
	}
}

// checkSize reads the header alone, so that a small file which claims a huge
// picture is refused before memory is asked for.
func checkSize(kind fileKind, data []byte) error {
	w, h, err := headerSize(kind, data)
	if err != nil {
		return refuseDamaged(kind, err)
	}
	switch {
	case w < 1 || h < 1:
		return refuseDamaged(kind, nil)
	case float64(w)*float64(h) > MaxPixels:
		return refuse(model.TooLarge, nil, "The picture has %d x %d pixels, more than the %.0f million that are read: crop it round the hole.", w, h, MaxPixels/1e6)
	case min(w, h) < MinSidePx:
		return refuse(model.TooSmall, nil, "The picture has only %d x %d pixels: photograph the hole so that it fills most of the frame.", w, h)
	}
	return nil
}

func headerSize(kind fileKind, data []byte) (w, h int, err error) {
	if kind == jpegFile {
		w, h, _, err = jpegturbo.Header(data)
		return w, h, err
	}
	var c image.Config
	r := bytes.NewReader(data)
	switch kind {
	case pngFile:
		c, err = png.DecodeConfig(r)
	case tiffFile:
		c, err = tiff.DecodeConfig(r)
	case bmpFile:
		c, err = bmp.DecodeConfig(r)
	case webpFile:
		c, err = webp.DecodeConfig(r)
	}
	return c.Width, c.Height, err
}
