package part

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
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
	id, src, card, asksX := ph.ID, ph.Source, ph.Card.WithDefaults(), ph.AsksX
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
				p.state.Finish(id, r, err)
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

// Keep puts every reading that is not there yet into the record, with the names of
// part and hole where the record takes them, and what new readings of a turn set say
// together with the rest of it.
func (p *Page) Keep() {
	if p.deps.Keeper == nil {
		return
	}
	type job struct {
		id     int
		r      *model.Reading
		src    port.Source
		labels port.PartLabels
	}
	var jobs []job
	names := map[*model.Reading]string{} // in the record
	for _, h := range p.state.Holes {
		for _, ph := range h.Photos {
			if ph.Reading != nil && ph.Kept != "" {
				names[ph.Reading] = ph.Kept
			}
			if ph.Reading != nil && ph.Kept == "" {
				l := port.PartLabels{Part: p.state.Name, Hole: h.Name, TurnRad: ph.Turn}
				if h.Placed {
					at := h.At
					l.HoleAt = &at
				}
				jobs = append(jobs, job{ph.ID, ph.Reading, ph.Source, l})
			}
		}
	}
	sets := p.newSets()
	p.crew.Go(func() {
		n := 0
		var failed error
		for _, j := range jobs {
			var id string
			var err error
			if k, ok := p.deps.Keeper.(port.PartKeeper); ok {
				id, err = k.KeepOfPart(context.WithoutCancel(p.ctx), j.r, j.src, j.labels)
			} else {
				id, err = p.deps.Keeper.Keep(context.WithoutCancel(p.ctx), j.r, j.src)
			}
			if err != nil {
				failed = err
				break
			}
			n++
			names[j.r] = id
			p.crew.Do(func() {
				if ph := p.state.Photo(j.id); ph != nil && ph.Reading == j.r {
					ph.Kept = id
				}
			})
		}
		if failed == nil {
			failed = p.keepSets(sets, names)
		}
		inPlace := p.inPlace(n)
		p.crew.Do(func() {
			switch {
			case failed != nil:
				p.notice.say(failed.Error())
			case n == 1:
				p.notice.say("1 reading is in the record now." + inPlace)
			default:
				p.notice.say(fmt.Sprintf("%d readings are in the record now.", n) + inPlace)
			}
			p.refresh()
		})
	})
}

// inPlace says which of the n readings kept last took the place of older ones, of photos
// that were in the record already.
func (p *Page) inPlace(n int) string {
	if n == 0 {
		return ""
	}
	last, err := p.deps.Keeper.Last(context.WithoutCancel(p.ctx), n)
	if err != nil {
		return "" // what was kept is kept; the list of them says what is wrong
	}
	var words []string
	for _, k := range last {
		if k.Replaces != "" {
			words = append(words, fmt.Sprintf("no. %s took the place of no. %s", k.ID, k.Replaces))
		}
	}
	if len(words) == 0 {
		return ""
	}
	slices.Reverse(words) // in the order of keeping
	const most = 3
	if more := len(words) - most; more > 0 {
		words = append(words[:most:most], fmt.Sprintf("and %d more likewise", more))
	}
	return " Photos that were in the record already: " + strings.Join(words, ", ") + ". The old readings stay there as corrected."
}

// newSets joins the photos of each hole of which some have a reading that isn't kept yet.
func (p *Page) newSets() (sets []model.HoleReading) {
	for _, h := range p.state.Holes {
		var readings []*model.Reading
		var turns []float64
		isNew := false
		for _, ph := range h.Photos {
			if ph.Reading == nil {
				continue
			}
			turn := math.NaN()
			if ph.Turn != nil {
				turn = *ph.Turn
			}
			readings, turns, isNew = append(readings, ph.Reading), append(turns, turn), isNew || ph.Kept == ""
		}
		if !isNew || len(readings) < 2 {
			continue
		}
		if set, err := model.JoinHole(h.Name, nil, readings, turns); err == nil { // else the page says why
			sets = append(sets, set)
		}
	}
	return sets
}

// keepSets keeps what the photos of each hole say together, where all of them are in
// the record under names.
func (p *Page) keepSets(holes []model.HoleReading, names map[*model.Reading]string) error {
	k, ok := p.deps.Keeper.(port.SetKeeper)
	if !ok {
		return nil
	}
	for _, h := range holes {
		members := make([]string, len(h.Readings))
		for i, r := range h.Readings {
			members[i] = names[r]
		}
		if slices.Contains(members, "") {
			continue
		}
		if _, err := k.KeepSet(context.WithoutCancel(p.ctx), h.Joined(p.deps.Version, time.Now()), members); err != nil {
			return err
		}
	}
	return nil
}
