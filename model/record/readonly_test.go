//go:build unix

package record

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// look is what the child reports of a folder it cannot write.
type look struct {
	OpenErr, KeepErr string
	ReadOnly         bool
	IDs              []ID
	Sound            bool
	Sentence         bool
}

func lookAtReadOnly(dir string) {
	var l look
	defer func() { json.NewEncoder(os.Stdout).Encode(l) }()
	s, err := Open(context.Background(), dir)
	if err != nil {
		var p *Problem
		l.OpenErr, l.Sentence = err.Error(), errors.As(err, &p)
		return
	}
	defer s.Close()
	l.ReadOnly = s.ReadOnly()
	list, err := s.Find(context.Background(), Query{})
	if err != nil {
		l.OpenErr = err.Error()
	}
	for _, e := range list {
		l.IDs = append(l.IDs, e.ID)
		if _, _, err := s.Get(context.Background(), e.ID); err != nil {
			l.OpenErr = err.Error()
		}
	}
	r, err := s.Check(context.Background(), nil)
	l.Sound = err == nil && r.Sound()
	photo := samplePhoto(77, 100)
	_, err = s.Keep(context.Background(), sampleReading(77, photo), photo, Labels{})
	if err != nil {
		var p *Problem
		l.KeepErr, l.Sentence = err.Error(), errors.As(err, &p) && errors.Is(err, ErrReadOnly)
	}
}

// lookAs opens dir in a process that may not write there: root may always, so it
// runs as nobody.
func lookAs(t *testing.T, dir string) look {
	t.Helper()
	cmd := child(t, "readonly", dir)
	asNobody(t, cmd, filepath.Dir(dir))
	out, err := cmd.Output()
	var l look
	if err == nil {
		err = json.Unmarshal(out, &l)
	}
	if err != nil {
		t.Fatalf("child: %v\n%s", err, out)
	}
	return l
}

const nobody = 65534

// asNobody takes root's rights from the child; its program is copied into reach,
// a folder where nobody can get it.
func asNobody(t *testing.T, cmd *exec.Cmd, reach string) {
	t.Helper()
	cmd.Dir = "/"
	if os.Geteuid() != 0 {
		return
	}
	exe := filepath.Join(reach, "child.test")
	if err := copyFile(cmd.Path, exe, 0o755); err != nil {
		t.Fatal(err)
	}
	cmd.Path = exe
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
}

func copyFile(from, to string, mode os.FileMode) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_WRONLY|os.O_TRUNC, mode)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

// openFolder makes a folder that another user can reach into.
func openFolder(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "record-fault-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	return dir
}

// setModes gives all of dir these modes.
func setModes(t *testing.T, dir string, folder, file os.FileMode) {
	t.Helper()
	if err := changeModes(dir, folder, file); err != nil {
		t.Fatal(err)
	}
}

func TestReadOnlyFolder(t *testing.T) {
	t.Run("can be looked at", func(t *testing.T) {
		dir := filepath.Join(openFolder(t), "data")
		s := openAt(t, dir)
		keepSample(t, s, 1, Labels{})
		keepSample(t, s, 2, Labels{})
		s.Close()
		setModes(t, dir, 0o555, 0o444)
		l := lookAs(t, dir)
		setModes(t, dir, 0o700, 0o600)
		if want := (look{KeepErr: l.KeepErr, ReadOnly: true, IDs: []ID{2, 1}, Sound: true, Sentence: true}); !cmp.Equal(l, want) || l.KeepErr == "" {
			t.Errorf("%+v, want %+v", l, want)
		}
		mustBeSound(t, openAt(t, dir))
	})
	t.Run("not closed properly says so", func(t *testing.T) {
		dir := filepath.Join(openFolder(t), "data")
		s := openAt(t, dir)
		keepSample(t, s, 1, Labels{})
		copied := filepath.Join(openFolder(t), "data")
		if err := os.CopyFS(copied, os.DirFS(dir)); err != nil { // with its write-ahead file
			t.Fatal(err)
		}
		os.Remove(filepath.Join(copied, databaseName+"-shm"))
		setModes(t, copied, 0o555, 0o444)
		l := lookAs(t, copied)
		setModes(t, copied, 0o700, 0o600)
		if !l.Sentence || !strings.Contains(l.OpenErr, "not closed properly") {
			t.Errorf("%+v, want a sentence that the record was not closed properly", l)
		}
	})
	t.Run("nothing there and nothing to be made", func(t *testing.T) {
		dir := openFolder(t)
		if err := os.Chmod(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		l := lookAs(t, filepath.Join(dir, "data"))
		if os.Geteuid() == 0 && (!l.Sentence || !strings.Contains(l.OpenErr, "cannot be written")) {
			t.Errorf("%+v, want a sentence that the folder cannot be written", l)
		}
	})
}
