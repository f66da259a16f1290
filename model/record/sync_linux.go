package record

import (
	"fmt"
	"os"

	"golang.org/x/sys/unix"
)

// syncBelow makes all that was written below dir last through a power cut: the whole
// file system in one call, as one a file takes milliseconds each.
func syncBelow(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := unix.Syncfs(int(f.Fd())); err != nil {
		return fmt.Errorf("sync %s: %w", dir, err)
	}
	return nil
}
