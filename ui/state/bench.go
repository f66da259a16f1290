package state

import (
	"fmt"
	"image"
	"path/filepath"
	"slices"
	"time"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/ui/port"
)

// Stage is how far a photo on the bench has come.
type Stage int

const (
	Waiting   Stage = iota // for its turn
	Working                // being opened or traced
	NeedsCard              // traced, but the job card lacks a bore or is wrong
	Done                   // Reading is set
	Refused                // Problem is set
	Cancelled              // by the user
)

// Photo is one photo on the bench with all that is known of it.
type Photo struct {
	ID     int
	Source port.Source
	Name   string
	Card   model.JobCard // its own: PlusX differs from photo to photo

	Stage    Stage
	Doing    string  // what is going on, for a person
	Progress float64 // 0..1
	Problem  string  // what is wrong and what to do
	Reason   model.Reason
	Spots    []model.Circle // places that look alike, when Reason is Ambiguous

	Info  model.Photo
	Thumb *image.RGBA // small, for the tray
	Trace *model.Trace
	// TracedIn is what opening the photo and tracing its rims took.
	TracedIn time.Duration
	Reading  *model.Reading
	Kept     string // the record's name for Reading; "" = not kept yet
	Recalled string // that the picture was read on another day, and what of it counts here; "" = it wasn't
	CopyOf   string // the photo of its turn set that is the same picture, and is kept instead; "" = none
	Outdated string // which reading counts instead of this reopened one; "" = it counts itself
	FromOld  bool   // reopened from the record: shown as it was

	Help port.Help // what a person set by hand
	// Edges are the straight edges of the part that were seen, once EdgesKnown.
	Edges      []port.StraightEdge
	EdgesKnown bool

	follows    bool           // the card being typed is this photo's too, until a reading is kept
	keeping    *model.Reading // on its way into the record; nil = none
	keptBefore string         // the record's name of the photo's last kept reading
	keptCard   model.JobCard  // the card it was made with
	outrun     bool           // another photo's reading of the same hole has taken Kept's place in the record
	whole      *model.Trace   // the rims before anything was brushed out; nil = Trace
	tracedWith model.JobCard
	run        int // of tracing: an older run's results are dropped
	solve      int // likewise for solving
	answered   int // the solve that Reading came from; 0 = reopened
}

// Bench is the state of the Bench page.
type Bench struct {
	Photos   []*Photo
	Form     CardForm
	Units    Units
	selected int // ID; 0 = none
	nextID   int

	Turns *Turns   // the turn set under way; nil = none
	ended []*Turns // laid away, still to be kept
	off   []*Photo // taken off the bench, still to be kept
	// Version of the program, for what is joined here.
	Version string

	undo, redo []step
	lastKey    string // of the run of changes under way
}

// NewBench returns an empty bench with the given job card on it.
func NewBench(card model.JobCard) *Bench {
	b := &Bench{Units: chart.UnitOf(card.ShowInch)}
	b.Form = FormOf(card)
	return b
}

// Selected returns the photo that is shown, or nil.
func (b *Bench) Selected() *Photo { return b.Photo(b.selected) }

// Photo returns the photo with an ID, or nil.
func (b *Bench) Photo(id int) *Photo {
	for _, p := range b.Photos {
		if p.ID == id {
			return p
		}
	}
	return nil
}

// Add lays photos on the bench under the job card as it reads now and shows the
// first of them. A photo that lies there already is shown again, not added.
func (b *Bench) Add(sources ...port.Source) []*Photo {
	card, _ := b.Form.Card()
	var added []*Photo
	show := 0
	for _, src := range sources {
		if src.Name == "" {
			src.Name = filepath.Base(src.Path)
		}
		p := b.bySource(src)
		if p == nil {
			b.nextID++
			p = &Photo{ID: b.nextID, Source: src, Name: src.Name, Card: card, Doing: "waiting"}
			b.Photos = append(b.Photos, p)
			added = append(added, p)
			b.joinTurn(p)
		}
		if show == 0 {
			show = p.ID
		}
	}
	if show != 0 {
		b.Select(show)
	}
	return added
}

func (b *Bench) bySource(src port.Source) *Photo {
	for _, p := range b.Photos {
		if p.Source.Path == src.Path && p.Source.Name == src.Name && !p.FromOld {
			return p
		}
	}
	return nil
}

// Reopen lays a kept reading on the bench as it was and shows it.
func (b *Bench) Reopen(r *model.Reading, kept string, photo port.Source) *Photo {
	for _, p := range b.Photos {
		if p.FromOld && p.Kept == kept {
			b.Select(p.ID)
			return p
		}
	}
	b.nextID++
	p := &Photo{
		ID: b.nextID, Source: photo, Name: r.Photo.Name, Card: r.Job, Stage: Done,
		Info: r.Photo, Trace: &r.Trace, Reading: r, Kept: kept, FromOld: true, tracedWith: r.Job,
		keptBefore: kept, keptCard: r.Job,
	}
	b.Photos = append(b.Photos, p)
	b.Select(p.ID)
	return p
}

// Select shows a photo; the form then reads its card. A card still being typed goes on
// for a photo that has none, all but +X, which is each photo's own.
func (b *Bench) Select(id int) {
	p := b.Photo(id)
	if p == nil || id == b.selected {
		return
	}
	b.selected = id
	b.Pause()
	if p.Card.BoreMM > 0 || b.Form.Clean() {
		b.Form = FormOf(p.Card)
		b.Form.Units = b.Units
		return
	}
	b.Form.SetPlusX(p.Card.PlusX)
}

// Step shows the next (1) or previous (-1) photo of the tray, round the end.
func (b *Bench) Step(by int) {
	for i, p := range b.Photos {
		if p.ID == b.selected {
			n := len(b.Photos)
			b.Select(b.Photos[((i+by)%n+n)%n].ID)
			return
		}
	}
}

// Remove takes a photo off the bench (its readings stay kept, or to be kept) and out of its
// turn set, and shows its neighbour.
func (b *Bench) Remove(id int) {
	for i, p := range b.Photos {
		if p.ID != id {
			continue
		}
		b.Photos = append(b.Photos[:i], b.Photos[i+1:]...)
		b.off = append(b.off, p)
		b.leaveTurns(id)
		b.forget()
		if b.selected == id {
			b.selected = 0
			if len(b.Photos) > 0 {
				b.Select(b.Photos[min(i, len(b.Photos)-1)].ID)
			}
		}
		return
	}
}

// Begin starts a run of tracing and returns its number for the calls below.
func (b *Bench) Begin(id int) (run int) {
	p := b.Photo(id)
	p.run++
	p.Stage, p.Doing, p.Progress, p.Problem, p.Reason, p.Spots = Working, "opening", 0, "", "", nil
	return p.run
}

// current returns the photo if the run is still the one that counts.
func (b *Bench) current(id, run int) *Photo {
	if p := b.Photo(id); p != nil && p.run == run && p.Stage == Working {
		return p
	}
	return nil
}

// Opened notes what is known once the picture is decoded.
func (b *Bench) Opened(id, run int, info model.Photo, thumb *image.RGBA) bool {
	p := b.current(id, run)
	if p == nil {
		return false
	}
	p.Info, p.Thumb, p.Doing = info, thumb, "looking for the hole"
	return true
}

// Recall takes over what belongs to a picture from the reading that was kept of it on
// another day: +X, unless somebody has turned it here, and the job card where none has
// been typed. It reports whether the form reads differently now.
func (b *Bench) Recall(id int, card model.JobCard, kept port.Kept) (changed bool) {
	p := b.Photo(id)
	if p == nil || p.keptBefore != "" {
		return false // it was read here just now
	}
	p.Recalled = fmt.Sprintf("This photo was read before: no. %s, %s.", kept.ID, kept.MadeAt.Local().Format("2 Jan 2006 15:04"))
	shown := p.ID == b.selected
	switch inTurn := b.Turns != nil && slices.Contains(b.Turns.Photos, id); {
	case p.Card.BoreMM <= 0 && !inTurn && (!shown || b.Form.Clean()):
		card.ShowInch = b.Units == Inch
		what := " Its job card and +X were taken over from there."
		if p.Card.PlusX != 0 {
			card.PlusX = p.Card.PlusX
			what = " Its job card was taken over from there."
		}
		p.Card = card
		p.Recalled += what
		if shown {
			b.Form = FormOf(card)
			b.Form.Units = b.Units
		}
	case p.Card.PlusX == 0 && card.PlusX != 0 && !inTurn:
		p.Card.PlusX = card.PlusX
		p.Recalled += " Its +X was taken over from there."
		if shown {
			b.Form.SetPlusX(card.PlusX)
		}
	default:
		return false
	}
	return shown
}

// Advance notes progress, 0..1, and a word on what is being done.
func (b *Bench) Advance(id, run int, share float64, doing string) bool {
	p := b.current(id, run)
	if p == nil {
		return false
	}
	p.Progress, p.Doing = share, doing
	return true
}

// Traced takes the rims. The photo then waits for Solve.
func (b *Bench) Traced(id, run int, t model.Trace, with model.JobCard) bool {
	p := b.current(id, run)
	if p == nil {
		return false
	}
	// A reading of the same photo stays in sight until Solve has the new one.
	p.Trace, p.whole, p.tracedWith, p.FromOld = &t, nil, with, false
	p.Stage, p.Progress, p.Doing = NeedsCard, 1, ""
	if len(p.Help.LeaveOut) > 0 {
		p.trim()
	}
	return true
}

// Fail notes why a run gave nothing. A run that was cancelled is no failure.
func (b *Bench) Fail(id, run int, reason model.Reason, sentence string, spots []model.Circle) bool {
	p := b.current(id, run)
	if p == nil {
		return false
	}
	p.Stage, p.Reason, p.Problem, p.Spots, p.Doing = Refused, reason, sentence, spots, ""
	if reason == model.BadInput && p.Card.BoreMM <= 0 {
		p.Stage = NeedsCard // nothing wrong with the photo: the finder wants the card first
	}
	p.Trace, p.whole, p.Reading, p.Kept, p.FromOld = nil, nil, nil, "", false
	return true
}

// Cancel stops waiting for a run.
func (b *Bench) Cancel(id int) bool {
	p := b.Photo(id)
	if p == nil || (p.Stage != Working && p.Stage != Waiting) {
		return false
	}
	p.run++
	p.Stage, p.Doing = Cancelled, ""
	return true
}
