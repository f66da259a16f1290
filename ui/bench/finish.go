package bench

import (
	"context"
	"fmt"
	"time"

	"evenrim/model"
	"evenrim/ui/state"
)

// wantsFinish says that a photo's reading is of rims that are still to be looked for anew,
// by the card as it stands: the one at hand is not for the record.
func (p *Page) wantsFinish(s *state.Photo) bool {
	return p.deps.Keeper != nil && s.Kept == "" && s.CopyOf == "" && !s.FromOld && !s.Source.Sample && p.state.Unfinished(s.ID)
}

// finishing is what is left to do for such a photo: to look for its rims and make the
// reading. It may run off the UI goroutine.
func (p *Page) finishing(s *state.Photo) func(context.Context) (model.Trace, *model.Reading, error) {
	src, card, help, info := s.Source, s.Card.WithDefaults(), s.Help, s.Info
	return func(ctx context.Context) (t model.Trace, r *model.Reading, err error) {
		began := time.Now()
		pic, err := p.deps.Photos.Open(ctx, src)
		if err != nil {
			return t, nil, err
		}
		defer pic.Close()
		t, err = p.trace(ctx, pic, card, help, func(float64, string) {})
		if err == nil && len(help.LeaveOut) > 0 {
			t, err = t.Without(help.LeaveOut)
		}
		if err != nil {
			return t, nil, err
		}
		r, err = p.makeReading(state.SayingHelp(t), card, info, time.Since(began))
		return t, r, err
	}
}

// finishAndKeep keeps what a photo that leaves the bench reads by its card, where that
// isn't known yet.
func (p *Page) finishAndKeep(s *state.Photo) {
	if p.closed || !p.wantsFinish(s) {
		return
	}
	finish := p.finishing(s)
	id, src := s.ID, s.Source
	of, why := s.Replaces()
	old := s.Keeping() // known until then
	p.crew.Go(func() {
		t, r, refused := finish(context.Background())
		var name string
		var err error
		if refused == nil {
			name, err = p.keep(r, src, of, why)
		}
		p.land(func() {
			switch {
			case refused != nil: // there is nothing to keep
				p.state.WasKept(id, old, "")
			case err != nil:
				p.state.Finished(id, t, r)
				p.state.WasKept(id, r, "")
				p.sheet.keepProblem = err.Error()
			default:
				p.state.Finished(id, t, r)
				p.state.WasKept(id, r, name)
				p.sheet.keepProblem = ""
				p.kept.reload()
			}
			p.keepTurns()
			p.refresh()
		})
	})
}

// finishPatience is how long a page that closes may look for rims.
const finishPatience = 8 * time.Second

// finishAll brings what is unfinished to its reading while the page closes, and says of
// which photos it couldn't in time. What is refused has nothing to keep.
func (p *Page) finishAll() (late []string) {
	ctx, cancel := context.WithTimeout(context.Background(), finishPatience)
	defer cancel()
	for _, s := range p.state.Photos {
		if !p.wantsFinish(s) {
			continue
		}
		t, r, err := p.finishing(s)(ctx)
		if err == nil {
			p.state.Finished(s.ID, t, r)
		} else if ctx.Err() != nil {
			late = append(late, fmt.Sprintf("The reading of %s is not kept: its job card was changed just now, and the photo isn't read by it yet. Try again.", s.Name))
		}
	}
	return late
}

// notYet says that the reading in view is about to be replaced, and so not to be printed.
func (p *Page) notYet(title string, s *state.Photo) bool {
	if !p.state.Unfinished(s.ID) {
		return false
	}
	p.tell(title, "The photo is being read by the job card as it is now. Wait for its result, then try again.")
	return true
}
