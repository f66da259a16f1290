package part

import (
	"context"
	"fmt"
	"path/filepath"
	"time"

	"evenrim/model"
	"evenrim/ui/part/worksheet"
	"evenrim/ui/port"
)

// work is the reading of photos in the background.
type work struct {
	running int
	shares  map[int]float64 // of photos being read
	cancel  context.CancelFunc
	ctx     context.Context
}

func (w *work) init() { w.shares = map[int]float64{} }

// pump begins to read photos while there are some waiting and cores free.
func (p *Page) pump() {
	w := &p.work
	for _, ph := range p.state.Waiting() {
		if w.running >= p.deps.Workers {
			return
		}
		if w.ctx == nil || w.ctx.Err() != nil {
			w.ctx, w.cancel = context.WithCancel(p.ctx)
		}
		w.running++
		ph.Stage = worksheet.Reading
		w.shares[ph.ID] = 0
		p.read(w.ctx, ph)
	}
}

func (p *Page) read(ctx context.Context, ph *worksheet.Photo) {
	id, src, with, asksX := ph.ID, ph.Source, ph.Card, ph.AsksX
	card := with.WithDefaults()
	card.Flip, card.ShowInch = p.state.Flip, p.state.Card.ShowInch
	p.crew.Go(func() {
		var told time.Time
		r, err := p.readOne(ctx, src, card, asksX, func(share float64, _ string) {
			if time.Since(told) < 80*time.Millisecond {
				return
			}
			told = time.Now()
			p.crew.Do(func() {
				if _, on := p.work.shares[id]; on {
					p.work.shares[id] = share
					p.bar.progress()
				}
			})
		})
		p.crew.Do(func() {
			p.work.running--
			delete(p.work.shares, id)
			if ctx.Err() != nil && err != nil {
				if ph := p.state.Photo(id); ph != nil {
					ph.Stage = worksheet.Stopped
				}
			} else {
				p.state.Finish(id, with, r, err)
			}
			p.refresh()
		})
	})
}

func (p *Page) readOne(ctx context.Context, src port.Source, card model.JobCard, asksX bool, tell func(float64, string)) (*model.Reading, error) {
	start := time.Now()
	pic, err := p.deps.Photos.Open(ctx, src)
	if err != nil {
		return nil, err
	}
	defer pic.Close()
	if card.BoreMM <= 0 {
		return nil, model.Refuse(model.BadInput, "Type the bore's diameter.")
	}
	if asksX {
		if x, known := p.recallX(ctx, pic.Info()); known {
			card.PlusX = x
		}
	}
	t, err := p.deps.Photos.Trace(ctx, pic, card, tell)
	if err != nil {
		return nil, err
	}
	r, err := p.deps.Solve(t, card)
	if err != nil {
		return nil, err
	}
	r.Photo, r.Version, r.MadeAt, r.Seconds = pic.Info(), p.deps.Version, time.Now(), time.Since(start).Seconds()
	return r, nil
}

// recallX is where +X points in a picture that was kept on another day: kept again without
// it, the new reading would take that one's place.
func (p *Page) recallX(ctx context.Context, of model.Photo) (rad float64, known bool) {
	k, ok := p.deps.Keeper.(port.Recaller)
	if !ok {
		return 0, false
	}
	card, before, err := k.Recall(ctx, of.SHA256)
	if err != nil || card == nil || card.PlusX == 0 {
		return 0, false // what is wrong with the record is said when it is to keep
	}
	p.crew.Do(func() {
		p.notice.say(fmt.Sprintf("Photo %s was read before, as no. %s: its +X was taken over from there.", filepath.Base(of.Name), before.ID))
	})
	return card.PlusX, true
}

// Cancel stops reading; what is read stays.
func (p *Page) Cancel() {
	if p.work.cancel != nil {
		p.work.cancel()
	}
	for _, ph := range p.state.Waiting() {
		ph.Stage = worksheet.Stopped
	}
	p.refresh()
}

// Again looks again at what was stopped.
func (p *Page) Again() {
	for _, ph := range p.state.Photos() {
		if ph.Stage == worksheet.Stopped {
			ph.Stage = worksheet.Waiting
		}
	}
	p.refresh()
}

// share is how far all of the reading has come.
func (p *Page) share() float64 {
	done, all := p.state.Progress()
	sum := float64(done)
	for _, s := range p.work.shares {
		sum += s
	}
	return sum / float64(max(all, 1))
}
