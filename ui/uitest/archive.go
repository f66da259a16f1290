package uitest

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/record"
	"evenrim/ui/port"
)

// Archives are port.Archives of records in temporary folders: the user's own, and
// a demo shop of three batches and a gauge study.
type Archives struct {
	OwnStore, DemoStore *record.Store
	OwnErr              error
	Hold                chan struct{} // when set, Demo waits for it or for its context
	ListNotes           []string

	mu   sync.Mutex
	gone []port.Archive
}

// NewArchives returns an empty record and a filled demo.
func NewArchives(t *testing.T) *Archives {
	t.Helper()
	open := func() *record.Store {
		s, err := record.Open(t.Context(), t.TempDir())
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { s.Close() })
		return s
	}
	a := &Archives{OwnStore: open(), DemoStore: open()}
	FillShop(t, a.DemoStore)
	return a
}

// FillShop keeps three batches and a gauge study: raw edge lies off, fixed doesn't,
// drifting drifts.
func FillShop(t *testing.T, s *record.Store) {
	t.Helper()
	at := time.Date(2031, 3, 3, 8, 0, 0, 0, time.UTC)
	n := 0
	keep := func(d model.Vec, l record.Labels) {
		n++
		scene := Bracket()
		photo := fmt.Append(nil, "photo ", n)
		cov := model.Sym2{XX: 1e-6, YY: 1e-6}
		r := &model.Reading{
			Photo: model.Photo{Name: fmt.Sprintf("p%02d.jpg", n), SHA256: record.HashPhoto(photo), WidthPx: scene.W, HeightPx: scene.H, Orientation: 1},
			Job:   scene.Card(), Mismatch: d, Cov: cov, U95MM: model.U95(cov), WidthMM: 0.4, WidthUMM: 0.001, Camera: scene.Camera, MadeAt: at,
		}
		r.Outer = model.RimShape{CX: float64(scene.W) / 2, CY: float64(scene.H) / 2, A: float64(scene.H) / 3, B: float64(scene.H) / 3}
		r.Job.Name = "bracket"
		r.Verdict, r.PWithin = model.JudgePhoto(d, cov, r.Job.ToleranceMM, r.Job.Zone)
		r.Correction = model.Correct(d, r.Job.Flip)
		at = at.Add(13 * time.Minute)
		if _, err := s.Keep(t.Context(), r, photo, l); err != nil {
			t.Fatal(err)
		}
	}
	wobble := func(i int) model.Vec {
		return model.Vec{X: 0.003 * math.Sin(float64(3*i+1)), Y: 0.003 * math.Cos(float64(5*i))}
	}
	for i := range 8 {
		keep(model.Vec{X: 0.033, Y: 0.012}.Add(wobble(i)), record.Labels{Part: fmt.Sprint("r", i+1), Batch: "raw edge", Operator: "Wren", Machine: "small mill", Note: "picked up the raw edge"})
	}
	for i := range 10 {
		keep(wobble(i+3), record.Labels{Part: fmt.Sprint("f", i+1), Batch: "fixed", Operator: "Wren", Tags: []string{"milled edge"}})
	}
	for i := range 12 {
		keep(model.Vec{X: -0.01 + 0.004*float64(i)}.Add(wobble(i)), record.Labels{Part: fmt.Sprint("d", i+1), Batch: "drifting", Operator: "Moss"})
	}
	for i := range 16 {
		keep(model.Vec{X: 0.01 * float64(i%4)}.Add(wobble(i).Scale(0.3)), record.Labels{Part: fmt.Sprint("g", i%4+1), Batch: "gauge study", Operator: []string{"Wren", "Moss"}[i/8]})
	}
}

// Own implements port.Archives.
func (a *Archives) Own(context.Context) (port.Archive, error) {
	if a.OwnErr != nil {
		return nil, a.OwnErr
	}
	return a.OwnStore, nil
}

// Demo implements port.Archives.
func (a *Archives) Demo(ctx context.Context, progress func(float64, string)) (port.Archive, error) {
	progress(0.5, "drawing")
	if a.Hold != nil {
		select {
		case <-a.Hold:
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
	return a.DemoStore, nil
}

// List implements port.Archives: every list holds the demo's photos.
func (a *Archives) List(_ context.Context, path string, progress func(float64, string)) (port.Archive, []string, error) {
	if path == "" {
		return nil, nil, errors.New("There is no such list.")
	}
	progress(1, "reading")
	return a.DemoStore, a.ListNotes, nil
}

// Done implements port.Archives.
func (a *Archives) Done(shown port.Archive) error {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.gone = append(a.gone, shown)
	return nil
}

// IsGone says that Done was called for shown.
func (a *Archives) IsGone(shown port.Archive) bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	return slices.Contains(a.gone, shown)
}

// Restore implements port.Archives.
func (a *Archives) Restore(ctx context.Context, backup, dir string) (record.BackupResult, error) {
	return record.Restore(ctx, backup, dir)
}
