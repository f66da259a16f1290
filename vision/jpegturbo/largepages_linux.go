package jpegturbo

import (
	"syscall"
	"unsafe"
)

const largePage = 2 << 20

// preferLargePages asks the system to hand out b's memory in large pages: a picture
// is filled once from end to end, and the first touch of thousands of small pages takes
// longer than the filling. Where the system does not, nothing is lost.
func preferLargePages(b []uint8) {
	at := uintptr(unsafe.Pointer(unsafe.SliceData(b)))
	from := (at + largePage - 1) &^ (largePage - 1)
	if to := (at + uintptr(len(b))) &^ (largePage - 1); from < to {
		_ = syscall.Madvise(b[from-at:to-at], syscall.MADV_HUGEPAGE)
	}
}
