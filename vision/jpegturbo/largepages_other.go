//go:build !linux

package jpegturbo

func preferLargePages([]uint8) {}
