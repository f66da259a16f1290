package record

import (
	"archive/zip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// Limits of a zip from elsewhere. Names in it are never used as paths: a photo
// goes where its own hash says, and only if it is the photo that is asked for.
const (
	maxEntries = 2_000_000
	// maxExpansion bounds how much more may come out than the file is long, as
	// far as it is more than freeExpansion: readings compress to about a fifth,
	// photos hardly, and a bomb a thousandfold and more.
	maxExpansion = 60
)

// freeExpansion is what any zip may unpack to, bytes; only tests change it.
var freeExpansion int64 = 256 << 20

// zipReader is a zip that may be hostile.
type zipReader struct {
	path  string
	z     *zip.Reader
	f     *os.File
	files map[string]*zip.File
	left  int64 // bytes that may still come out of it
}

// openZip opens the zip at path.
func openZip(path string) (*zipReader, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err != nil {
		f.Close()
		return nil, err
	}
	if info.IsDir() {
		f.Close()
		return nil, problem(ErrNotOurs, nil, "%s is a folder, not a file.", path)
	}
	r, err := newZipReader(f, info.Size(), path)
	if err != nil {
		f.Close()
		return nil, err
	}
	r.f = f
	return r, nil
}

func newZipReader(at io.ReaderAt, size int64, path string) (*zipReader, error) {
	z, err := zip.NewReader(at, size)
	if err != nil && !errors.Is(err, zip.ErrInsecurePath) {
		return nil, problem(ErrNotOurs, err, "%s is not a whole zip file: copy it again from where it was made.", path)
	}
	if len(z.File) > maxEntries {
		return nil, refuse("%s holds %d files, more than any record needs: it is not read.", path, len(z.File))
	}
	r := &zipReader{path: path, z: z, files: make(map[string]*zip.File, len(z.File)), left: freeExpansion + maxExpansion*size}
	for _, f := range z.File {
		if r.files[f.Name] != nil {
			return nil, refuse("%s holds two files named %.80q: it is not read.", path, f.Name)
		}
		r.files[f.Name] = f
	}
	return r, nil
}

func (r *zipReader) Close() error {
	if r.f == nil {
		return nil
	}
	return r.f.Close()
}

// open gives the entry name. What is read from it counts against the zip's
// limit, whatever its header says.
func (r *zipReader) open(name string) (io.ReadCloser, error) {
	f := r.files[name]
	if f == nil {
		return nil, problem(ErrDamaged, fs.ErrNotExist, "%s has no %s in it: it is not whole.", r.path, name)
	}
	in, err := f.Open()
	if err != nil {
		return nil, problem(ErrDamaged, err, "%s in %s cannot be unpacked: the file is damaged.", name, r.path)
	}
	return &boundedReader{r: r, name: name, in: in}, nil
}

type boundedReader struct {
	r    *zipReader
	name string
	in   io.ReadCloser
}

func (b *boundedReader) Read(p []byte) (int, error) {
	n, err := b.in.Read(p)
	if b.r.left -= int64(n); b.r.left < 0 {
		return 0, refuse("%s would unpack to far more than its size: it is not read.", b.r.path)
	}
	if err != nil && err != io.EOF {
		err = problem(ErrDamaged, err, "%s in %s cannot be unpacked: the file is damaged.", b.name, b.r.path)
	}
	return n, err
}

func (b *boundedReader) Close() error { return b.in.Close() }

func (r *zipReader) readJSON(name string, limit int64, v any) error {
	in, err := r.open(name)
	if err != nil {
		return err
	}
	defer in.Close()
	if err := json.NewDecoder(io.LimitReader(in, limit)).Decode(v); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}

// extract writes the entry name to the new private file at path.
func (r *zipReader) extract(name, path string) error {
	in, err := r.open(name)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	if err == nil {
		err = out.Sync()
	}
	return errors.Join(err, out.Close())
}

// withPhoto hands the photo entry of sha to use.
func (r *zipReader) withPhoto(sha string, use func(io.Reader) error) error {
	in, err := r.open(photoEntry(sha))
	if err != nil {
		return err
	}
	defer in.Close()
	return use(in)
}
