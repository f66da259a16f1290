package record

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/adrg/xdg"
)

const (
	databaseName = "record.db"
	lockName     = "record.lock"
	photosName   = "photos"
)

// DefaultDir is the user's own data folder by the XDG rules
// ($XDG_DATA_HOME/evenrim, usually ~/.local/share/evenrim). It need not exist.
func DefaultDir() string { return filepath.Join(xdg.DataHome, "evenrim") }

// prepareFolder makes dir and what is private in it. A folder that is already
// there keeps its mode: it may be more than ours; all that is put into it is
// private by itself.
func prepareFolder(dir string) error {
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := os.MkdirAll(dir, 0o700); err != nil {
			return err
		}
	case err != nil:
		return err
	case !info.IsDir():
		return problem(ErrNotOurs, nil, "%s is a file: name a folder with --data.", dir)
	}
	if err := os.MkdirAll(filepath.Join(dir, photosName), 0o700); err != nil {
		return err
	}
	// SQLite gives its side files the mode of the database.
	f, err := os.OpenFile(filepath.Join(dir, databaseName), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return err
	}
	return f.Close()
}

// syncFolder makes renames in dir last through a power cut, where the system
// can do that.
func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil && !errors.Is(err, fs.ErrInvalid) {
		return fmt.Errorf("sync %s: %w", dir, err)
	}
	return nil
}

// exists tells whether something is at path, and whether that could be told.
func exists(path string) (bool, error) {
	_, err := os.Lstat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil, err
}

// IsThere tells whether dir holds a record, without making one. It answers true
// when that cannot be told: opening will then say why.
func IsThere(dir string) bool {
	there, err := exists(filepath.Join(dir, databaseName))
	return there || err != nil
}
