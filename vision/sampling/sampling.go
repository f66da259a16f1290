// Package sampling reads means of a photo's pixels for the finder, five million pixels of
// a large one. In C for the reason that package columns is.
package sampling

/*
#cgo CFLAGS: -O3 -ffast-math
#cgo noescape evenrim_squares
#cgo nocallback evenrim_squares
#cgo noescape evenrim_blocks
#cgo nocallback evenrim_blocks
#include "sampling.h"
*/
import "C"

import "unsafe"

// Photo is the picture to read, of less than 2^31 pixels: one of Gray8 and Gray16 is set, and
// Tone holds a value for each step of it.
type Photo struct {
	W, H   int
	Gray8  []uint8
	Gray16 []uint16
	Tone   []float32
}

// Squares sets out to the mean tone of the pixels spread over a square about each place
// (x, y): as many along each side as there are steps, which lead from the middle to them along
// one side, and turned by a right angle along the other. Outside the picture its border goes on.
// x, y and out are of one length.
func (p *Photo) Squares(x, y []float64, step [][2]float64, out []float32) {
	if len(out) == 0 || len(step) == 0 {
		return
	}
	pixels, deep := p.first()
	_, _ = x[len(out)-1], y[len(out)-1]
	C.evenrim_squares(pixels, deep, C.int(p.W), C.int(p.H), (*C.float)(unsafe.SliceData(p.Tone)),
		(*C.double)(unsafe.SliceData(x)), (*C.double)(unsafe.SliceData(y)), C.int(len(out)), (*C.double)(&step[0][0]), C.int(len(step)), (*C.float)(unsafe.SliceData(out)))
}

// Blocks sets sums to those of blocks side by side from the left, side pixels wide, over the
// rows with these numbers. A sum is less than 2^32.
func (p *Photo) Blocks(rows []int32, side int, sums []uint32) {
	if len(rows) == 0 || len(sums) == 0 {
		return
	}
	pixels, deep := p.first()
	C.evenrim_blocks(pixels, deep, C.int(p.W), (*C.int)(&rows[0]), C.int(len(rows)), C.int(side), C.int(len(sums)), (*C.uint)(&sums[0]))
}

func (p *Photo) first() (pixels unsafe.Pointer, deep C.int) {
	if p.Gray16 != nil {
		return unsafe.Pointer(unsafe.SliceData(p.Gray16)), 1
	}
	return unsafe.Pointer(unsafe.SliceData(p.Gray8)), 0
}
