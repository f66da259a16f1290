package uitest

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"image"
	"slices"
	"sync"
	"time"

	"evenrim/model"
	"evenrim/model/report"
	"evenrim/ui/port"
)

// Reader is a port.PhotoReader. Names it doesn't know are Bracket scenes.
type Reader struct {
	mu       sync.Mutex
	scenes   map[string]Scene
	refusals map[string]*model.Refusal // on Trace
	unopened map[string]error          // on Open
	copyOf   map[string]string
	Hold     chan struct{}            // when set, Trace waits for it or for its context
	HoldOf   map[string]chan struct{} // likewise for the pictures of these names alone
	Opened   int
	Traced   int
	Closed   int
	Helps    []port.Help
}

// NewReader returns a reader that knows no names yet.
func NewReader() *Reader {
	return &Reader{scenes: map[string]Scene{}, refusals: map[string]*model.Refusal{}, unopened: map[string]error{}, copyOf: map[string]string{}}
}

// Know makes a name a scene, Copy the very file of another name; Refuse and Break make it
// fail at tracing or opening.
func (r *Reader) Know(name string, s Scene)              { r.scenes[name] = s }
func (r *Reader) Copy(name, of string)                   { r.copyOf[name] = of }
func (r *Reader) Refuse(name string, why *model.Refusal) { r.refusals[name] = why }
func (r *Reader) Break(name string, err error)           { r.unopened[name] = err }

type picture struct {
	r      *Reader
	name   string
	file   string // what is in it
	scene  Scene
	closed bool
}

func (p *picture) Info() model.Photo {
	return model.Photo{Name: p.name, SHA256: fmt.Sprintf("%x", sha256.Sum256([]byte(p.file))), WidthPx: p.scene.W, HeightPx: p.scene.H, Orientation: 1}
}
func (p *picture) RGBA() *image.RGBA { return p.scene.Photo() }
func (p *picture) Close() {
	p.r.mu.Lock()
	defer p.r.mu.Unlock()
	if !p.closed {
		p.closed = true
		p.r.Closed++
	}
}

// Open implements port.PhotoReader.
func (r *Reader) Open(ctx context.Context, s port.Source) (port.Picture, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if err := r.unopened[s.Name]; err != nil {
		return nil, err
	}
	r.Opened++
	file := s.Name
	if of := r.copyOf[s.Name]; of != "" {
		file = of
	}
	scene, ok := r.scenes[s.Name] // a copy of its own scene shows another hole of the picture
	if !ok {
		scene, ok = r.scenes[file]
	}
	if !ok {
		scene = Bracket()
	}
	return &picture{r: r, name: s.Name, file: file, scene: scene}, nil
}

// Trace implements port.PhotoReader.
func (r *Reader) Trace(ctx context.Context, p port.Picture, card model.JobCard, progress func(float64, string)) (model.Trace, error) {
	return r.TraceNear(ctx, p, card, port.Help{}, progress)
}

// TraceNear implements port.Helper.
func (r *Reader) TraceNear(ctx context.Context, p port.Picture, card model.JobCard, help port.Help, progress func(float64, string)) (model.Trace, error) {
	pic := p.(*picture)
	progress(0.3, "looking for the hole")
	for _, hold := range []chan struct{}{r.Hold, r.HoldOf[pic.name]} {
		if hold == nil {
			continue
		}
		select {
		case <-hold:
		case <-ctx.Done():
			return model.Trace{}, ctx.Err()
		}
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return model.Trace{}, err
	}
	r.Traced++
	if why := r.refusals[pic.name]; why != nil && help.Hole == nil && help.Candidate == 0 {
		return model.Trace{}, why
	}
	progress(0.9, "tracing the rims")
	t := pic.scene.Trace()
	if help.Hole != nil || help.Candidate != 0 || len(help.LeaveOut) > 0 {
		r.Helps = append(r.Helps, help)
		t.HelpedBy = "the hole was pointed out"
	}
	return t, nil
}

// Record is a port.Keeper in memory.
type Record struct {
	mu   sync.Mutex
	rows []model.Reading
	srcs []port.Source
	Full error         // when set, Keep and KeepSet fail with it
	Hold chan struct{} // when set, Keep waits for it
	// SetsFull, when set, is what KeepSet alone fails with.
	SetsFull error
	// Corrections are the reasons given, by the name of the reading replaced.
	Corrections map[string]string
	inPlace     map[string]string // the name of the reading that was replaced, by the new one's
	sets        []keptSet
}

type keptSet struct {
	joined  model.Joined
	members []string
}

// Recall implements port.Recaller.
func (r *Record) Recall(ctx context.Context, sha string) (*model.JobCard, port.Kept, error) {
	last, err := r.Last(ctx, 1000)
	if err != nil {
		return nil, port.Kept{}, err
	}
	for _, k := range last {
		if old, _, err := r.Reopen(ctx, k.ID); err == nil && old.Photo.SHA256 == sha {
			return &old.Job, k, nil
		}
	}
	return nil, port.Kept{}, nil
}

// Describe implements port.Describer.
func (r *Record) Describe(_ context.Context, id string) (report.Labels, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	l := report.Labels{Record: id, Part: "part of " + id}
	if r.Corrections[id] != "" {
		l.Outdated = "Another reading corrects reading " + id + " and counts instead."
	}
	return l, nil
}

// KeepSet implements port.SetKeeper.
func (r *Record) KeepSet(_ context.Context, j *model.Joined, members []string) (string, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.Full != nil {
		return "", r.Full
	}
	if r.SetsFull != nil {
		return "", r.SetsFull
	}
	r.sets = append(r.sets, keptSet{*j, slices.Clone(members)})
	return fmt.Sprintf("T%d", len(r.sets)), nil
}

// LastSets implements port.SetKeeper.
func (r *Record) LastSets(_ context.Context, n int) ([]port.Kept, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	var out []port.Kept
	for i := len(r.sets) - 1; i >= 0 && len(out) < n; i-- {
		s := r.sets[i]
		out = append(out, port.Kept{ID: fmt.Sprintf("T%d", i+1), Photo: s.joined.Set.Turns[0].Photo, Photos: s.joined.Set.Pictures(),
			Mismatch: s.joined.Set.Mismatch, U95MM: s.joined.Set.U95MM, Verdict: s.joined.Verdict, MadeAt: s.joined.MadeAt})
	}
	return out, nil
}

// ReopenSet implements port.SetKeeper.
func (r *Record) ReopenSet(_ context.Context, id string) (*model.Joined, []string, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	var i int
	if _, err := fmt.Sscanf(id, "T%d", &i); err != nil || i < 1 || i > len(r.sets) {
		return nil, nil, errors.New("There is no such turn set in the record.")
	}
	s := r.sets[i-1]
	return &s.joined, slices.Clone(s.members), nil
}

// Sets are the readings' names of each turn set that was kept.
func (r *Record) Sets() (out [][]string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, s := range r.sets {
		out = append(out, s.members)
	}
	return out
}

// Correct implements port.Corrector.
func (r *Record) Correct(ctx context.Context, of, why string, reading *model.Reading, photo port.Source) (string, error) {
	r.mu.Lock()
	if r.Corrections[of] != "" {
		r.mu.Unlock()
		return "", errors.New("That reading has been corrected already.")
	}
	r.replace(of, fmt.Sprint(len(r.rows)+1), why)
	r.mu.Unlock()
	return r.Keep(ctx, reading, photo)
}

// replace notes that reading id takes the place of reading of.
func (r *Record) replace(of, id, why string) {
	if r.Corrections == nil {
		r.Corrections, r.inPlace = map[string]string{}, map[string]string{}
	}
	r.Corrections[of], r.inPlace[id] = why, of
}

// Keep implements port.Keeper.
func (r *Record) Keep(_ context.Context, reading *model.Reading, photo port.Source) (string, error) {
	if r.Hold != nil {
		<-r.Hold
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.Full != nil {
		return "", r.Full
	}
	id := fmt.Sprint(len(r.rows) + 1)
	for i, old := range slices.Backward(r.rows) {
		if of := fmt.Sprint(i + 1); reading.SameHole(&old) && r.Corrections[of] == "" {
			r.replace(of, id, "the same photo, read again")
			break
		}
	}
	r.rows, r.srcs = append(r.rows, *reading), append(r.srcs, photo)
	return id, nil
}

// Last implements port.Keeper.
func (r *Record) Last(_ context.Context, n int) ([]port.Kept, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	var out []port.Kept
	for i := len(r.rows) - 1; i >= 0 && len(out) < n; i-- {
		v := r.rows[i]
		of := r.inPlace[fmt.Sprint(i+1)]
		out = append(out, port.Kept{ID: fmt.Sprint(i + 1), Replaces: of, Why: r.Corrections[of], Photo: v.Photo.Name, Mismatch: v.Mismatch, U95MM: v.U95MM,
			Verdict: v.Verdict, MadeAt: time.Date(2026, 3, 1, 9, i, 0, 0, time.UTC)})
	}
	return out, nil
}

// Reopen implements port.Keeper.
func (r *Record) Reopen(_ context.Context, id string) (*model.Reading, port.Source, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	var i int
	if _, err := fmt.Sscan(id, &i); err != nil || i < 1 || i > len(r.rows) {
		return nil, port.Source{}, errors.New("There is no such reading in the record.")
	}
	v := r.rows[i-1]
	return &v, r.srcs[i-1], nil
}

// Count is how many readings were kept.
func (r *Record) Count() int {
	r.mu.Lock()
	defer r.mu.Unlock()
	return len(r.rows)
}
