package kit

import "sync"

// Crew runs work off the UI goroutine and brings results back to it. The zero
// value is ready.
type Crew struct {
	wg sync.WaitGroup

	mu    sync.Mutex
	queue []func() // results that wait for Settle
}

// Go runs f on its own goroutine. f hands its results back by Do.
func (c *Crew) Go(f func()) { c.wg.Go(f) }

// Do runs f on the UI goroutine, soon; not after the window has ended.
func (c *Crew) Do(f func()) {
	c.mu.Lock()
	if everyCrewHeld {
		c.queue = append(c.queue, f)
		c.mu.Unlock()
		return
	}
	c.mu.Unlock()
	OnUI(f)
}

// Wait returns once no work runs any more. Results may still be on their way.
func (c *Crew) Wait() { c.wg.Wait() }

// everyCrewHeld is set before any crew works and never changed after.
var everyCrewHeld bool

// HoldEvery makes the results of every crew wait for Settle. It is for a test's
// TestMain: the toolkit's test driver runs results on the worker's goroutine, where
// they would race with the test.
func HoldEvery() { everyCrewHeld = true }

// Settle runs results, on the caller's goroutine, until no work is left.
func (c *Crew) Settle() {
	for {
		c.wg.Wait()
		c.mu.Lock()
		fs := c.queue
		c.queue = nil
		c.mu.Unlock()
		if len(fs) == 0 {
			return
		}
		for _, f := range fs {
			f()
		}
	}
}

// Deliver runs the results that are there now and doesn't wait for work.
func (c *Crew) Deliver() {
	c.mu.Lock()
	fs := c.queue
	c.queue = nil
	c.mu.Unlock()
	for _, f := range fs {
		f()
	}
}
