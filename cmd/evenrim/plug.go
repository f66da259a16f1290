package main

import (
	"context"
	"fmt"
	"image"
	"os/user"
	"path/filepath"
	"strconv"
	"sync"

	"evenrim/model"
	"evenrim/model/record"
	"evenrim/ui/port"
	"evenrim/vision"
)

// eye plugs package vision into the window.
type eye struct{}

var _ port.PhotoReader = eye{}

type picture struct {
	photo *vision.Photo
	show  *image.RGBA
}

func (p picture) Info() model.Photo { return p.photo.Info }
func (p picture) RGBA() *image.RGBA { return p.show }
func (p picture) Close()            { p.photo.Close() }

func (eye) Open(ctx context.Context, s port.Source) (port.Picture, error) {
	var photo *vision.Photo
	var err error
	if s.Data != nil {
		photo, err = vision.Decode(ctx, s.Name, s.Data)
	} else {
		photo, err = vision.Open(ctx, s.Path)
	}
	if err != nil {
		return nil, err
	}
	show, err := photo.Display(ctx)
	if err != nil {
		photo.Close()
		return nil, err
	}
	photo.Info.Name = nameOf(s)
	return picture{photo, show}, nil
}

func nameOf(s port.Source) string {
	if s.Name == "" {
		return filepath.Base(s.Path)
	}
	return s.Name
}

func (eye) Trace(ctx context.Context, p port.Picture, card model.JobCard, progress func(float64, string)) (t model.Trace, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = faultRefusal(fault)
		}
	}()
	return vision.Trace(ctx, p.(picture).photo, finderCard(card), progress)
}

// finderCard is the card that the finder goes by. Before the bore is typed a usual
// one stands in for it: the rims can be looked for meanwhile, and are looked for
// again once the card is settled (state.Bench.WantsRetrace).
func finderCard(card model.JobCard) model.JobCard {
	card = card.WithDefaults()
	if card.BoreMM <= 0 {
		card.BoreMM, card.ChamferMM, card.ThicknessMM = usualBoreMM, 0, 0
	}
	return card
}

const usualBoreMM = 10

var _ port.EdgeFinder = eye{}

func (eye) StraightEdges(ctx context.Context, p port.Picture) ([]port.StraightEdge, error) {
	edges, err := vision.StraightEdges(ctx, p.(picture).photo)
	out := make([]port.StraightEdge, len(edges))
	for i, e := range edges {
		out[i] = port.StraightEdge{From: e.From, To: e.To, AngleRad: e.AngleRad}
	}
	return out, err
}

var _ port.Helper = eye{}

func (eye) TraceNear(ctx context.Context, p port.Picture, card model.JobCard, help port.Help, progress func(float64, string)) (t model.Trace, err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = faultRefusal(fault)
		}
	}()
	photo := p.(picture).photo
	if help.Hole == nil {
		t, err = vision.Trace(ctx, photo, finderCard(card), progress)
	} else {
		t, err = vision.TraceNear(ctx, photo, finderCard(card), *help.Hole, progress)
	}
	if err != nil {
		return t, err
	}
	if help.Candidate > 0 {
		t.HelpedBy = "chose among places that look alike"
	}
	return t.Without(help.LeaveOut)
}

// shelf plugs the record into the window. When the record could not be opened,
// each call says why: readings are not dropped in silence.
type shelf struct {
	store *record.Store // nil with err
	err   error

	mu   sync.Mutex
	inch map[record.ID]bool // units of readings already looked at; they never change
}

var _ port.Keeper = (*shelf)(nil)

func newShelf(store *record.Store, err error) *shelf {
	return &shelf{store: store, err: err, inch: map[record.ID]bool{}}
}

func (s *shelf) Keep(ctx context.Context, r *model.Reading, photo port.Source) (string, error) {
	if s.err != nil {
		return "", s.err
	}
	data, err := photoBytes(photo)
	if err != nil {
		return "", err
	}
	id, _, err := s.store.KeepInPlace(ctx, r, data, record.Labels{}, whoAmI())
	return idText(id), err
}

var _ port.Corrector = (*shelf)(nil)

func (s *shelf) Correct(ctx context.Context, of, why string, r *model.Reading, photo port.Source) (string, error) {
	if s.err != nil {
		return "", s.err
	}
	n, err := strconv.ParseInt(of, 10, 64)
	if err != nil {
		return "", fmt.Errorf("%q is no number of a reading.", of)
	}
	data, err := photoBytes(photo)
	if err != nil {
		return "", err
	}
	// What the shop wrote about the old reading holds for the new one.
	_, old, err := s.store.Get(ctx, record.ID(n))
	if err != nil {
		return "", err
	}
	id, err := s.store.Correct(ctx, r, data, old.Labels, record.Correction{Of: record.ID(n), Who: whoAmI(), Why: why})
	return idText(id), err
}

// whoAmI names who works here, for the record's corrections and labels.
func whoAmI() string {
	if u, err := user.Current(); err == nil && u.Username != "" {
		return u.Username
	}
	return "the bench"
}

func photoBytes(photo port.Source) ([]byte, error) {
	if photo.Data != nil {
		return photo.Data, nil
	}
	data, err := vision.ReadFile(photo.Path)
	if err != nil {
		return nil, fmt.Errorf("The reading was not kept, its photo cannot be read again: %w", err)
	}
	return data, nil
}

func (s *shelf) Last(ctx context.Context, n int) ([]port.Kept, error) {
	if s.err != nil {
		return nil, s.err
	}
	entries, err := s.store.Last(ctx, n)
	if err != nil {
		return nil, err
	}
	out := make([]port.Kept, len(entries))
	for i, e := range entries {
		out[i] = s.line(ctx, e)
	}
	return out, nil
}

var _ port.Recaller = (*shelf)(nil)

func (s *shelf) Recall(ctx context.Context, sha string) (*model.JobCard, port.Kept, error) {
	if s.err != nil {
		return nil, port.Kept{}, s.err
	}
	id, err := s.store.OfPhoto(ctx, sha)
	if err != nil || id == 0 {
		return nil, port.Kept{}, err
	}
	r, e, err := s.store.Get(ctx, id)
	if err != nil {
		return nil, port.Kept{}, err
	}
	return &r.Job, s.line(ctx, e), nil
}

// line is an entry as a line of the record.
func (s *shelf) line(ctx context.Context, e record.Entry) port.Kept {
	k := port.Kept{ID: idText(e.ID), Photo: e.PhotoName, Part: e.Part, Mismatch: e.Mismatch, U95MM: e.U95MM,
		Verdict: e.Verdict, ShowInch: s.showsInch(ctx, e.ID), MadeAt: e.MadeAt, Corrected: e.ReplacedBy != 0, Why: e.Why}
	if e.Replaces != 0 {
		k.Replaces = idText(e.Replaces)
	}
	return k
}

// showsInch looks the units up in the reading itself; millimetres when it can't.
func (s *shelf) showsInch(ctx context.Context, id record.ID) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	inch, known := s.inch[id]
	if !known {
		if r, _, err := s.store.Get(ctx, id); err == nil {
			inch = r.Job.ShowInch
			s.inch[id] = inch
		}
	}
	return inch
}

func (s *shelf) Reopen(ctx context.Context, id string) (*model.Reading, port.Source, error) {
	if s.err != nil {
		return nil, port.Source{}, s.err
	}
	n, err := strconv.ParseInt(id, 10, 64)
	if err != nil {
		return nil, port.Source{}, fmt.Errorf("%q is no number of a reading: choose one from the list.", id)
	}
	r, _, err := s.store.Get(ctx, record.ID(n))
	if err != nil {
		return nil, port.Source{}, err
	}
	data, err := s.store.Photo(ctx, r.Photo.SHA256)
	if err != nil {
		return nil, port.Source{}, err
	}
	return r, port.Source{Name: r.Photo.Name, Data: data}, nil
}

func (s *shelf) Close() error {
	if s.store == nil {
		return nil
	}
	return s.store.Close()
}

func idText(id record.ID) string { return strconv.FormatInt(int64(id), 10) }
