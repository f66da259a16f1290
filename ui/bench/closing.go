package bench

import (
	"context"
	"fmt"
	"slices"

	"evenrim/ui/port"
)

// landing is what came of keeping something, on its way to the UI goroutine.
type landing struct {
	f   func()
	ran bool
}

// land runs f on the UI goroutine, soon: at the latest when the page closes, so that
// what could not be kept is known then.
func (p *Page) land(f func()) {
	l := &landing{f: f}
	p.work.mu.Lock()
	p.work.landing = append(p.work.landing, l)
	p.work.mu.Unlock()
	p.crew.Do(func() { p.landed(l) })
}

func (p *Page) landed(l *landing) {
	p.work.mu.Lock()
	p.work.landing = slices.DeleteFunc(p.work.landing, func(o *landing) bool { return o == l })
	p.work.mu.Unlock()
	if !l.ran {
		l.ran = true
		l.f()
	}
}

// landAll lands what is on its way; no work runs any more.
func (p *Page) landAll() {
	p.work.mu.Lock()
	all := slices.Clone(p.work.landing)
	p.work.mu.Unlock()
	for _, l := range all {
		p.landed(l)
	}
}

// keepAll keeps what isn't kept yet, readings before the turn sets made of them, and
// notes what cannot be.
func (p *Page) keepAll() {
	p.lost = nil
	for _, s := range p.state.Photos {
		s.Stand()
	}
	for _, s := range p.state.Unkept() {
		if !p.keepable(s) {
			continue
		}
		of, why := s.Replaces()
		name, err := p.keep(s.Reading, s.Source, of, why)
		if err != nil {
			p.lost = append(p.lost, fmt.Sprintf("The reading of %s is not kept: %v", s.Name, err))
			continue
		}
		p.state.WasKept(s.ID, s.Reading, name)
	}
	k, ok := p.deps.Keeper.(port.SetKeeper)
	if !ok {
		return
	}
	sets, members := p.state.UnkeptTurns()
	for i, t := range sets {
		id, err := k.KeepSet(context.Background(), t.ToKeep, members[i])
		if err != nil {
			p.lost = append(p.lost, fmt.Sprintf("A turn set of %d photos is not kept: %v", len(t.Photos), err))
			continue
		}
		t.Kept = id
	}
	if n := p.state.TurnsWaiting(); n > 0 {
		p.lost = append(p.lost, "A turn set is not kept because readings of its are not.")
	}
}

// Lost is what could not be kept while the page closed, in sentences.
func (p *Page) Lost() []string { return p.lost }

// KeepAgain tries once more to keep what could not be kept when the page closed.
func (p *Page) KeepAgain() { p.keepAll() }
