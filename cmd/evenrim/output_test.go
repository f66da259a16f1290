package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"evenrim/model"
)

// Results that can't be written end every verb with one sentence and exit code 1.
func TestAFullDiskIsSaidByEveryVerb(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip("this system has no /dev/full")
	}
	defer full.Close()
	for _, args := range [][]string{{"version"}, {"help"}, {"plan", "flip", "--fields"}, {"plan", "photo"}} {
		cmd := program(t, args...)
		var words strings.Builder
		cmd.Stdout, cmd.Stderr = full, &words
		if code := exitOf(t, cmd.Run()); code != exitMissed || !strings.HasPrefix(words.String(), "The output cannot be written (no space left on device)") || strings.Count(words.String(), "\n") != 1 {
			t.Errorf("%q: exit code %d, stderr %q", args, code, words.String())
		}
	}
}

// endless is a list without an end that counts what is read of it.
type endless struct{ read int }

func (e *endless) Read(p []byte) (int, error) { e.read += len(p); return len(p), nil }

func TestAListWithoutAnEndIsNotReadToIt(t *testing.T) {
	e := &endless{}
	if _, err := readUpTo(e, 1<<20); !errors.Is(err, errTooLong) || e.read > 4<<20 {
		t.Errorf("%v after %d bytes, want errTooLong soon after 1 MB", err, e.read)
	}
	if b, err := readUpTo(io.LimitReader(e, 100), 100); err != nil || len(b) != 100 {
		t.Errorf("a list as long as may be: %d bytes, %v", len(b), err)
	}
	// By a name that is no plain file, as the shell's <(...) gives it.
	pipe, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer pipe.Close()
	go func() {
		defer w.Close()
		block := make([]byte, 1<<20)
		for range model.MaxListBytes>>20 + 8 {
			if _, err := w.Write(block); err != nil {
				return
			}
		}
	}()
	cmd := program(t, "read", "--list", "/dev/stdin")
	var words strings.Builder
	cmd.Stdin, cmd.Stderr = pipe, &words
	if code := exitOf(t, cmd.Run()); code != exitUsage || !strings.Contains(words.String(), "more than 32 MB") {
		t.Errorf("exit code %d, stderr %q", code, words.String())
	}
}

func TestAMissingBoreIsCalledMissing(t *testing.T) {
	list := writeFile(t, filepath.Join(t.TempDir(), "list.csv"), "photo\na.jpg\n")
	if _, out, _ := call(t, "read", "--list", list); !strings.Contains(out, "diameter is missing") {
		t.Errorf("%q, want the bore to be missed", out)
	}
}
