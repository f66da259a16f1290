package main

import "sync"

// inOrder does work(i) for i = 0 ... n-1 on several workers and hands each result
// to emit in the order of i, from the calling goroutine. No more than ahead
// results are under way or waiting at a time, so memory stays flat however many
// there are and however slow the first is. It stops at emit's first error and
// returns it, after the work under way has ended.
func inOrder[R any](n, workers, ahead int, work func(i int) R, emit func(i int, r R) error) error {
	ahead = max(ahead, workers)
	type slot struct {
		i    int
		done chan R
	}
	jobs := make(chan slot)
	waiting := make(chan slot, ahead-1) // one more is in emit's hands
	stop := make(chan struct{})
	var all sync.WaitGroup
	for range workers {
		all.Go(func() {
			for s := range jobs {
				s.done <- work(s.i)
			}
		})
	}
	all.Go(func() {
		defer close(waiting)
		defer close(jobs)
		for i := range n {
			s := slot{i, make(chan R, 1)}
			select {
			case waiting <- s:
			case <-stop:
				return
			}
			select {
			case jobs <- s:
			case <-stop:
				return
			}
		}
	})
	defer all.Wait()
	defer close(stop)
	for s := range waiting {
		if err := emit(s.i, <-s.done); err != nil {
			return err
		}
	}
	return nil
}
