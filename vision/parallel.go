package vision

import (
	"runtime"
	"sync"
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
