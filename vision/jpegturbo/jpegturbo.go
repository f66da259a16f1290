// Package jpegturbo decodes JPEG files with the libjpeg-turbo that OpenCV itself
// is built on. It exists beside OpenCV's decoder for two reasons: OpenCV hands
// out a half grey picture for a truncated file and says so on stderr only, and a
// picture for measuring needs the luma channel alone, which saves a third of the
// time.
//
// EXIF orientation is not applied here.
package jpegturbo

/*
#cgo pkg-config: libjpeg
#include "decode.h"
*/
import "C"

import (
	"errors"
	"fmt"
	"unsafe"
)

var (
	// ErrDamaged: picture data is missing or wrong; part of the picture would be
	// invented.
	ErrDamaged = errors.New("damaged JPEG data")
	// ErrNotJPEG: the library cannot make sense of the file at all.
	ErrNotJPEG = errors.New("not a JPEG file the library can read")
)

// Space is how the file stores colour.
type Space int

const (
	Gray   Space = C.EVENRIM_JPEG_GRAY
	Colour Space = C.EVENRIM_JPEG_COLOUR
	Other  Space = C.EVENRIM_JPEG_OTHER // four inks; Pixels cannot decode these
)

// Header returns the picture's size in pixels as stored (not turned).
// Errors: ErrNotJPEG.
func Header(data []byte) (w, h int, space Space, err error) {
	if len(data) == 0 {
		return 0, 0, 0, ErrNotJPEG
	}
	var message [C.EVENRIM_JPEG_MESSAGE]C.char
	var cw, ch, cs C.int
	code := C.evenrim_jpeg_header(bytePtr(data), C.size_t(len(data)), &cw, &ch, &cs, &message[0])
	if code != C.EVENRIM_JPEG_OK {
		return 0, 0, 0, fmt.Errorf("%w: %s", ErrNotJPEG, C.GoString(&message[0]))
	}
	return int(cw), int(ch), Space(cs), nil
}

// Luma returns the w*h luma values, row by row; w and h are Header's.
// Errors: ErrDamaged, ErrNotJPEG.
func Luma(data []byte, w, h int) ([]uint8, error) { return pixels(data, w, h, 1) }

// RGBA returns w*h*4 bytes, row by row, alpha 255.
// Errors: ErrDamaged, ErrNotJPEG.
func RGBA(data []byte, w, h int) ([]uint8, error) { return pixels(data, w, h, 4) }

func pixels(data []byte, w, h, channels int) ([]uint8, error) {
	if len(data) == 0 || w < 1 || h < 1 {
		return nil, ErrNotJPEG
	}
	out := make([]uint8, w*h*channels)
	preferLargePages(out)
	var message [C.EVENRIM_JPEG_MESSAGE]C.char
	rgba := C.int(0)
	if channels == 4 {
		rgba = 1
	}
	switch C.evenrim_jpeg_pixels(bytePtr(data), C.size_t(len(data)), rgba, bytePtr(out), C.int(w), C.int(h), &message[0]) {
	case C.EVENRIM_JPEG_OK:
		return out, nil
	case C.EVENRIM_JPEG_DAMAGED:
		return nil, fmt.Errorf("%w: %s", ErrDamaged, C.GoString(&message[0]))
	}
	return nil, fmt.Errorf("%w: %s", ErrNotJPEG, C.GoString(&message[0]))
}

func bytePtr(b []byte) *C.uchar { return (*C.uchar)(unsafe.Pointer(unsafe.SliceData(b))) }
