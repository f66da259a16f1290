package bench

import (
	"context"
	"errors"
	"runtime"
	"sync"
	"time"

	"evenrim/model"
	"evenrim/ui/photo"
	"evenrim/ui/port"
	"evenrim/ui/state"

	"fyne.io/fyne/v2"
)

// work is what runs off the UI goroutine: tracing, a few photos at a time, the
// one shown first; solving, the newest wish of each photo; keeping.
type work struct {
	slots   int
	running int
	cancel  map[int]context.CancelFunc // by photo
	timers  map[int]*time.Timer        // until a reading has settled
	// keeping is which photos' readings are on their way into the record,
	// keepAgain which of them have a newer one waiting, held which stand and aren't kept
	// for the sake of their turn set.
	keeping, keepAgain, held map[int]bool

	mu      sync.Mutex
	pending []state.SolveJob // at most one a photo; guarded by mu
	landing []*landing       // results of keeping on their way; guarded by mu
	solving bool
}

func (w *work) init(slots int) {
	if slots <= 0 {
		slots = runtime.NumCPU()
	}
	w.slots = slots
	w.cancel = map[int]context.CancelFunc{}
	w.keeping, w.keepAgain, w.held = map[int]bool{}, map[int]bool{}, map[int]bool{}
	w.timers = map[int]*time.Timer{}
}

// pump starts waiting photos as long as there is room.
func (p *Page) pump() {
	for p.work.running < p.work.slots && !p.closed {
		next := p.nextWaiting()
		if next == nil {
			return
		}
		p.run(next)
	}
}

func (p *Page) nextWaiting() *state.Photo {
	if s := p.state.Selected(); s != nil && s.Stage == state.Waiting {
		return s
	}
	for _, s := range p.state.Photos {
		if s.Stage == state.Waiting {
			return s
		}
	}
	return nil
}

// again traces a photo anew; what ran for it is cancelled.
func (p *Page) again(id int) {
	s := p.state.Photo(id)
	if s == nil {
		return
	}
	p.stop(id)
	s.Stage, s.Doing = state.Waiting, "waiting"
	p.pump()
	p.refresh()
}

func (p *Page) stop(id int) {
	if c := p.work.cancel[id]; c != nil {
		c()
		delete(p.work.cancel, id)
	}
	if t := p.work.timers[id]; t != nil {
		t.Stop()
		delete(p.work.timers, id)
	}
}

func (p *Page) stopAll() {
	for _, s := range p.state.Photos {
		p.stop(s.ID)
	}
}

// Cancel stops the work on the photo shown.
func (p *Page) Cancel() {
	if s := p.state.Selected(); s != nil && p.state.Cancel(s.ID) {
		p.stop(s.ID)
		p.refresh()
	}
}

// Again traces the photo shown once more.
func (p *Page) Again() {
	if s := p.state.Selected(); s != nil {
		p.again(s.ID)
	}
}

func (p *Page) run(s *state.Photo) {
	ctx, cancel := context.WithCancel(context.Background())
	p.work.cancel[s.ID] = cancel
	p.work.running++
	sel := p.state.Selected()
	wantEdges := sel != nil && sel.ID == s.ID && !s.EdgesKnown // the others when they are shown: see seeEdges
	id, run, src, card, help := s.ID, p.state.Begin(s.ID), s.Source, s.Card, s.Help
	left := p.state.CardIsLeftOver(id)
	p.crew.Go(func() {
		began := time.Now()
		err := func() error {
			pic, err := p.deps.Photos.Open(ctx, src)
			if err != nil {
				return err
			}
			defer pic.Close()
			pyramid, err := photo.NewPyramid(pic.RGBA())
			if err != nil {
				return err
			}
			info, thumb := pic.Info(), photo.Thumb(pyramid, thumbW, thumbH)
			before, kept := p.recall(ctx, src, info.SHA256)
			p.crew.Do(func() {
				if p.state.Opened(id, run, info, thumb) {
					p.shelf.put(id, pyramid)
					if before != nil && p.state.Recall(id, *before, kept) {
						p.card.reload()
					}
					p.refresh()
				}
			})
			if before != nil && (card.BoreMM <= 0 || left) {
				card = *before // the finder does better with it
			}
			trace, err := p.trace(ctx, pic, card, help, func(share float64, doing string) {
				p.crew.Do(func() {
					if p.state.Advance(id, run, share, doing) {
						p.showProgress(id)
					}
				})
			})
			if err != nil {
				return err
			}
			took := time.Since(began)
			p.crew.Do(func() {
				if p.state.Traced(id, run, trace, card) {
					p.state.Photo(id).TracedIn = took
					p.solve(id)
				}
			})
			if wantEdges {
				if finder, ok := p.deps.Photos.(port.EdgeFinder); ok {
					if edges, err := finder.StraightEdges(ctx, pic); err == nil {
						p.crew.Do(func() {
							p.state.SawEdges(id, edges)
							p.showOverlay()
						})
					}
				}
			}
			return nil
		}()
		cancelled := ctx.Err() != nil
		cancel()
		p.crew.Do(func() {
			p.work.running--
			if err != nil && !cancelled {
				p.failed(id, run, err)
			}
			p.keepHeld()
			p.pump()
			p.refresh()
		})
	})
}

// recall is the job card that this very picture was read with before; nil = it wasn't, as
// far as the record can tell. What is wrong with the record is said when it is to keep.
func (p *Page) recall(ctx context.Context, src port.Source, sha string) (*model.JobCard, port.Kept) {
	r, ok := p.deps.Keeper.(port.Recaller)
	if !ok || src.Sample {
		return nil, port.Kept{}
	}
	card, kept, err := r.Recall(ctx, sha)
	if err != nil {
		return nil, port.Kept{}
	}
	return card, kept
}

// seeEdges looks for straight edges in the photo shown, for +X to snap to, unless
// that was done.
func (p *Page) seeEdges() {
	s := p.state.Selected()
	finder, ok := p.deps.Photos.(port.EdgeFinder)
	if s == nil || !ok || s.EdgesKnown || s.Stage != state.Done {
		return
	}
	s.EdgesKnown = true // not twice at a time
	id, src := s.ID, s.Source
	p.crew.Go(func() {
		ctx := context.Background()
		pic, err := p.deps.Photos.Open(ctx, src)
		if err != nil {
			return // there is nothing to snap to then
		}
		defer pic.Close()
		if edges, err := finder.StraightEdges(ctx, pic); err == nil {
			p.crew.Do(func() {
				p.state.SawEdges(id, edges)
				p.showOverlay()
			})
		}
	})
}

// SnapPlusX turns +X along the nearest straight edge of the part.
func (p *Page) SnapPlusX() {
	e, ok := p.state.SnapPlusX()
	if !ok {
		p.tell("+X", "No straight edge of the part is seen in this photo. Drag the arrow by hand, or take the photo with an edge in it.")
		return
	}
	p.card.reload()
	p.apply(e)
}

// trace finds the rims, near where a person pointed if one did. What was brushed
// out is taken away later, so that another stroke needs no tracing.
func (p *Page) trace(ctx context.Context, pic port.Picture, card model.JobCard, help port.Help, progress func(float64, string)) (model.Trace, error) {
	if h := p.deps.helper(); h != nil && help.Hole != nil {
		return h.TraceNear(ctx, pic, card, port.Help{Hole: help.Hole, Candidate: help.Candidate}, progress)
	}
	return p.deps.Photos.Trace(ctx, pic, card, progress)
}

func (p *Page) failed(id, run int, err error) {
	reason, sentence := state.Explain(err)
	var spots []model.Circle
	var refusal *model.Refusal
	if errors.As(err, &refusal) {
		spots = refusal.Candidates
	} else {
		fyne.LogError("a photo could not be read", err)
	}
	if p.state.Fail(id, run, reason, sentence, spots) {
		p.settle(id) // the card may have changed meanwhile
	}
}

// solve asks for new results of photos whose rims are known.
func (p *Page) solve(ids ...int) {
	for _, id := range ids {
		if job, ok := p.state.Ask(id); ok {
			p.enqueue(job)
		}
	}
}

func (p *Page) enqueue(job state.SolveJob) {
	w := &p.work
	w.mu.Lock()
	defer w.mu.Unlock()
	for i := range w.pending {
		if w.pending[i].ID == job.ID {
			w.pending[i] = job
			return
		}
	}
	w.pending = append(w.pending, job)
	if !w.solving {
		w.solving = true
		p.crew.Go(p.solveAll)
	}
}

// solveAll runs off the UI goroutine until nothing is pending.
func (p *Page) solveAll() {
	w := &p.work
	for {
		w.mu.Lock()
		if len(w.pending) == 0 {
			w.solving = false
			w.mu.Unlock()
			return
		}
		job := w.pending[0]
		w.pending = w.pending[1:]
		w.mu.Unlock()

		r, err := p.makeReading(job.Trace, job.Card, job.Info, job.TracedIn)
		p.crew.Do(func() { p.solved(job, r, err) })
	}
}

// makeReading solves a trace, which took tracedIn, and notes what the reading was made of.
func (p *Page) makeReading(t model.Trace, card model.JobCard, info model.Photo, tracedIn time.Duration) (*model.Reading, error) {
	began := time.Now()
	r, err := p.deps.Solve(t, card)
	if err == nil && r != nil {
		r.Photo, r.Version, r.MadeAt = info, p.deps.Version, time.Now()
		if r.Seconds == 0 {
			r.Seconds = (tracedIn + time.Since(began)).Seconds()
		}
	}
	return r, err
}

func (p *Page) solved(job state.SolveJob, r *model.Reading, err error) {
	if err != nil {
		var refusal *model.Refusal
		var field *model.FieldError
		if !errors.As(err, &refusal) && !errors.As(err, &field) {
			fyne.LogError("a reading could not be made", err)
		}
	}
	if p.state.Solved(job, r, err) {
		p.settle(job.ID)
		p.keepHeld()
		p.refresh()
	}
}

// settle keeps a reading, or has the rims looked at again, once the card has
// been left alone for a while.
func (p *Page) settle(id int) {
	if t := p.work.timers[id]; t != nil {
		t.Stop()
	}
	if p.closed {
		return
	}
	if p.deps.Settle < 0 { // tests: at once
		p.settled(id)
		return
	}
	p.work.timers[id] = time.AfterFunc(p.deps.Settle, func() { p.crew.Do(func() { p.settled(id) }) })
}

func (p *Page) settled(id int) {
	s := p.state.Photo(id)
	if s == nil || p.closed {
		return
	}
	if p.state.WantsRetrace(id) {
		p.again(id)
		return
	}
	p.keepNow(s)
}

func (p *Page) keepable(s *state.Photo) bool {
	return p.deps.Keeper != nil && s.Keepable()
}

// keepNow puts a photo's reading into the record unless it is there already, or has to
// wait for others of its turn set.
func (p *Page) keepNow(s *state.Photo) {
	if p.keepable(s) && p.state.Withheld(s) {
		p.work.held[s.ID] = true
		p.keepTurns() // it may be the last that its set waited for
		return
	}
	p.keepReading(s)
}

func (p *Page) keepReading(s *state.Photo) {
	if p.closed || !p.keepable(s) {
		return
	}
	if p.work.keeping[s.ID] {
		// The one before isn't down yet, and this one takes its place: after it.
		p.work.keepAgain[s.ID] = true
		return
	}
	of, why := s.Replaces()
	id, r, src := s.ID, s.Keeping(), s.Source
	p.work.keeping[id] = true
	p.crew.Go(func() {
		name, err := p.keep(r, src, of, why)
		p.land(func() {
			delete(p.work.keeping, id)
			if err != nil {
				name = ""
				p.sheet.keepProblem = err.Error() // the record's errors are sentences
			} else {
				p.sheet.keepProblem = ""
				p.kept.reload()
			}
			s := p.state.WasKept(id, r, name) // it may be off the bench by now
			if again := p.work.keepAgain[id]; again && s != nil {
				delete(p.work.keepAgain, id)
				p.keepNow(s)
			}
			p.keepTurns()
			p.refresh()
		})
	})
}

// keepHeld keeps readings that turned out to be of a picture of their own.
func (p *Page) keepHeld() {
	for _, s := range p.state.Photos {
		if p.work.held[s.ID] {
			delete(p.work.held, s.ID)
			p.keepNow(s)
		}
	}
}

// keep puts a reading into the record: in the place of the photo's last one, if
// there is one. Where that has been corrected elsewhere meanwhile, the record finds the
// one whose place it takes.
func (p *Page) keep(r *model.Reading, src port.Source, of, why string) (string, error) {
	ctx := context.Background()
	if c, ok := p.deps.Keeper.(port.Corrector); ok && of != "" {
		if name, err := c.Correct(ctx, of, why, r, src); err == nil {
			return name, nil
		}
	}
	return p.deps.Keeper.Keep(ctx, r, src)
}
