package vision

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// spread calls f for contiguous parts of 0..n-1, one per processor, and waits.
// What f writes must depend on the index alone, never on the part, so that the
// result is the same on any machine.
func spread(n int, f func(lo, hi int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	if workers < 2 {
		if n > 0 {
			f(0, n)
		}
		return
	}
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() { f(n*w/workers, n*(w+1)/workers) })
	}
	wg.Wait()
}

// spreadEach calls f for each of 0..n-1 with the number of the worker that does it,
// one per processor, and waits. A worker that is done takes the next: for work whose
// parts take unlike time. What is said of spread holds here too.
func spreadEach(n int, f func(worker, i int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for w := range min(runtime.GOMAXPROCS(0), n) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				f(w, i)
			}
		})
	}
	wg.Wait()
}
