package main

import (
	"errors"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
)

func TestResultsComeInOrderAndFewAreOpen(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const n, workers, ahead = 60, 2, 8
		var running, most, open, mostOpen atomic.Int32
		peak := func(now int32, top *atomic.Int32) {
			for {
				old := top.Load()
				if now <= old || top.CompareAndSwap(old, now) {
					return
				}
			}
		}
		var got []int
		start := time.Now()
		err := inOrder(n, workers, ahead, func(i int) int {
			peak(running.Add(1), &most)
			peak(open.Add(1), &mostOpen)
			time.Sleep(time.Duration(1+i%3) * time.Second)
			if i == 5 {
				time.Sleep(30 * time.Second) // the others must not pile up behind it
			}
			running.Add(-1)
			return i * i
		}, func(i, r int) error {
			open.Add(-1)
			if r != i*i {
				t.Errorf("result %d for %d", r, i)
			}
			got = append(got, i)
			return nil
		})
		if err != nil || !slices.IsSorted(got) || len(got) != n {
			t.Errorf("order %v, %v", got, err)
		}
		if most.Load() != workers {
			t.Errorf("%d at a time, want %d", most.Load(), workers)
		}
		if mostOpen.Load() > ahead+workers {
			t.Errorf("%d results open at a time, want at most %d", mostOpen.Load(), ahead+workers)
		}
		// 120 s of work on two, and one of 30 s that the others overtake for 8 only.
		if took := time.Since(start); took > 90*time.Second {
			t.Errorf("took %v: the workers were not kept busy", took)
		}
	})
}

func TestInOrderStopsAtTheFirstError(t *testing.T) {
	stop := errors.New("stop")
	var mu sync.Mutex
	done := 0
	err := inOrder(1000, 4, 16, func(i int) int { mu.Lock(); done++; mu.Unlock(); return i }, func(i, _ int) error {
		if i == 3 {
			return stop
		}
		return nil
	})
	if !errors.Is(err, stop) || done > 3+1+16+4+1 {
		t.Errorf("%v after %d; want to stop soon after 3", err, done)
	}
	if err := inOrder(0, 4, 16, func(int) int { return 0 }, func(int, int) error { return stop }); err != nil {
		t.Errorf("nothing to do: %v", err)
	}
}
