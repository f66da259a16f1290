package live

import (
	"context"
	"errors"
	"math"
	"sync"
	"time"

	"evenrim/model"
	"evenrim/model/live"
	"evenrim/vision"
)

// Session reads a source until it ends or is closed.
type Session struct {
	source Source
	show   func(live.View)
	every  bool // no picture may be left out
	cancel context.CancelFunc
	all    sync.WaitGroup

	mu     sync.Mutex
	card   model.JobCard
	carded int // counts changes of the card
	last   *frame
	shake  float64
	bests  bests
	err    error
}

// Watch begins to read source, which it owns from now on. show is called from one
// goroutine, for each picture read; what comes too fast for the reading is left
// out unless every is set. card needs no bore diameter: without one the hole is
// followed but gives no number.
func Watch(source Source, card model.JobCard, every bool, show func(live.View)) *Session {
	ctx, cancel := context.WithCancel(context.Background())
	s := &Session{source: source, show: show, every: every, cancel: cancel, card: card.WithDefaults()}
	frames := make(chan *frame, 1)
	s.all.Go(func() { s.readAll(ctx, frames) })
	s.all.Go(func() { s.trackAll(ctx, frames) })
	return s
}

// SetCard changes the job card; the next picture is read with it.
func (s *Session) SetCard(card model.JobCard) {
	s.mu.Lock()
	s.card = card.WithDefaults()
	s.carded++
	s.mu.Unlock()
}

// Close ends all work and lets go of the source. A second call does nothing.
func (s *Session) Close() {
	s.cancel()
	s.all.Wait()
}

// Wait returns when the source has come to its end or the session was closed:
// a *live.Problem, or nil after Close.
func (s *Session) Wait() error {
	s.all.Wait()
	s.mu.Lock()
	defer s.mu.Unlock()
	if errors.Is(s.err, context.Canceled) {
		return nil
	}
	return s.err
}

// readAll takes pictures off the source; the newest waits for the tracker.
func (s *Session) readAll(ctx context.Context, frames chan *frame) {
	defer s.source.Close()
	defer close(frames)
	for {
		f, err := s.source.Next(ctx)
		if err != nil {
			s.mu.Lock()
			s.err = err
			s.mu.Unlock()
			return
		}
		if s.every {
			select {
			case frames <- f:
			case <-ctx.Done():
				return
			}
			continue
		}
		select {
		case old := <-frames:
			if old.show != nil && f.show == nil {
				f.show = old.show // a picture late is better than none for a while
			}
		default:
		}
		frames <- f // there is room: only this goroutine sends
	}
}

// find is the outcome of a search in the background.
type find struct {
	k   *tracker
	f   *frame
	err error
}

const (
	// searchPause is how long a failed search rests before the next.
	searchPause = 300 * time.Millisecond
	// checkEvery is how often a followed hole is traced anew in the background: a
	// sheet of paper may have come under the part, or the tracker have strayed.
	checkEvery = 4 * time.Second
)

// trackAll reads picture after picture.
func (s *Session) trackAll(ctx context.Context, frames <-chan *frame) {
	w := watcher{s: s, ctx: ctx, found: make(chan find, 1), phase: live.Looking}
	defer w.searching.Wait()
	// The search is stopped first.
	ctx, stop := context.WithCancel(ctx)
	w.ctx = ctx
	defer stop()
	for f := range frames {
		if ctx.Err() != nil {
			return
		}
		w.take(f)
	}
}

// watcher is the state of the tracking goroutine.
type watcher struct {
	s         *Session
	ctx       context.Context
	k         *tracker // nil without a hole
	phase     live.Phase
	middle    live.Middle
	carded    int
	searching sync.WaitGroup
	busy      bool
	found     chan find
	rested    time.Time // from when the next search may begin
	checked   time.Time
	shake     shaking
	rate      rate
}

func (w *watcher) take(f *frame) {
	s := w.s
	s.mu.Lock()
	card, carded := s.card, s.carded
	s.mu.Unlock()
	if carded != w.carded {
		w.carded, w.checked = carded, time.Time{}
		w.middle.Clear()
	}
	v := live.View{Seq: f.seq, At: f.at, Width: f.w, Height: f.h, Picture: f.show, Scale: 1}
	if f.show != nil {
		v.Scale = float64(f.show.Rect.Dx()) / float64(f.w)
	}
	trace, ok := w.follow(f)
	w.search(f, card)
	if t, found := w.arrivals(f); found {
		trace, ok = t, true
	}
	shake := math.Inf(1)
	if ok {
		shake = w.shake.add(f, w.k)
		w.phase = live.Following
		if v.Reading, v.NoNumber = solve(trace, card); v.Reading != nil {
			w.middle.Add(f.at, v.Reading)
		}
	}
	v.Phase, v.Estimate = w.phase, w.middle.Value(f.at)
	v.ShakePx, v.Steady = shake, w.shake.steady()
	if math.IsInf(shake, 1) {
		v.ShakePx = 0
	}
	v.PerSecond = w.rate.add(time.Now())
	v.Hints = live.Hints(facts(f, w.k, v.Reading, v.ShakePx, card.BoreMM <= 0))
	blur := 0.0
	if w.k != nil {
		blur = w.k.at.blur
	}
	s.mu.Lock()
	s.last, s.shake = f, v.ShakePx
	s.bests.add(f, shake, blur)
	v.Steadiest = s.bests.moment(f.at)
	s.mu.Unlock()
	s.show(v)
}

// solve makes the reading of one picture; without one it says why.
func solve(t model.Trace, card model.JobCard) (r *model.Reading, why string) {
	if card.BoreMM <= 0 {
		return nil, "The bore diameter is not on the job card yet."
	}
	r, err := model.Solve(t, card)
	if err != nil {
		var field *model.FieldError
		if errors.As(err, &field) {
			return nil, field.Sentence
		}
		return nil, model.AsRefusal(err).Sentence
	}
	return r, ""
}

// search looks for the hole in the background when there is none, and traces a
// followed one anew from time to time.
func (w *watcher) search(f *frame, card model.JobCard) {
	now := time.Now()
	if w.busy || now.Before(w.rested) || (w.k != nil && (now.Sub(w.checked) < checkEvery || !w.shake.steady())) {
		return
	}
	w.busy, w.checked = true, now
	w.searching.Go(func() {
		k, err := lookFor(w.ctx, f, card)
		w.found <- find{k, f, err} // room for one, and one at a time
	})
}

func lookFor(ctx context.Context, f *frame, card model.JobCard) (k *tracker, err error) {
	defer func() {
		if fault := recover(); fault != nil { // one picture's trouble must not end the camera
			k, err = nil, model.Refuse(model.Unreadable, "The picture could not be read.")
		}
	}()
	p := &vision.Photo{W: f.w, H: f.h, Gray8: f.gray}
	if card.BoreMM <= 0 {
		card.BoreMM = 10 // only ratios matter for finding
		card.ChamferMM = 0
	}
	t, err := vision.Trace(ctx, p, card, nil)
	if err != nil {
		return nil, err
	}
	k, ok := newTracker(f, t)
	if !ok {
		return nil, model.Refuse(model.NoHole, "The rims are too small to follow.")
	}
	return k, nil
}

// follow takes the hole from the picture before to this one.
func (w *watcher) follow(f *frame) (model.Trace, bool) {
	if w.k == nil {
		return model.Trace{}, false
	}
	t, err := w.k.follow(f)
	if err != nil {
		w.k, w.phase = nil, live.Lost
		w.rested = time.Time{}
		w.shake.clear()
		w.middle.Clear()
		return t, false
	}
	return t, true
}

// arrivals takes over what a search has found, if one has ended. Where no picture is
// to be left out and there is no hole, it waits for the search.
func (w *watcher) arrivals(f *frame) (model.Trace, bool) {
	if !w.busy {
		return model.Trace{}, false
	}
	var got find
	if w.s.every && w.k == nil {
		select {
		case got = <-w.found:
		case <-w.ctx.Done():
			return model.Trace{}, false
		}
	} else {
		select {
		case got = <-w.found:
		default:
			return model.Trace{}, false
		}
	}
	w.busy = false
	if got.err != nil {
		w.rested = time.Now().Add(searchPause)
		if w.s.every {
			w.rested = time.Time{}
		}
		return model.Trace{}, false
	}
	// The hole has moved on while it was looked for.
	t, err := got.k.follow(f)
	if err != nil {
		return t, false
	}
	got.k.vx, got.k.vy = 0, 0
	w.k, w.checked = got.k, time.Now()
	return t, true
}
