package batches

import (
	"context"
	"errors"
	"path/filepath"

	"evenrim/model/record"
	"evenrim/ui/batches/ledger"
	"evenrim/ui/port"
)

// pageOf is how many readings are listed at once.
const pageOf = 200

func (p *Page) openOwn() {
	if p.deps.Archives == nil {
		return
	}
	p.turns++
	turn := p.turns
	p.crew.Go(func() {
		a, err := p.deps.Archives.Own(p.ctx)
		p.crew.Do(func() {
			if turn != p.turns {
				return // another was asked for meanwhile
			}
			if err != nil {
				p.notice.say(err.Error())
				return
			}
			p.use(a, ledger.Own, "")
		})
	})
}

// use shows another record.
func (p *Page) use(a port.Archive, s ledger.Source, list string) {
	p.archive = a
	p.state.Turn(s)
	p.state.ListOf = list
	p.bar.clear()
	p.search()
}

// OpenOwn shows the user's own record.
func (p *Page) OpenOwn() {
	p.notice.hide()
	p.openOwn()
}

// OpenDemo shows the demo shop, which is made the first time.
func (p *Page) OpenDemo() {
	p.long("Opening the demo shop", func(ctx context.Context, tell func(float64, string)) (func(), error) {
		a, err := p.deps.Archives.Demo(ctx, tell)
		return func() {
			p.use(a, ledger.Demo, "")
			for _, b := range []string{"raw edge", "fixed"} {
				p.state.Pick(b)
			}
			p.search()
		}, err
	})
}

// OpenList reads the photos of a readings.csv.
func (p *Page) OpenList(path string) {
	p.long("Reading the list", func(ctx context.Context, tell func(float64, string)) (func(), error) {
		a, notes, err := p.deps.Archives.List(ctx, path, tell)
		return func() {
			p.use(a, ledger.List, filepath.Base(path))
			p.notice.list("These readings are not kept. Photos without a reading:", notes)
		}, err
	})
}

// long runs work that takes a while, with progress and a way to stop it. done runs
// on the UI goroutine if all went well.
func (p *Page) long(what string, work func(context.Context, func(float64, string)) (done func(), err error)) {
	if p.deps.Archives == nil {
		return
	}
	p.turns++
	if p.cancel != nil {
		p.notice.say("Something is being done already: stop it first.")
		return
	}
	ctx, cancel := context.WithCancel(p.ctx)
	p.cancel = cancel
	p.notice.working(what, cancel)
	p.crew.Go(func() {
		done, err := work(ctx, func(share float64, doing string) {
			p.crew.Do(func() { p.notice.progress(share, doing) })
		})
		p.crew.Do(func() {
			stopped := ctx.Err() != nil || errors.Is(err, context.Canceled)
			cancel()
			p.cancel = nil
			p.notice.hide()
			switch {
			case stopped && err != nil:
				p.notice.say("Stopped.")
			case err != nil:
				p.notice.say(err.Error())
			default:
				done()
			}
		})
	})
}

// search asks the record for what the fields say, and works the picked batches
// out anew; the newest wish counts.
func (p *Page) search() {
	p.refresh()
	a := p.archive
	if a == nil {
		return
	}
	q, problem := p.state.Filter.Query()
	p.bar.wrong(problem)
	if problem != "" {
		return
	}
	p.asked++
	asked := p.asked
	picked := append([]string(nil), p.state.Picked...)
	p.crew.Go(func() {
		f, err := find(p.ctx, a, q, picked)
		p.crew.Do(func() {
			if asked != p.asked || a != p.archive {
				return
			}
			if err != nil {
				p.notice.say(err.Error())
				return
			}
			p.state.Entries, p.state.Total = f.entries, len(f.entries)
			p.refresh()
			p.names(a, asked)
			p.load(q)
			if f.full {
				p.count(a, q, picked, asked)
			}
		})
	})
}

// names lists the batches there are; the readings found don't wait for it.
func (p *Page) names(a port.Archive, asked int) {
	p.crew.Go(func() {
		batches, err := a.Values(p.ctx, record.BatchField)
		p.crew.Do(func() {
			if asked != p.asked || a != p.archive {
				return
			}
			if err != nil {
				p.notice.say(err.Error())
				return
			}
			p.state.Keep(batches)
			p.refresh()
		})
	})
}

// count says how many readings there are in all; the list doesn't wait for it.
func (p *Page) count(a port.Archive, q record.Query, picked []string, asked int) {
	p.crew.Go(func() {
		total := 0
		for _, b := range orAll(picked) {
			q.Batch = b
			n, err := a.Count(p.ctx, q)
			if err != nil {
				return
			}
			total += n
		}
		p.crew.Do(func() {
			if asked == p.asked && a == p.archive {
				p.state.Total = total
				p.refresh()
			}
		})
	})
}

// orAll asks for all batches when none is picked.
func orAll(picked []string) []string {
	if len(picked) == 0 {
		return []string{""}
	}
	return picked
}

// found is the answer to a search.
type found struct {
	entries []record.Entry
	full    bool // there may be more than were listed
}

func find(ctx context.Context, a port.Archive, q record.Query, picked []string) (f found, err error) {
	for _, b := range orAll(picked) {
		q.Batch, q.Limit = b, pageOf
		entries, err := a.Find(ctx, q)
		if err != nil {
			return f, err
		}
		f.entries, f.full = append(f.entries, entries...), f.full || len(entries) == pageOf
	}
	return f, nil
}

// more lists older readings too.
func (p *Page) more() {
	a, n := p.archive, len(p.state.Entries)
	q, problem := p.state.Filter.Query()
	if a == nil || n == 0 || problem != "" || len(p.state.Picked) > 0 {
		return
	}
	q.Before, q.Limit = p.state.Entries[n-1].ID, pageOf
	asked := p.asked
	p.crew.Go(func() {
		entries, err := a.Find(p.ctx, q)
		p.crew.Do(func() {
			if asked != p.asked || a != p.archive || len(p.state.Entries) != n {
				return // pressed twice: they are listed already
			}
			if err != nil {
				p.notice.say(err.Error())
				return
			}
			p.state.Entries = append(p.state.Entries, entries...)
			p.refresh()
		})
	})
}

// load works the picked batches out.
func (p *Page) load(q record.Query) {
	p.loading++
	gen, a := p.loading, p.archive
	picked := append([]string(nil), p.state.Picked...)
	if len(picked) == 0 {
		p.state.Loaded = nil
		p.refresh()
		return
	}
	p.crew.Go(func() {
		l, err := ledger.Load(p.ctx, a, picked, q)
		p.crew.Do(func() {
			if gen != p.loading || a != p.archive {
				return
			}
			if err != nil {
				p.notice.say(err.Error())
				return
			}
			p.state.Loaded = l
			p.refresh()
		})
	})
}
