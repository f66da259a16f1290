package record

import (
	"runtime"
	"slices"
	"sync/atomic"
	"testing"
	"time"
)

func TestAbreastKeepsTheOrderAndItsRoom(t *testing.T) {
	const n = 500
	var started, taken atomic.Int64
	var ahead int64 // written by take alone
	jobs := func(yield func(int) bool) {
		for i := range n {
			started.Add(1)
			if !yield(i) {
				return
			}
		}
	}
	var got []int
	abreast(jobs, func(i int) int {
		if i%7 == 0 { // some take longer than those after them
			time.Sleep(100 * time.Microsecond)
		}
		return i * i
	}, func(sq int) {
		ahead = max(ahead, started.Load()-taken.Load())
		taken.Add(1)
		got = append(got, sq)
	})
	want := make([]int, n)
	for i := range want {
		want[i] = i * i
	}
	if !slices.Equal(got, want) {
		t.Errorf("results out of order: %v", got)
	}
	// The queue holds 4 jobs a processor; one more is taken, one on its way in.
	if limit := int64(4*runtime.GOMAXPROCS(0) + 2); ahead > limit {
		t.Errorf("%d jobs were begun before their results were taken, want at most %d", ahead, limit)
	}
	abreast(func(func(int) bool) {}, func(i int) int { return i }, func(int) { t.Error("a result of no job") })
}
