//go:build unix

package record

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// The test binary runs itself as another program when this names its part.
const childEnv = "EVENRIM_RECORD_CHILD"

func TestMain(m *testing.M) {
	switch os.Getenv(childEnv) {
	case "":
		os.Exit(m.Run())
	case "keep":
		keepForever(os.Args[1], os.Args[2])
	case "readonly":
		lookAtReadOnly(os.Args[1])
	}
}

func child(t *testing.T, part string, args ...string) *exec.Cmd {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe, args...)
	cmd.Env = append(os.Environ(), childEnv+"="+part)
	return cmd
}

// keepForever keeps one reading after the other and tells the seed of each
// before and after, until it is killed.
func keepForever(dir, first string) {
	seed, err := strconv.ParseUint(first, 10, 64)
	if err != nil {
		panic(err)
	}
	s, err := Open(context.Background(), dir)
	if err != nil {
		fmt.Println("failed", err)
		os.Exit(1)
	}
	for ; ; seed++ {
		photo := samplePhoto(seed, 60_000)
		r := sampleReading(seed, photo)
		fmt.Println("begin", seed)
		if _, err := s.Keep(context.Background(), r, photo, Labels{Part: fmt.Sprint(seed)}); err != nil {
			fmt.Println("failed", err)
			os.Exit(1)
		}
		fmt.Println("kept", seed)
	}
}

// A program killed at any moment leaves every reading it said it kept, exactly,
// and the one it was at either whole or not at all.
//
// Ten kills; 200 with EVENRIM_LONG=1.
func TestKilledAtAnyMoment(t *testing.T) {
	kills := 10
	if os.Getenv("EVENRIM_LONG") == "1" {
		kills = 200
	}
	dir := filepath.Join(t.TempDir(), "data")
	rng := rand.New(rand.NewPCG(uint64(time.Now().UnixNano()), 1))
	kept, begun := map[uint64]bool{}, map[uint64]bool{}
	cutShort, early := 0, 0
	for k := range kills {
		first := uint64(k) * 1_000_000
		cmd := child(t, "keep", dir, fmt.Sprint(first))
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		cmd.Stderr = os.Stderr
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		// Half of the kills fall anywhere from the program's start on, while the
		// folder is made and opened; half amid a run of readings, however slow the
		// machine is just now.
		delay, after := time.Duration(rng.IntN(120_000))*time.Microsecond, rng.IntN(12)
		if k%2 == 0 {
			delay = time.Minute
		}
		kill := time.AfterFunc(delay, func() { cmd.Process.Kill() })
		lines := 0
		var last, lastKept uint64
		any := false
		for sc := bufio.NewScanner(out); sc.Scan(); {
			word, rest, _ := strings.Cut(sc.Text(), " ")
			if word == "failed" {
				t.Fatalf("kill %d: the program said %q", k, rest)
			}
			n, err := strconv.ParseUint(rest, 10, 64)
			if err != nil { // the kill cut the line itself
				continue
			}
			if lines++; k%2 == 0 && lines == 1+after {
				kill.Reset(time.Duration(rng.IntN(10_000)) * time.Microsecond)
			}
			any = true
			last = n
			begun[n] = true
			if word == "kept" {
				kept[n], lastKept = true, n
			}
		}
		cmd.Wait()
		kill.Stop()
		switch {
		case !any:
			early++
		case last != lastKept:
			cutShort++
		}
	}
	s := openAt(t, dir)
	found := map[uint64]bool{}
	for _, id := range ids(t, s, Query{Limit: 1_000_000}) {
		got, e, err := s.Get(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		seed, err := strconv.ParseUint(e.Part, 10, 64)
		if err != nil || !begun[seed] {
			t.Errorf("reading %d (part %q) was never begun", id, e.Part)
			continue
		}
		found[seed] = true
		photo, err := s.Photo(t.Context(), e.PhotoSHA256)
		if err != nil {
			t.Errorf("reading %d: %v", id, err)
		}
		if d := cmp.Diff(sampleReading(seed, photo), got, sameBits); d != "" {
			t.Errorf("reading %d is not the one kept (-want +got):\n%s", id, d)
		}
	}
	for seed := range kept {
		if !found[seed] {
			t.Errorf("reading %d was said to be kept and is gone", seed)
		}
	}
	report := mustBeSound(t, s)
	t.Logf("%d kills: %d before the first reading, %d in the middle of one; %d said kept, %d found; remarks %q", kills, early, cutShort, len(kept), len(found), report.Remarks)
	if len(kept) == 0 || cutShort == 0 {
		t.Error("no kill hit a program at work: the test showed nothing")
	}
}

// mountTiny returns a new filesystem of the size, or skips.
func mountTiny(t *testing.T, bytes int) string {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("needs root to mount a tiny filesystem")
	}
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, fmt.Sprintf("size=%d,mode=0700", bytes)); err != nil {
		t.Skipf("cannot mount a tiny filesystem here: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Errorf("unmount: %v", err)
		}
	})
	return dir
}

func TestFullDisk(t *testing.T) {
	for _, tt := range []struct {
		name      string
		photoSize int
	}{{"photos fill it", 150_000}, {"the database fills it", 10}} {
		t.Run(tt.name, func(t *testing.T) {
			dir := mountTiny(t, 3<<20)
			s, err := Open(t.Context(), filepath.Join(dir, "data"))
			if err != nil {
				t.Fatal(err)
			}
			defer func() { s.Close() }()
			var good []uint64
			failures := 0
			for seed := uint64(0); failures < 5; seed++ {
				photo := samplePhoto(seed, tt.photoSize)
				_, err := s.Keep(t.Context(), sampleReading(seed, photo), photo, Labels{Part: fmt.Sprint(seed)})
				if err == nil {
					good = append(good, seed)
					continue
				}
				failures++
				if !errors.Is(err, ErrDiskFull) {
					t.Errorf("Keep on a full disk: %v, want ErrDiskFull", err)
				}
				checkSentence(t, err)
			}
			if len(good) < 3 {
				t.Fatalf("only %d kept before the disk was full", len(good))
			}
			sameReadings(t, s, good)
			if err := s.Close(); err != nil {
				t.Errorf("Close on a full disk: %v", err)
			}
			// Opened again while still full, and after space was made.
			if s, err = Open(t.Context(), filepath.Join(dir, "data")); err != nil {
				t.Fatalf("open on a full disk: %v", err)
			}
			sameReadings(t, s, good)
			mustBeSound(t, s)
			if err := syscall.Mount("tmpfs", dir, "tmpfs", syscall.MS_REMOUNT, "size=8388608"); err != nil {
				t.Fatal(err)
			}
			keepSample(t, s, 999_999, Labels{Part: "999999"})
			mustBeSound(t, s)
			t.Logf("%d readings kept before the disk was full, all still there", len(good))
		})
	}
}

func TestFullDiskAtFirstOpening(t *testing.T) {
	dir := mountTiny(t, 64<<10)
	s, err := Open(t.Context(), filepath.Join(dir, "data"))
	if err == nil {
		s.Close()
		t.Fatal("a record fitted into 64 kB: make the filesystem smaller")
	}
	if !errors.Is(err, ErrDiskFull) {
		t.Errorf("Open on a full disk: %v, want ErrDiskFull", err)
	}
	checkSentence(t, err)
	if err := syscall.Mount("tmpfs", dir, "tmpfs", syscall.MS_REMOUNT, "size=8388608"); err != nil {
		t.Fatal(err)
	}
	s = openAt(t, filepath.Join(dir, "data"))
	keepSample(t, s, 1, Labels{})
	mustBeSound(t, s)
	s.Close()
}

// sameReadings wants exactly the readings of these seeds, deep equal, with their
// photos.
func sameReadings(t *testing.T, s *Store, seeds []uint64) {
	t.Helper()
	list := ids(t, s, Query{Limit: 1_000_000})
	if len(list) != len(seeds) {
		t.Errorf("%d readings found, want %d", len(list), len(seeds))
		return
	}
	for i, seed := range seeds {
		got, e, err := s.Get(t.Context(), list[len(list)-1-i])
		if err != nil {
			t.Error(err)
			continue
		}
		photo, err := s.Photo(t.Context(), e.PhotoSHA256)
		if err != nil {
			t.Error(err)
		}
		if d := cmp.Diff(sampleReading(seed, photo), got, sameBits); d != "" {
			t.Errorf("reading of seed %d (-want +got):\n%s", seed, d)
		}
	}
}

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
	cmd.Dir = "/"
	if os.Geteuid() == 0 {
		exe := filepath.Join(filepath.Dir(dir), "child.test") // where nobody can reach it
		if err := copyFile(cmd.Path, exe, 0o755); err != nil {
			t.Fatal(err)
		}
		cmd.Path = exe
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	}
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
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			return os.Chmod(path, folder)
		}
		return os.Chmod(path, file)
	})
	if err != nil {
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

// A damaged page costs what lies on it, is found by check, and never brings the
// program down.
func TestDamagedPages(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s := openAt(t, dir)
	for i := range 30 {
		keepSample(t, s, uint64(i), Labels{Batch: "b"})
	}
	s.Close()
	whole, err := os.ReadFile(filepath.Join(dir, databaseName))
	if err != nil {
		t.Fatal(err)
	}
	const page = 4096
	pages := len(whole) / page
	rng := rand.New(rand.NewPCG(5, 5))
	found, opened := 0, 0
	const rounds = 40
	for range rounds {
		hurt := append([]byte(nil), whole...)
		at := rng.IntN(pages) * page
		for i := range page / 2 {
			hurt[at+rng.IntN(page)] = byte(rng.Uint32())
			_ = i
		}
		if err := os.WriteFile(filepath.Join(dir, databaseName), hurt, 0o600); err != nil {
			t.Fatal(err)
		}
		os.Remove(filepath.Join(dir, databaseName+"-wal"))
		os.Remove(filepath.Join(dir, databaseName+"-shm"))
		s, err := Open(t.Context(), dir)
		if err != nil {
			checkSentence(t, err)
			found++
			continue
		}
		opened++
		r, err := s.Check(t.Context(), nil)
		if err != nil {
			t.Errorf("page %d: check itself failed: %v", at/page, err)
		}
		if !r.Sound() {
			found++
		} else {
			t.Errorf("page %d: the damage was not found", at/page)
		}
		s.Find(t.Context(), Query{Text: "bracket"})
		for id := ID(1); id <= 30; id++ {
			// What still opens is right to the bit: the key holds it.
			if got, e, err := s.Get(t.Context(), id); err == nil {
				photo := samplePhoto(uint64(id-1), 3000)
				if d := cmp.Diff(sampleReading(uint64(id-1), photo), got, sameBits); d != "" {
					t.Errorf("page %d: reading %d came back changed:\n%s", at/page, id, d)
				}
				_ = e
			} else {
				checkSentence(t, err)
			}
		}
		s.Close()
	}
	t.Logf("%d of %d damages found, %d of the records could still be opened", found, rounds, opened)
}
