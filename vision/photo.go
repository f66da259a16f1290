package vision

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"image"
	"io"
	"io/fs"
	"os"
	"syscall"

	"evenrim/model"
)

// Limits of a photo. The upper ones keep a hostile or mistaken file from taking
// the machine's memory; below MinSidePx no rim could be traced.
const (
	MaxPixels    = 100e6
	MaxFileBytes = 300 << 20
	MinSidePx    = 64
)

// Photo is one upright picture, ready for tracing. It owns its pixels as plain Go
// memory: no OpenCV Mat outlives the call that made it. Its fields are not to be
// changed; it is then safe for concurrent use until Close.
type Photo struct {
	Info   model.Photo
	W, H   int
	Gray8  []uint8  // luma, row by row, W*H values; nil for a file of more than 8 bits
	Gray16 []uint16 // the same for 16-bit files; exactly one of the two is set

	kind fileKind
	data []byte // the file, for Display and for the record
}

// Open reads the photo at path. Every failure is a *model.Refusal, except that a
// cancelled ctx gives its own error.
func Open(ctx context.Context, path string) (*Photo, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	data, err := ReadFile(path)
	if err != nil {
		return nil, err
	}
	return Decode(ctx, path, data)
}

// Decode is Open for the bytes of a file; name is what the user calls it. The
// Photo keeps data.
func Decode(ctx context.Context, name string, data []byte) (*Photo, error) {
	kind, err := recognise(data)
	if err != nil {
		return nil, err
	}
	if err := checkSize(kind, data); err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	p := &Photo{kind: kind, data: data}
	digest := make(chan [sha256.Size]byte, 1)
	go func() { digest <- sha256.Sum256(data) }() // decoding leaves a processor free
	if err := p.decodeGray(); err != nil {
		return nil, err
	}
	if err := p.checkLight(); err != nil {
		return nil, err
	}
	sum := <-digest
	p.Info.Name, p.Info.SHA256 = name, hex.EncodeToString(sum[:])
	p.Info.WidthPx, p.Info.HeightPx = p.W, p.H
	return p, ctx.Err()
}

// Close lets go of the pixels and of the file's bytes. A second Close, or one of
// a nil Photo, does nothing.
func (p *Photo) Close() {
	if p != nil {
		p.Gray8, p.Gray16, p.data = nil, nil, nil
	}
}

// File returns the bytes the photo was decoded from, not to be changed; nil after Close.
func (p *Photo) File() []byte { return p.data }

// Display returns the upright picture in colour at full size, decoded anew from
// the file's bytes: tight rows, origin zero, as the window's painter needs it.
func (p *Photo) Display(ctx context.Context) (*image.RGBA, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if p.data == nil {
		return nil, errors.New("vision: display: the photo is closed")
	}
	return p.decodeColour()
}

// ReadFile returns the bytes of a regular file of a sane size, or a *model.Refusal.
func ReadFile(path string) ([]byte, error) {
	// Without O_NONBLOCK the open of a named pipe waits for a writer for ever.
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, refuseFile(path, err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, refuseFile(path, err)
	}
	switch {
	case info.IsDir():
		return nil, refuse(model.BadInput, nil, "This is a folder: name the photos in it, or drop them in one by one.")
	case !info.Mode().IsRegular():
		return nil, refuse(model.BadInput, nil, "This is not an ordinary file (%s): save the photo to a file first.", specialName(info.Mode()))
	case info.Size() == 0:
		return nil, refuse(model.Unreadable, nil, "The file is empty: copy it from the camera again.")
	case info.Size() > MaxFileBytes:
		return nil, refuse(model.TooLarge, nil, "The file has %d MB, more than the %d MB that are read: save the photo as JPEG or PNG, or crop it round the hole.", info.Size()>>20, MaxFileBytes>>20)
	}
	data := make([]byte, info.Size())
	if _, err := io.ReadFull(f, data); err != nil {
		if errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) {
			return nil, refuse(model.Unreadable, err, "The file became shorter while it was read: wait until it is copied completely, then try again.")
		}
		return nil, refuseFile(path, err)
	}
	return data, nil
}

func specialName(m fs.FileMode) string {
	switch {
	case m&fs.ModeNamedPipe != 0:
		return "a pipe"
	case m&fs.ModeSocket != 0:
		return "a socket"
	case m&fs.ModeDevice != 0:
		return "a device"
	}
	return "a special file"
}

// refuseFile turns an error of the file system into a refusal.
func refuseFile(path string, err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return refuse(model.NotFound, err, "There is no such file: check the name and the folder.")
	case errors.Is(err, fs.ErrPermission):
		return refuse(model.NotAllowed, err, "The file may not be read by this user: change its permissions or copy it.")
	case errors.Is(err, syscall.ENAMETOOLONG), errors.Is(err, syscall.EINVAL), errors.Is(err, syscall.ENOTDIR):
		return refuse(model.NotFound, err, "There cannot be a file of that name: check the name and the folder.")
	case errors.Is(err, syscall.ENXIO):
		return refuse(model.BadInput, err, "This is not an ordinary file: save the photo to a file first.")
	}
	return refuse(model.Unreadable, fmt.Errorf("vision: read %q: %w", path, err), "The file could not be read from the disk: check the card or the drive, then copy it again.")
}

func refuse(reason model.Reason, cause error, format string, args ...any) *model.Refusal {
	r := model.Refuse(reason, fmt.Sprintf(format, args...))
	r.Cause = cause
	return r
}
