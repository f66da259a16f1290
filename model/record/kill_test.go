//go:build unix

package record

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

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

// Two real programs keep into one folder at a time; one of them is killed.
func TestTwoRealProgramsOnOneFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	var kept [2]map[uint64]bool
	var all sync.WaitGroup
	for p := range kept {
		cmd := child(t, "keep", dir, fmt.Sprint(p*1_000_000))
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		kept[p] = map[uint64]bool{}
		all.Go(func() {
			defer cmd.Wait()
			defer cmd.Process.Kill()
			for sc := bufio.NewScanner(out); len(kept[p]) < 15+10*p && sc.Scan(); {
				word, rest, _ := strings.Cut(sc.Text(), " ")
				n, err := strconv.ParseUint(rest, 10, 64)
				if word == "failed" || err != nil {
					t.Errorf("program %d said %q", p, sc.Text())
					return
				}
				if word == "kept" {
					kept[p][n] = true
				}
			}
		})
	}
	all.Wait()
	s := openAt(t, dir)
	list, err := s.Find(t.Context(), Query{Limit: 1000})
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]bool{}
	for _, e := range list {
		found[e.Part] = true
	}
	for p := range kept {
		if len(kept[p]) != 15+10*p {
			t.Errorf("program %d kept %d readings, want %d", p, len(kept[p]), 15+10*p)
		}
		for n := range kept[p] {
			if !found[fmt.Sprint(n)] {
				t.Errorf("reading %d of program %d was said to be kept and is gone", n, p)
			}
		}
	}
	mustBeSound(t, s)
}
