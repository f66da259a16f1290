package record

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// partPrefix begins the name of a photo that is still being written.
const partPrefix = ".part-"

// leftoverAge is how old an unfinished photo must be before it is taken for the
// remains of a killed program rather than another program's work.
const leftoverAge = 24 * time.Hour

// HashPhoto returns the name a photo is kept under: SHA-256 of its bytes, hex.
func HashPhoto(photo []byte) string {
	sum := sha256.Sum256(photo)
	return hex.EncodeToString(sum[:])
}

// isHash tells whether s could be a SHA-256 in lower-case hex, and so is safe as
// part of a path.
func isHash(s string) bool {
	return len(s) == 2*sha256.Size && strings.Trim(s, "0123456789abcdef") == ""
}

func (s *Store) photoPath(sha string) string {
	return filepath.Join(s.dir, photosName, sha[:2], sha)
}

// putPhoto keeps the photo read from r whose hash is known to be sha. It is
// whole on the disk, under its name, when putPhoto returns nil (but see
// Store.syncLater). A damaged photo that stood under that name is replaced by the good
// one.
func (s *Store) putPhoto(sha string, r io.Reader) (size int64, err error) {
	s.photosMu.Lock()
	defer s.photosMu.Unlock()
	path := s.photoPath(sha)
	if size, err := hashFile(path, sha); err == nil {
		return size, nil
	}
	tmp, err := os.CreateTemp(s.path(photosName), partPrefix+"*") // mode 0600
	if err != nil {
		return 0, err
	}
	defer func() {
		tmp.Close()
		os.Remove(tmp.Name()) // gone already after the rename
	}()
	h := sha256.New()
	size, err = io.Copy(io.MultiWriter(tmp, h), r)
	if err != nil {
		return 0, err
	}
	if got := hex.EncodeToString(h.Sum(nil)); got != sha {
		return 0, problem(ErrDamaged, nil, "The photo's bytes do not match its SHA-256 (%.12s..., not %.12s...): it has changed since it was read.", got, sha)
	}
	if !s.syncLater {
		if err := tmp.Sync(); err != nil {
			return 0, err
		}
	}
	if err := tmp.Close(); err != nil {
		return 0, err
	}
	shard := filepath.Dir(path)
	err = os.Mkdir(shard, 0o700)
	if err == nil && !s.syncLater {
		err = syncFolder(filepath.Dir(shard))
	}
	if err != nil && !errors.Is(err, fs.ErrExist) {
		return 0, err
	}
	if err := os.Rename(tmp.Name(), path); err != nil {
		return 0, err
	}
	if s.syncLater {
		return size, nil
	}
	return size, syncFolder(shard)
}

// hashFile reads the file at path and compares its hash. The error wraps
// ErrDamaged when it differs.
func hashFile(path, sha string) (size int64, err error) {
	f, err := os.Open(path)
	if err != nil {
		return 0, err
	}
	defer f.Close()
	h := sha256.New()
	if size, err = io.Copy(h, f); err != nil {
		return 0, err
	}
	if got := hex.EncodeToString(h.Sum(nil)); got != sha {
		return 0, fmt.Errorf("%s holds %s: %w", path, got, ErrDamaged)
	}
	return size, nil
}

// Photo returns the bytes of the photo kept under sha, after comparing their
// hash. Errors: ErrNotFound; ErrDamaged when its bytes have changed on the disk.
func (s *Store) Photo(ctx context.Context, sha string) ([]byte, error) {
	if !isHash(sha) {
		return nil, problem(ErrNotFound, nil, "%q is not the SHA-256 of a photo.", sha)
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	b, err := os.ReadFile(s.photoPath(sha))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, problem(ErrNotFound, err, "The photo %.12s... is not in %s: restore it from a backup.", sha, s.dir)
	}
	if err != nil {
		return nil, explain("read a photo", s.dir, err)
	}
	if HashPhoto(b) != sha {
		return nil, problem(ErrDamaged, nil, "The photo %.12s... in %s has changed on the disk: restore it from a backup.", sha, s.dir)
	}
	return b, nil
}

// removeLeftovers deletes unfinished photos of programs that were killed. It is
// housekeeping: what it cannot do, it leaves.
func (s *Store) removeLeftovers() {
	list, err := filepath.Glob(filepath.Join(s.dir, photosName, partPrefix+"*"))
	if err != nil { // only a bad pattern, which a folder's name can make
		return
	}
	for _, path := range list {
		if info, err := os.Lstat(path); err == nil && s.now().Sub(info.ModTime()) > leftoverAge {
			os.Remove(path)
		}
	}
}

func photoReader(photo []byte) io.Reader { return bytes.NewReader(photo) }

// hashOf returns the SHA-256 of the file at path, hex.
func hashOf(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}
