// Package worksheet is a part as it stands on the Part page: its holes with their
// photos, its walls with their indicator readings, what was worked out of them,
// and every word that the page says. It knows no toolkit.
package worksheet

import (
	"fmt"
	"math"
	"slices"

	"evenrim/model"
	"evenrim/model/chart"
	"evenrim/ui/port"
	"evenrim/ui/state"
)

// Stage is how far a photo has come.
type Stage int

const (
	Waiting Stage = iota
	Reading
	Done
	NoReading
	Stopped
)

// Photo is one photo of a hole.
type Photo struct {
	ID      int
	Source  port.Source
	Card    model.JobCard
	Turn    *float64 // rad, as a list states it
	Stage   Stage
	Problem string // why there is no reading
	Reading *model.Reading
	Kept    string // in the record; "" = not kept

	// AsksX says that nobody has said yet where +X points in it: a photo added by hand.
	AsksX bool

	readWith model.JobCard // the card as it was when the photo was last looked at
}

// Name is what the photo is called.
func (p *Photo) Name() string {
	if p.Source.Name != "" {
		return p.Source.Name
	}
	return base(p.Source.Path)
}

// Hole is one hole of the part.
type Hole struct {
	Name   string
	At     model.Vec // mm, from part zero
	Placed bool      // At is known
	Photos []*Photo
}

// Wall is one wall with its readings.
type Wall struct {
	model.WallRow
	// GapMM is how far apart the readings were taken, counter-clockwise round the part; it
	// stays while the readings are retyped. 0 = all at one place.
	GapMM float64
}

// wallOf takes a wall off a list, where readings have places instead of a gap.
func wallOf(r model.WallRow) *Wall {
	w := &Wall{WallRow: r}
	if a := r.Wall.AlongMM; len(a) > 1 {
		w.GapMM = a[1] - a[0]
	}
	return w
}

// layOut gives the readings their places along the wall.
func (w *Wall) layOut() {
	n := len(w.Wall.StepMM)
	w.Wall.AlongMM = nil
	if w.GapMM == 0 {
		return
	}
	for i := range n {
		w.Wall.AlongMM = append(w.Wall.AlongMM, w.GapMM*(float64(i)-float64(n-1)/2))
	}
}

// Kind is what a row of the page is about.
type Kind int

const (
	Nothing Kind = iota
	AHole
	AWall
)

// Sheet is the part being worked on. It is changed and read on one goroutine.
type Sheet struct {
	Name    string
	Units   state.Units
	Flip    model.FlipAxis
	RawEdge bool          // a raw face was picked up as reference
	Card    model.JobCard // sizes that new photos begin with
	Size    model.Vec     // of the part, mm; 0 = not known
	Holes   []*Hole
	Walls   []*Wall
	// Chosen is the row that is open for editing.
	Chosen struct {
		Kind Kind
		At   int
	}
	Sample bool // ships with the program: not the user's own

	// Report is what was worked out; nil with Problem, or while nothing is read.
	Report  *model.PartReport
	Problem string
	Notes   []string // about the lists that were opened

	solve  port.Solver
	lists  map[string][]model.ListRow // by part, of the last list
	parts  []string
	walls  []model.WallRow // of the last list of walls
	lastID int
	saved  string // the part as it was when it was last opened or saved
	slips  []slip // fields typed wrong, the first one first
}

// New returns an empty sheet; card holds the sizes to begin with.
func New(card model.JobCard, solve port.Solver) *Sheet {
	card.PlusX = 0
	s := &Sheet{solve: solve, Card: card, Units: chart.UnitOf(card.ShowInch), Flip: card.Flip}
	return s
}

// Empty says that there is nothing on the sheet.
func (s *Sheet) Empty() bool { return len(s.Holes) == 0 && len(s.Walls) == 0 }

// AddHole adds a hole and chooses it.
func (s *Sheet) AddHole() *Hole {
	h := &Hole{Name: s.freeName()}
	s.Holes = append(s.Holes, h)
	s.Choose(AHole, len(s.Holes)-1)
	return h
}

// freeName is the first letter that no hole has.
func (s *Sheet) freeName() string {
	taken := map[string]bool{}
	for _, h := range s.Holes {
		taken[h.Name] = true
	}
	for c := 'A'; c <= 'Z'; c++ {
		if !taken[string(c)] {
			return string(c)
		}
	}
	return fmt.Sprintf("H%d", len(s.Holes)+1)
}

// AddPhoto gives a hole a photo with the part's sizes.
func (s *Sheet) AddPhoto(h *Hole, src port.Source) *Photo {
	card := s.Card
	if len(h.Photos) > 0 {
		card = h.Photos[len(h.Photos)-1].Card // of the same hole, camera as it was
	}
	p := s.addPhoto(h, src, card)
	p.AsksX = true
	return p
}

func (s *Sheet) addPhoto(h *Hole, src port.Source, card model.JobCard) *Photo {
	s.lastID++
	p := &Photo{ID: s.lastID, Source: src, Card: card}
	h.Photos = append(h.Photos, p)
	return p
}

// AddReading gives a hole a reading from the record, as it was kept.
func (s *Sheet) AddReading(h *Hole, r *model.Reading, src port.Source, id string) {
	p := s.addPhoto(h, src, r.Job)
	p.Reading, p.Stage, p.Kept = r, Done, id
}

// AddWall adds a wall on the next free side of what is there, and chooses it.
func (s *Sheet) AddWall() *Wall {
	lo, hi := s.reach()
	mid := lo.Add(hi).Scale(0.5)
	k := len(s.Walls) % 4
	side := []struct {
		name string
		at   model.Vec
	}{{"right", model.Vec{X: hi.X, Y: mid.Y}}, {"back", model.Vec{X: mid.X, Y: hi.Y}}, {"left", model.Vec{X: lo.X, Y: mid.Y}}, {"front", model.Vec{X: mid.X, Y: lo.Y}}}[k]
	division := 0.0127
	if len(s.Walls) > 0 {
		division = s.Walls[len(s.Walls)-1].Wall.ResolutionMM
	}
	w := wallOf(model.WallRow{Wall: model.Wall{Name: side.name, At: side.at, NormalRad: float64(k) * math.Pi / 2, ResolutionMM: division}})
	s.Walls = append(s.Walls, w)
	s.Choose(AWall, len(s.Walls)-1)
	return w
}

// reach is the box round all that has a place, mm.
func (s *Sheet) reach() (lo, hi model.Vec) {
	if s.Size.X > 0 && s.Size.Y > 0 {
		lo, hi = s.Size.Scale(-0.5), s.Size.Scale(0.5)
	}
	for _, h := range s.Holes {
		r := 1.5 * s.Card.BoreMM
		lo = model.Vec{X: math.Min(lo.X, h.At.X-r), Y: math.Min(lo.Y, h.At.Y-r)}
		hi = model.Vec{X: math.Max(hi.X, h.At.X+r), Y: math.Max(hi.Y, h.At.Y+r)}
	}
	for _, w := range s.Walls {
		lo = model.Vec{X: math.Min(lo.X, w.Wall.At.X), Y: math.Min(lo.Y, w.Wall.At.Y)}
		hi = model.Vec{X: math.Max(hi.X, w.Wall.At.X), Y: math.Max(hi.Y, w.Wall.At.Y)}
	}
	return lo, hi
}

// Choose opens a row for editing; the one that is open closes.
func (s *Sheet) Choose(k Kind, at int) {
	if s.Chosen.Kind == k && s.Chosen.At == at {
		s.Chosen.Kind = Nothing
		return
	}
	s.Chosen.Kind, s.Chosen.At = k, at
}

// Remove takes the chosen row off the part.
func (s *Sheet) Remove() {
	at := s.Chosen.At
	switch s.Chosen.Kind {
	case AHole:
		s.Holes = append(s.Holes[:at:at], s.Holes[at+1:]...)
	case AWall:
		s.Walls = append(s.Walls[:at:at], s.Walls[at+1:]...)
	}
	s.Chosen.Kind = Nothing
	s.WorkOut()
}

// RemovePhoto takes one photo off its hole, which stays.
func (s *Sheet) RemovePhoto(id int) {
	for _, h := range s.Holes {
		h.Photos = slices.DeleteFunc(slices.Clone(h.Photos), func(p *Photo) bool { return p.ID == id })
	}
	s.WorkOut()
}

// Hole is the chosen hole, nil when it is none.
func (s *Sheet) Hole() *Hole {
	if s.Chosen.Kind != AHole || s.Chosen.At >= len(s.Holes) {
		return nil
	}
	return s.Holes[s.Chosen.At]
}

// Photos are all photos of the part.
func (s *Sheet) Photos() []*Photo {
	var out []*Photo
	for _, h := range s.Holes {
		out = append(out, h.Photos...)
	}
	return out
}

// Photo finds a photo by its ID, nil when it is gone.
func (s *Sheet) Photo(id int) *Photo {
	for _, p := range s.Photos() {
		if p.ID == id {
			return p
		}
	}
	return nil
}

// Waiting are the photos still to be read.
func (s *Sheet) Waiting() []*Photo {
	var out []*Photo
	for _, p := range s.Photos() {
		if p.Stage == Waiting {
			out = append(out, p)
		}
	}
	return out
}

// settle solves anew what was read with another card, and lets photos be looked at again
// where that card may show other rims, or make something of a refusal.
func (s *Sheet) settle() {
	for _, p := range s.Photos() {
		if p.Kept != "" {
			continue
		}
		if p.wantsAnotherLook() {
			p.Stage, p.Problem = Waiting, ""
		}
		if p.Reading == nil {
			continue
		}
		card := p.Card.WithDefaults()
		if card.Flip, card.ShowInch = p.Reading.Job.Flip, p.Reading.Job.ShowInch; card == p.Reading.Job {
			continue
		}
		r, err := s.solve(p.Reading.Trace, card)
		if err != nil {
			// A number that belongs to another card is worse than none.
			p.Reading = nil
			if p.Stage == Done {
				p.Stage, p.Problem, p.readWith = NoReading, model.AsRefusal(err).Sentence, p.Card
			}
			continue
		}
		r.Photo, r.Version, r.MadeAt, r.Seconds = p.Reading.Photo, p.Reading.Version, p.Reading.MadeAt, p.Reading.Seconds
		p.Reading = r
	}
}

// wantsAnotherLook says that the photo was looked at with another card than it has now,
// and that this matters.
func (p *Photo) wantsAnotherLook() bool {
	switch p.Stage {
	case Done:
		return state.RimsMayDiffer(p.readWith, p.Card)
	case NoReading:
		return p.Card.BoreMM > 0 && state.CardDiffers(p.readWith, p.Card)
	}
	return false
}

// Finish writes down what came of reading a photo with a card. Where the card has changed
// meanwhile the photo is read again.
func (s *Sheet) Finish(id int, with model.JobCard, r *model.Reading, err error) {
	p := s.Photo(id)
	if p == nil {
		return // taken off meanwhile
	}
	p.readWith, p.Kept = with, "" // what was kept was the reading before
	if err == nil {
		p.Reading, p.Stage, p.Problem = r, Done, ""
		if p.AsksX {
			p.Card.PlusX, p.AsksX = r.Job.PlusX, false
		}
	} else {
		p.Reading, p.Stage, p.Problem = nil, NoReading, model.AsRefusal(err).Sentence
		if p.Card.BoreMM <= 0 {
			p.Problem = "Type the bore's diameter, under The part."
		}
	}
	s.WorkOut()
}

// WorkOut joins, fits and judges what is read so far.
func (s *Sheet) WorkOut() {
	s.Report, s.Problem = nil, ""
	s.settle()
	if slip := s.Slip(); slip != "" {
		s.Problem = slip
		return
	}
	job := s.Card
	job.Flip, job.ShowInch = s.Flip, s.Units == state.Inch
	w := model.PartWork{Name: s.Name, Job: job, RawEdge: s.RawEdge, NotRead: map[string]string{}, Machine: model.Machine{Inch: job.ShowInch}}
	for i, h := range s.Holes {
		for _, p := range h.Photos {
			if p.Reading == nil {
				if p.Stage == NoReading {
					w.NotRead[p.Name()] = p.Problem
				}
				continue
			}
			r := *p.Reading // as it was read, but for how the part lies
			r.Job.Flip, r.Job.ShowInch = s.Flip, job.ShowInch
			q := model.HolePhoto{Hole: s.holeName(i), TurnRad: p.Turn, Reading: &r}
			if h.Placed {
				at := h.At
				q.At = &at
			}
			w.Photos = append(w.Photos, q)
		}
	}
	for _, v := range s.Walls {
		if len(v.Wall.StepMM) > 0 {
			w.Walls = append(w.Walls, v.WallRow)
		}
	}
	if len(w.Photos) == 0 && len(w.Walls) == 0 {
		return
	}
	r, err := model.WorkOutPart(w)
	if err != nil {
		s.Problem = model.AsRefusal(err).Sentence
		return
	}
	s.Report = &r
}

// Outline is the part's outline: the rectangle of its size with part zero in the
// middle, else the hull of what is known of it; nil for nothing.
func (s *Sheet) Outline() []model.Vec {
	if s.Size.X > 0 && s.Size.Y > 0 {
		return chart.Box(model.Vec{}, s.Size.X, s.Size.Y)
	}
	var at, points []model.Vec
	var radii []float64
	for _, h := range s.Holes {
		if h.Placed {
			bore := s.Card.BoreMM
			if len(h.Photos) > 0 && h.Photos[0].Card.BoreMM > 0 {
				bore = h.Photos[0].Card.BoreMM
			}
			at, radii = append(at, h.At), append(radii, 1.3*bore)
		}
	}
	if len(s.Walls) >= 3 { // walls stand on the outline
		lo, hi := s.reach()
		return chart.Box(lo.Add(hi).Scale(0.5), hi.X-lo.X, hi.Y-lo.Y)
	}
	for _, w := range s.Walls {
		points = append(points, w.Wall.At)
	}
	if len(at) < 2 {
		return nil
	}
	return chart.Hull(at, radii, points)
}
