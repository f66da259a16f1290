package live

import (
	"math"
	"time"

	"evenrim/model/live"
)

// shaking measures how far the hole moves from picture to picture.
type shaking struct {
	x, y, r float64
	seq     int
	recent  []float64
}

// steadyPictures is how many pictures in a row make a steady hand.
const steadyPictures = 5

// add returns the movement of the bore edge since the picture before, px: its
// centre's and its radius's. +Inf for the first picture.
func (s *shaking) add(f *frame, k *tracker) float64 {
	b := k.at.curve[bore]
	moved := math.Inf(1)
	if s.seq != 0 && f.seq > s.seq {
		moved = math.Hypot(math.Hypot(b.x-s.x, b.y-s.y), b.r-s.r) / float64(f.seq-s.seq)
	}
	s.x, s.y, s.r, s.seq = b.x, b.y, b.r, f.seq
	s.recent = append(s.recent, moved)
	s.recent = s.recent[max(0, len(s.recent)-steadyPictures):]
	return moved
}

func (s *shaking) clear() { *s = shaking{} }

func (s *shaking) steady() bool {
	if len(s.recent) < steadyPictures {
		return false
	}
	for _, m := range s.recent {
		if m > live.SteadyPx {
			return false
		}
	}
	return true
}

// rate counts pictures a second over the last second.
type rate struct{ times []time.Time }

func (r *rate) add(now time.Time) float64 {
	r.times = append(r.times, now)
	n := 0
	for now.Sub(r.times[n]) > time.Second {
		n++
	}
	r.times = r.times[n:]
	if span := now.Sub(r.times[0]).Seconds(); span > 0 {
		return float64(len(r.times)-1) / span
	}
	return 0
}

const (
	// slots of the last second, each with its steadiest picture: memory stays at a
	// handful of pictures however many come.
	slots = 5
	slot  = time.Second / slots
	// untracked is the score of a picture without a followed hole.
	untracked = 1e6
)

// best is a picture worth keeping, less is better.
type best struct {
	f            *frame
	shake, score float64
}

// bests holds the steadiest picture of each fifth of the last second.
type bests struct{ in [slots + 1]best }

// add notes a picture: how far the hole moved, which the exposure smears a part
// of, and how blurred its edges are.
func (b *bests) add(f *frame, shake, blur float64) {
	score := shake + 0.5*blur
	if math.IsInf(score, 1) {
		score, shake = untracked, 0
	}
	at := int(f.at/slot) % len(b.in)
	if old := &b.in[at]; old.f == nil || f.at/slot != old.f.at/slot || score <= old.score {
		*old = best{f, shake, score}
	}
	for i := range b.in {
		if o := &b.in[i]; o.f != nil && f.at-o.f.at > time.Second+slot {
			*o = best{}
		}
	}
}

// steadiest returns the best picture of the last second, nil when there is none.
func (b *bests) steadiest(now time.Duration) *best {
	var out *best
	for i := range b.in {
		o := &b.in[i]
		if o.f == nil || now-o.f.at > time.Second || o.score >= untracked {
			continue
		}
		if out == nil || o.score < out.score {
			out = o
		}
	}
	return out
}

func (b *bests) moment(now time.Duration) *live.Moment {
	o := b.steadiest(now)
	if o == nil {
		return nil
	}
	return &live.Moment{Ago: now - o.f.at, ShakePx: o.shake}
}
