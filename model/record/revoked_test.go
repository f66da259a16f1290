//go:build unix

package record

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

// attempt is what the child reports of keeping one reading.
type attempt struct {
	ID       ID
	Err      string
	ReadOnly bool // the error is ErrReadOnly
	Seen     int  // readings found afterwards, each opened with its photo
}

// keepOnCommand opens the record and keeps a reading for each number it is told.
func keepOnCommand(dir string) {
	ctx, out := context.Background(), json.NewEncoder(os.Stdout)
	s, err := Open(ctx, dir)
	if err != nil {
		out.Encode(attempt{Err: err.Error()})
		return
	}
	defer s.Close()
	for in := bufio.NewScanner(os.Stdin); in.Scan(); {
		var seed uint64
		fmt.Sscan(in.Text(), &seed)
		var a attempt
		photo := samplePhoto(seed, 2000)
		id, err := s.Keep(ctx, sampleReading(seed, photo), photo, Labels{})
		a.ID = id
		if err != nil {
			a.Err, a.ReadOnly = err.Error(), errors.Is(err, ErrReadOnly)
		}
		list, err := s.Find(ctx, Query{})
		if err != nil {
			a.Err += " Find: " + err.Error()
		}
		for _, e := range list {
			_, _, err := s.Get(ctx, e.ID)
			if err == nil {
				_, err = s.Photo(ctx, e.PhotoSHA256)
			}
			if err != nil {
				a.Err += fmt.Sprintf(" Get %d: %v", e.ID, err)
			} else {
				a.Seen++
			}
		}
		out.Encode(a)
	}
}

// The right to write is taken from a program that has the record open: it says so
// in a sentence, goes on showing what was kept, and keeps again once it may.
func TestPermissionRevokedWhileRunning(t *testing.T) {
	for _, tt := range []struct {
		name string
		lock func(dir string) error
	}{
		{"the photos' folder", func(dir string) error { return os.Chmod(filepath.Join(dir, photosName), 0o500) }},
		{"all of it", func(dir string) error { return changeModes(dir, 0o500, 0o400) }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			outside := openFolder(t)
			dir := filepath.Join(outside, "data")
			if err := os.Mkdir(dir, 0o700); err != nil {
				t.Fatal(err)
			}
			if os.Geteuid() == 0 {
				if err := os.Chown(dir, nobody, nobody); err != nil {
					t.Fatal(err)
				}
			}
			cmd := child(t, "revoked", dir)
			asNobody(t, cmd, outside)
			in, err := cmd.StdinPipe()
			if err != nil {
				t.Fatal(err)
			}
			out, err := cmd.StdoutPipe()
			if err != nil {
				t.Fatal(err)
			}
			cmd.Stderr = os.Stderr
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			defer func() {
				in.Close()
				if err := cmd.Wait(); err != nil {
					t.Errorf("the program: %v", err)
				}
			}()
			answers := json.NewDecoder(out)
			keep := func(seed int) (a attempt) {
				t.Helper()
				fmt.Fprintln(in, seed)
				if err := answers.Decode(&a); err != nil {
					t.Fatalf("the program says nothing: %v", err)
				}
				return a
			}
			if a := keep(1); a.Err != "" || a.ID != 1 || a.Seen != 1 {
				t.Fatalf("before: %+v", a)
			}
			if err := tt.lock(dir); err != nil {
				t.Fatal(err)
			}
			if a := keep(2); !a.ReadOnly || a.ID != 0 || a.Seen != 1 {
				t.Errorf("without the right to write: %+v, want ErrReadOnly and the one reading shown", a)
			}
			if err := changeModes(dir, 0o700, 0o600); err != nil {
				t.Fatal(err)
			}
			if a := keep(3); a.Err != "" || a.ID != 2 || a.Seen != 2 {
				t.Errorf("with the right given back: %+v, want reading 2", a)
			}
		})
	}
}

// changeModes gives all of dir these modes.
func changeModes(dir string, folder, file os.FileMode) error {
	return filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir():
			return os.Chmod(path, folder)
		}
		return os.Chmod(path, file)
	})
}
