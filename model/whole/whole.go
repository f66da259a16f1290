// Package whole writes a file whole or not at all.
package whole

import (
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// File makes or replaces the file at path with what write writes: through a file
// beside it that is moved into place, so that nobody ever meets half of it and a
// full disk leaves what was there. Errors are those of write and of the system.
func File(path string, mode fs.FileMode, write func(io.Writer) error) (err error) {
	tmp, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			tmp.Close()
			os.Remove(tmp.Name())
		}
	}()
	if err := write(tmp); err != nil {
		return err
	}
	if err := tmp.Chmod(mode); err != nil {
		return err
	}
	if err := tmp.Sync(); err != nil {
		return err
	}
	if err := tmp.Close(); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), path)
}

// Bytes is File for data at hand.
func Bytes(path string, mode fs.FileMode, data []byte) error {
	return File(path, mode, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}
