//go:build !linux

package record

import (
	"io/fs"
	"os"
	"path/filepath"
)

// syncBelow makes all that was written below dir last through a power cut, file by
// file.
func syncBelow(dir string) error {
	return filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			return syncFolder(path)
		}
		f, err := os.OpenFile(path, os.O_RDWR, 0) // some systems sync only what may be written
		if err != nil {
			return err
		}
		defer f.Close()
		return f.Sync()
	})
}
