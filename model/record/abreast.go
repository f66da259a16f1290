package record

import (
	"iter"
	"runtime"
	"sync"
)

// abreast does work on every job, as many at a time as there are processors, and
// hands what comes of them to take one after the other, in the order of the jobs. It
// runs no further ahead of take than a few jobs a processor, so that any number of
// jobs needs little room.
func abreast[J, R any](jobs iter.Seq[J], work func(J) R, take func(R)) {
	type pending struct {
		job    J
		result chan R
	}
	n := runtime.GOMAXPROCS(0)
	todo, order := make(chan pending), make(chan pending, 4*n)
	var workers sync.WaitGroup
	for range n {
		workers.Go(func() {
			for p := range todo {
				p.result <- work(p.job)
			}
		})
	}
	workers.Go(func() {
		for j := range jobs {
			p := pending{j, make(chan R, 1)}
			order <- p
			todo <- p
		}
		close(todo)
		close(order)
	})
	for p := range order {
		take(<-p.result)
	}
	workers.Wait()
}
