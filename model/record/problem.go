package record

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"syscall"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// What a caller may want to branch on with errors.Is. Each comes wrapped in a
// *Problem whose text is a sentence for the user.
var (
	ErrDiskFull = errors.New("record: the disk is full")
	ErrReadOnly = errors.New("record: the data folder cannot be written")
	ErrDamaged  = errors.New("record: damaged data")
	ErrNewer    = errors.New("record: made by a newer version of the program")
	ErrNotOurs  = errors.New("record: not a record of this program")
	ErrNotFound = errors.New("record: no such thing in the record")
	ErrBusy     = errors.New("record: another program holds the record")
	ErrRefused  = errors.New("record: refused")
)

// Problem is an error with a sentence for the user that says what is wrong and
// what to do.
type Problem struct {
	Kind     error // one of the Err values above; nil when none fits
	Sentence string
	Cause    error // for the developer; may be nil
}

func (p *Problem) Error() string { return p.Sentence }

func (p *Problem) Unwrap() []error {
	var out []error
	for _, e := range []error{p.Kind, p.Cause} {
		if e != nil {
			out = append(out, e)
		}
	}
	return out
}

func problem(kind, cause error, format string, a ...any) *Problem {
	return &Problem{Kind: kind, Sentence: fmt.Sprintf(format, a...), Cause: cause}
}

func refuse(format string, a ...any) *Problem { return problem(ErrRefused, nil, format, a...) }

// What a check does itself: whoever fails in it isn't told to run one.
const (
	opening  = "open the record"
	checking = "check the record"
)

// explain turns the error of op ("keep the reading") on place (a file or folder)
// into a *Problem. It returns nil for nil and a *Problem or a context's error as
// it is.
func explain(op, place string, err error) error {
	if err == nil {
		return nil
	}
	var p *Problem
	if errors.As(err, &p) {
		return err
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return fmt.Errorf("record: %s: %w", op, err)
	}
	cause := fmt.Errorf("record: %s: %s: %w", op, place, err)
	switch kindOf(err) {
	case ErrDiskFull:
		return problem(ErrDiskFull, cause, "Could not %s: the disk that holds %s is full. Nothing kept before is lost; free some space and do it again.", op, place)
	case ErrReadOnly:
		return problem(ErrReadOnly, cause, "Could not %s: %s cannot be written. Check the folder's permissions, or name another with --data.", op, place)
	case ErrDamaged:
		if op == opening || op == checking {
			return problem(ErrDamaged, cause, "Could not %s: the database in %s is damaged. Restore the last backup into a new folder, and keep this one.", op, place)
		}
		return problem(ErrDamaged, cause, "Could not %s: the database in %s is damaged. Run \"evenrim records check\", and restore the last backup into a new folder.", op, place)
	case ErrNotOurs:
		return problem(ErrNotOurs, cause, "Could not %s: %s is not a record of Evenrim. Name another folder with --data.", op, place)
	case ErrBusy:
		return problem(ErrBusy, cause, "Could not %s: another program has been writing in %s for a long time. Wait a moment and do it again.", op, place)
	case ErrNotFound:
		return problem(ErrNotFound, cause, "Could not %s: there is no %s. Check the name.", op, place)
	}
	return problem(nil, cause, "Could not %s in %s: %v.", op, place, err)
}

// kindOf sorts an error of the operating system or of SQLite; nil when it fits
// none.
func kindOf(err error) error {
	var e *sqlite.Error
	if errors.As(err, &e) {
		switch e.Code() & 0xff { // primary result code
		case sqlite3.SQLITE_FULL:
			return ErrDiskFull
		case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM:
			return ErrReadOnly
		case sqlite3.SQLITE_CORRUPT:
			return ErrDamaged
		case sqlite3.SQLITE_NOTADB:
			return ErrNotOurs
		case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
			return ErrBusy
		}
		switch e.Code() {
		case sqlite3.SQLITE_IOERR_WRITE, sqlite3.SQLITE_IOERR_SHMSIZE, sqlite3.SQLITE_IOERR_FSYNC, sqlite3.SQLITE_IOERR_TRUNCATE:
			return ErrDiskFull // or failing, which asks for the same of the user
		case sqlite3.SQLITE_IOERR_SHORT_READ:
			return ErrDamaged
		}
	}
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return ErrDiskFull
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return ErrReadOnly
	case errors.Is(err, fs.ErrNotExist):
		return ErrNotFound
	}
	return nil
}
