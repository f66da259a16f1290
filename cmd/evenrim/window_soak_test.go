package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"evenrim/model/record"
)

// A season of photos through the tray of the real window, dropped fifty at a time and
// taken off the bench again: memory and open files stay flat once it has seen a few
// hundred. EVENRIM_SOAK=1 runs it with 200 photos, EVENRIM_SOAK=5000 with as many.
func TestMemoryStaysFlatOverManyPhotosOnAScreen(t *testing.T) {
	photos, err := strconv.Atoi(os.Getenv("EVENRIM_SOAK"))
	if err != nil || photos < 1 {
		t.Skip("EVENRIM_SOAK=1 runs it with 200 photos, EVENRIM_SOAK=5000 with as many")
	}
	if photos == 1 {
		photos = 200
	}
	const portion = 50
	portions := max(photos/portion, 4)
	dir := t.TempDir()
	var drawn []string // small, so that the program has more to do than its decoder
	for i := range portion {
		path := filepath.Join(dir, fmt.Sprintf("small-%02d.jpg", i))
		code, _, words := call(t, "synth", "--out", path, "--bore", "10mm", "--chamfer", "0.6mm", "--dx", fmt.Sprintf("%dum", i-25), "--seed", fmt.Sprint(i+1), "--width", "640", "--height", "480")
		if code != exitOK {
			t.Fatal(words)
		}
		drawn = append(drawn, path)
	}
	h := &hand{openOnScreen(t, filepath.Join(t.TempDir(), "shop"), time.Minute, "--bore", "10mm", "--chamfer", "0.6mm")}
	h.waitForWindow()
	store, err := record.Open(t.Context(), h.data)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	kept := func() int {
		n, _ := store.Count(t.Context(), record.Query{WithReplaced: true})
		return n
	}
	type state struct {
		readings, residentMB, files int
		processor                   float64 // s
	}
	now := func() (s state) {
		proc := fmt.Sprintf("/proc/%d", h.cmd.Process.Pid)
		b, err := os.ReadFile(filepath.Join(proc, "statm"))
		if err != nil {
			t.Fatal("the program ended: ", h.words.String())
		}
		var total, resident int
		fmt.Sscan(string(b), &total, &resident)
		fds, _ := os.ReadDir(filepath.Join(proc, "fd"))
		return state{kept(), resident * os.Getpagesize() >> 20, len(fds), processorSeconds(t, filepath.Join(proc, "stat"))}
	}
	began := time.Now()
	var seen []state
	var last state
	for i := 1; i <= portions; i++ {
		h.until = time.Now().Add(10 * time.Minute) // for each portion: a busy machine takes two
		dropFiles(h.onScreen, drawn...)
		h.wait(fmt.Sprintf("portion %d in the record", i), func() bool { return kept() >= i*portion })
		h.focus()
		h.do("key", "ctrl+shift+w")
		time.Sleep(300 * time.Millisecond)
		if i%max(portions/20, 1) == 0 {
			s := now()
			seen = append(seen, s)
			t.Logf("%5d readings after %4.0f s: %d MB resident, %d open files, %.2f s of processor time a photo", s.readings, time.Since(began).Seconds(), s.residentMB, s.files, (s.processor-last.processor)/float64(max(s.readings-last.readings, 1)))
			last = s
		}
	}
	// The first fifth is the program filling what it then keeps: caches, arenas.
	settled, end := seen[len(seen)/5], seen[len(seen)-1]
	if end.residentMB > settled.residentMB+settled.residentMB/4+50 {
		t.Errorf("%d MB after %d readings, %d MB after %d: want flat", end.residentMB, end.readings, settled.residentMB, settled.readings)
	}
	if end.files > settled.files+5 {
		t.Errorf("%d open files after %d readings, %d after %d: want flat", end.files, end.readings, settled.files, settled.readings)
	}
	h.end()
}

// processorSeconds is what a process has had of the processors by now. Its stat file
// (proc(5)) gives user and system time in hundredths of a second, 12 and 13 words after
// the name in brackets.
func processorSeconds(t *testing.T, stat string) float64 {
	t.Helper()
	b, err := os.ReadFile(stat)
	if err != nil {
		t.Fatal(err)
	}
	words := strings.Fields(string(b[bytes.LastIndexByte(b, ')')+1:]))
	var sum float64
	for _, w := range words[11:13] {
		n, err := strconv.ParseFloat(w, 64)
		if err != nil {
			t.Fatal(err)
		}
		sum += n / 100
	}
	return sum
}
