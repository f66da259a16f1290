//go:build unix

package record

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

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
	case "revoked":
		keepOnCommand(os.Args[1])
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

func TestFullDiskKeepsWhatIsKept(t *testing.T) {
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

func TestBackupToAFullDisk(t *testing.T) {
	s := openNew(t)
	for i := range 10 {
		photo := samplePhoto(uint64(i), 60_000)
		if _, err := s.Keep(t.Context(), sampleReading(uint64(i), photo), photo, Labels{}); err != nil {
			t.Fatal(err)
		}
	}
	file := filepath.Join(t.TempDir(), "whole.zip")
	if _, err := s.Backup(t.Context(), file); err != nil {
		t.Fatal(err)
	}
	for _, size := range []int{64 << 10, 400 << 10} { // the database doesn't fit; the photos don't
		tiny := mountTiny(t, size)
		_, err := s.Backup(t.Context(), filepath.Join(tiny, "b.zip"))
		if !errors.Is(err, ErrDiskFull) {
			t.Errorf("Backup to %d bytes: %v, want ErrDiskFull", size, err)
		}
		checkSentence(t, err)
		if _, err = s.ExportZip(t.Context(), filepath.Join(tiny, "x.zip"), Query{}); !errors.Is(err, ErrDiskFull) {
			t.Errorf("ExportZip to %d bytes: %v, want ErrDiskFull", size, err)
		}
		if _, err = Restore(t.Context(), file, filepath.Join(tiny, "d")); !errors.Is(err, ErrDiskFull) {
			t.Errorf("Restore to %d bytes: %v, want ErrDiskFull", size, err)
		} else if !strings.Contains(err.Error(), "the disk that holds "+filepath.Join(tiny, "d")) {
			t.Errorf("%v, want the folder named that is full", err)
		}
		checkSentence(t, err)
		if left, err := os.ReadDir(tiny); len(left) != 0 || err != nil {
			t.Errorf("left on the full disk: %v, %v", left, err)
		}
	}
	mustBeSound(t, s)
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

// A damaged page costs what lies on it, is found by check, and never brings the
// program down. Looking at it writes nothing, and the backup made before is the way
// back.
func TestDamagedPagesCostWhatLiesOnThem(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	s := openAt(t, dir)
	for i := range 30 {
		keepSample(t, s, uint64(i), Labels{Batch: "b"})
	}
	backup := filepath.Join(t.TempDir(), "whole.zip")
	if _, err := s.Backup(t.Context(), backup); err != nil {
		t.Fatal(err)
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
		unchanged := func() {
			t.Helper()
			if now, err := os.ReadFile(filepath.Join(dir, databaseName)); err != nil || !bytes.Equal(now, hurt) {
				t.Errorf("page %d: the damaged database was written to (%v)", at/page, err)
			}
		}
		s, err := Open(t.Context(), dir)
		if err != nil {
			checkSentence(t, err)
			found++
			unchanged()
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
		// A backup of what is damaged is none, unless the damage isn't copied.
		later := filepath.Join(t.TempDir(), "later.zip")
		if _, err := s.Backup(t.Context(), later); err != nil {
			checkSentence(t, err)
		} else if res, err := Restore(t.Context(), later, filepath.Join(t.TempDir(), "later")); err != nil || res.Readings != 30 {
			t.Errorf("page %d: a backup was written that gives back %d readings, %v", at/page, res.Readings, err)
		}
		s.Close()
		unchanged()
	}
	again := filepath.Join(t.TempDir(), "again")
	if _, err := Restore(t.Context(), backup, again); err != nil {
		t.Fatal(err)
	}
	s = openAt(t, again)
	seeds := make([]uint64, 30)
	for i := range seeds {
		seeds[i] = uint64(i)
	}
	sameReadings(t, s, seeds)
	t.Logf("%d of %d damages found, %d of the records could still be opened", found, rounds, opened)
}
