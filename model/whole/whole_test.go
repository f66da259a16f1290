package whole_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"evenrim/model/whole"
)

func TestAFailedWriteLeavesWhatWasThere(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "card.json")
	if err := whole.Bytes(path, 0o600, []byte("first")); err != nil {
		t.Fatal(err)
	}
	full := errors.New("disk full")
	err := whole.File(path, 0o600, func(w io.Writer) error {
		if _, err := w.Write([]byte("sec")); err != nil {
			return err
		}
		return full
	})
	if !errors.Is(err, full) {
		t.Errorf("error %v, want %v", err, full)
	}
	if got, err := os.ReadFile(path); err != nil || string(got) != "first" {
		t.Errorf("got %q, %v; want what was there before", got, err)
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 1 {
		t.Errorf("%d files in the folder, %v; want the one alone", len(left), err)
	}
}

func TestTheFileHasTheModeAskedFor(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x")
	if err := whole.Bytes(path, 0o640, nil); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(path)
	if err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("mode %v, %v; want 0640", info.Mode(), err)
	}
}

func TestAFolderThatIsNotThereIsAnError(t *testing.T) {
	if err := whole.Bytes(filepath.Join(t.TempDir(), "no", "x"), 0o600, nil); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("error %v, want that the folder isn't there", err)
	}
}
