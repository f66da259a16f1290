package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"evenrim/model/record"
	"evenrim/ui/port"
)

const goodPhoto = "../../assets/photos/crosshead-bracket.jpg"

// A page in the middle of the database is overwritten with rubbish: every verb says
// so or does without it, none writes to it, and the backup made before is the way
// back.
func TestDamagedDatabaseIsSaidAndLeftAlone(t *testing.T) {
	dir, elsewhere := filepath.Join(t.TempDir(), "data"), t.TempDir()
	keepThree(t, dir)
	backup := filepath.Join(elsewhere, "shop.zip")
	if code, _, words := runRecords(t, dir, "backup", backup); code != exitOK {
		t.Fatal(words)
	}
	file := filepath.Join(dir, "record.db")
	hurt, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	// Where the readings themselves lie, packed.
	at := bytes.LastIndex(hurt, []byte("\x1f\x8b\x08"))
	if at < 0 {
		t.Fatal("there is no packed reading in the database")
	}
	for i := range 4096 {
		hurt[at/4096*4096+i] = byte(i * 37)
	}
	if err := os.WriteFile(file, hurt, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"check"}, {"backup", filepath.Join(elsewhere, "later.zip")}, {"export", filepath.Join(elsewhere, "all.zip")}} {
		code, out, words := runRecords(t, dir, args...)
		if code != exitMissed || !strings.Contains(out+words, "damaged") || strings.Contains(out+words, "goroutine") {
			t.Errorf("records %v: exit code %d, %q %q; want a sentence on the damage", args, code, out, words)
		}
	}
	runRecords(t, dir)
	if now, err := os.ReadFile(file); err != nil || !bytes.Equal(now, hurt) {
		t.Errorf("the damaged database was written to (%v)", err)
	}
	if left, _ := filepath.Glob(filepath.Join(elsewhere, "*")); len(left) != 1 {
		t.Errorf("files of a damaged record: %q, want the old backup alone", left)
	}
	again := filepath.Join(elsewhere, "again")
	if code, _, words := runRecords(t, again, "restore", backup); code != exitOK {
		t.Fatal(words)
	}
	if code, out, words := runRecords(t, again, "check"); code != exitOK || !strings.Contains(out, "3 readings") {
		t.Errorf("the restored record: %q %q", out, words)
	}
}

// A photo that was there when the list was read and is gone at its turn costs itself
// only.
func TestPhotoThatVanishesBeforeItsTurn(t *testing.T) {
	dir := t.TempDir()
	const n = 12
	list := "photo,bore,chamfer\n"
	for i := range n {
		name := fmt.Sprintf("%02d.jpg", i)
		copyFile(t, goodPhoto, filepath.Join(dir, name))
		list += name + ",8mm,0.3mm\n"
	}
	cmd := program(t, "read", "--json", "--list", writeFile(t, filepath.Join(dir, "list.csv"), list))
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	for i := 0; lines.Scan(); i++ {
		if i == 0 {
			if err := os.Remove(filepath.Join(dir, "11.jpg")); err != nil {
				t.Fatal(err)
			}
		}
		var l jsonLine
		if err := json.Unmarshal(lines.Bytes(), &l); err != nil {
			t.Fatal(err)
		}
		if gone := i == n-1; l.OK == gone || gone && (l.Reason != "not-found" || l.Error == "") {
			t.Errorf("line %d: %s", i, lines.Bytes())
		}
	}
	if code := exitOf(t, cmd.Wait()); code != exitMissed {
		t.Errorf("exit code %d, want %d", code, exitMissed)
	}
}

// A reading whose photo's copy is gone or changed isn't shown without its photo; the
// sentence says where a photo may come from, and the numbers stay to be had.
func TestReopeningWithoutItsPhotoSaysSo(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	keepThree(t, dir)
	photos, err := filepath.Glob(filepath.Join(dir, "photos", "*", "*"))
	if err != nil || len(photos) != 3 {
		t.Fatalf("photos %q, %v", photos, err)
	}
	gone, changed := filepath.Base(photos[0]), filepath.Base(photos[1])
	if err := os.Remove(photos[0]); err != nil {
		t.Fatal(err)
	}
	writeFile(t, photos[1], "another picture")
	store, err := record.Open(t.Context(), dir)
	k := newShelf(store, err)
	defer k.Close()
	list, err := store.Find(t.Context(), record.Query{})
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range list {
		_, _, err := k.Reopen(t.Context(), idText(e.ID))
		switch e.PhotoSHA256 {
		case gone, changed:
			if err == nil || !strings.Contains(err.Error(), "restore it from a backup") {
				t.Errorf("reading %d: %v, want a sentence with a way back", e.ID, err)
			}
			if code, out, _ := runRecords(t, dir, "show", idText(e.ID)); code != exitOK || !strings.Contains(out, "mm") {
				t.Errorf("reading %d in words: exit code %d, %q", e.ID, code, out)
			}
		default:
			if err != nil {
				t.Errorf("reading %d: %v", e.ID, err)
			}
		}
	}
	// A photo that vanishes between reading and keeping.
	r, _, err := store.Get(t.Context(), list[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	r.MadeAt = r.MadeAt.AddDate(0, 0, 1)
	_, err = k.Keep(t.Context(), r, port.Source{Path: filepath.Join(dir, "unplugged", "p.jpg")})
	if err == nil || !strings.Contains(err.Error(), "was not kept") {
		t.Errorf("Keep of a photo that is gone: %v, want a sentence", err)
	}
}

// Every verb that writes says when the disk is full, and leaves nothing half
// written there.
func TestFullDiskLeavesNothingHalfWritten(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("needs root to mount a tiny filesystem")
	}
	const size = 128 << 10
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, fmt.Sprintf("size=%d,mode=0700", size)); err != nil {
		t.Skipf("cannot mount a tiny filesystem here: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Errorf("unmount: %v", err)
		}
	})
	plots := filepath.Join(dir, "plots")
	if err := os.Mkdir(plots, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "full"), make([]byte, 2*size), 0o600); !errors.Is(err, syscall.ENOSPC) {
		t.Fatalf("filling the disk: %v", err)
	}
	shop := filepath.Join(t.TempDir(), "data")
	keepThree(t, shop)
	card := []string{"--bore", "8mm", "--chamfer", "0.3mm"}
	for _, args := range [][]string{
		append([]string{"report", goodPhoto, "--out", filepath.Join(dir, "r.pdf")}, card...),
		append([]string{"report", goodPhoto, "--out", filepath.Join(t.TempDir(), "r.pdf"), "--plots", plots}, card...),
		{"synth", "--out", filepath.Join(dir, "s.png")},
		{"plan", "flip", "--out", filepath.Join(dir, "p.pdf")},
		{"apprentice", "--count", "1", "--sheet", filepath.Join(dir, "a.pdf")},
		{"records", "--data", shop, "backup", filepath.Join(dir, "b.zip")},
		{"records", "--data", shop, "export", filepath.Join(dir, "e.zip")},
		{"records", "--data", shop, "export", filepath.Join(dir, "e.csv")},
		append([]string{"read", goodPhoto, "--save", "--data", filepath.Join(dir, "data")}, card...),
	} {
		code, _, words := call(t, args...)
		if code != exitMissed || !strings.Contains(words, "disk") || !strings.HasSuffix(words, ".\n") {
			t.Errorf("%q: exit code %d, stderr %q; want a sentence on the disk", args, code, words)
		}
		err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
			if err == nil && !d.IsDir() && path != filepath.Join(dir, "full") && !strings.HasPrefix(path, filepath.Join(dir, "data")) {
				t.Errorf("%q left %s", args, path)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}
