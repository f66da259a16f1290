package look

import (
	"encoding/binary"

	"fyne.io/fyne/v2"
)

// tailRoom is how far below its line a font's tails may reach, in parts of its size. The
// fonts themselves say 0.21, which is where g and p end; the toolkit rounds a line's
// height to pixels and its top up to the next one, and would draw them without the tails
// at half of all sizes.
const tailRoom = 0.28

// withTails is a font that asks for room below its letters.
func withTails(name string, ttf []byte) fyne.Resource {
	font := append([]byte(nil), ttf...)
	// Places of a field in its table, and the tables' list, are OpenType's (ISO/IEC
	// 14496-22): head's unitsPerEm, hhea's descender, OS/2's sTypoDescender.
	if head := table(font, "head"); len(head) >= 20 {
		deep := -int16(tailRoom * float64(binary.BigEndian.Uint16(head[18:])))
		for tag, at := range map[string]int{"hhea": 6, "OS/2": 70} {
			if t := table(font, tag); len(t) >= at+2 {
				binary.BigEndian.PutUint16(t[at:], uint16(deep))
			}
		}
	}
	return fyne.NewStaticResource(name, font)
}

// table is the part of a font of that name, nil where there is none.
func table(font []byte, tag string) []byte {
	const head, entry = 12, 16
	if len(font) < head {
		return nil
	}
	for i := range int(binary.BigEndian.Uint16(font[4:])) {
		e := font[head+i*entry:]
		if string(e[:4]) == tag {
			from, size := binary.BigEndian.Uint32(e[8:]), binary.BigEndian.Uint32(e[12:])
			return font[from : from+size]
		}
	}
	return nil
}
