package vision

import (
	"bytes"
	"encoding/binary"
)

// orientation returns the Exif orientation tag (CIPA DC-008, tag 0112), 1 to 8;
// 1, as it is, when the file has none or an invalid one.
func orientation(kind fileKind, data []byte) int {
	block := exifBlock(kind, data)
	o := 1
	if len(block) >= 8 && (string(block[:2]) == "II" || string(block[:2]) == "MM") {
		walkTIFF(block, func(tag uint16, value uint32) {
			if tag == 0x0112 && value >= 1 && value <= 8 {
				o = int(value)
			}
		})
	}
	return o
}

// exifBlock returns the TIFF structure with the tags, from where each format keeps it.
func exifBlock(kind fileKind, data []byte) []byte {
	switch kind {
	case jpegFile:
		return exifInJPEG(data)
	case pngFile:
		return chunk(data, 8, "eXIf", binary.BigEndian, true)
	case webpFile:
		return bytes.TrimPrefix(chunk(data, 12, "EXIF", binary.LittleEndian, false), []byte("Exif\x00\x00"))
	case tiffFile:
		return data
	}
	return nil
}

func exifInJPEG(data []byte) []byte {
	for at := 2; at+4 <= len(data) && data[at] == 0xff; {
		marker := data[at+1]
		if marker == 0xff { // fill byte
			at++
			continue
		}
		if marker == 0xda || marker == 0xd9 { // picture data: no more tags
			return nil
		}
		end := at + 2 + int(binary.BigEndian.Uint16(data[at+2:]))
		if end > len(data) {
			return nil
		}
		if body := data[min(at+4, end):end]; marker == 0xe1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")) {
			return body[6:]
		}
		at = end
	}
	return nil
}

// chunk finds a chunk of PNG (length first, checksum after) or RIFF (name first,
// padded to even length).
func chunk(data []byte, at int, name string, bo binary.ByteOrder, png bool) []byte {
	for at+8 <= len(data) {
		id, length := data[at:at+4], data[at+4:at+8]
		if png {
			id, length = length, id
		}
		n := int64(bo.Uint32(length))
		if int64(at)+8+n > int64(len(data)) {
			return nil
		}
		if string(id) == name {
			return data[at+8:][:n]
		}
		at += 8 + int(n)
		if png {
			at += 4
		} else {
			at += int(n & 1)
		}
	}
	return nil
}

// turnUpright applies an Exif orientation to w x h pixels and returns the new
// picture; orientation 1 returns src itself.
func turnUpright[T any](src []T, w, h, orientation int) (dst []T, dw, dh int) {
	// Pixel (x, y) of the upright picture is src[origin + x*right + y*down].
	var origin, right, down int
	dw, dh = w, h
	last := w*h - 1
	switch orientation {
	case 2: // mirrored left to right
		origin, right, down = w-1, -1, w
	case 3: // half a turn
		origin, right, down = last, -1, -w
	case 4: // mirrored top to bottom
		origin, right, down = last-(w-1), 1, -w
	case 5: // mirrored about the falling diagonal
		origin, right, down = 0, w, 1
	case 6: // to be turned a quarter clockwise
		origin, right, down = last-(w-1), -w, 1
	case 7: // mirrored about the rising diagonal
		origin, right, down = last, -w, -1
	case 8: // to be turned a quarter counter-clockwise
		origin, right, down = w-1, w, -1
	default:
		return src, w, h
	}
	if orientation >= 5 {
		dw, dh = h, w
	}
	dst = make([]T, len(src))
	// In squares, because one of the two pictures is walked down its columns.
	const side = 64
	for y0 := 0; y0 < dh; y0 += side {
		for x0 := 0; x0 < dw; x0 += side {
			for y := y0; y < min(y0+side, dh); y++ {
				at := origin + y*down + x0*right
				row := dst[y*dw+x0 : y*dw+min(x0+side, dw)]
				for i := range row {
					row[i] = src[at]
					at += right
				}
			}
		}
	}
	return dst, dw, dh
}
