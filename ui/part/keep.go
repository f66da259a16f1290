package part

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"evenrim/model"
	"evenrim/ui/port"
)

// Keep puts every reading that is not there yet into the record, with the names of
// part and hole where the record takes them, and what new readings of a turn set say
// together with the rest of it. A picture that is twice in a hole is kept once, and so is
// one that stands in two holes by mistake.
func (p *Page) Keep() {
	if p.deps.Keeper == nil {
		return
	}
	if why := p.state.NothingToKeep(); why != "" {
		p.notice.say(why)
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
		for _, ph := range p.state.ForRecord(h) {
			if ph.Kept != "" {
				names[ph.Reading] = ph.Kept
			} else if ph.ToKeep() {
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
			p.crew.Do(func() { p.state.WasKept(j.id, j.r, id) })
		}
		if failed == nil {
			failed = p.keepSets(sets, names)
		}
		inPlace := p.inPlace(n)
		p.crew.Do(func() {
			about := inPlace
			if twice := p.state.NotTwice(); twice != "" {
				about += " " + twice
			}
			switch {
			case failed != nil:
				p.notice.say(failed.Error())
			case n == 1:
				p.notice.say("1 reading is in the record now." + about)
			default:
				p.notice.say(fmt.Sprintf("%d readings are in the record now.", n) + about)
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
		for _, ph := range p.state.ForRecord(h) {
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
