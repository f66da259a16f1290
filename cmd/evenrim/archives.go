package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync"

	"evenrim/model"
	"evenrim/model/record"
	"evenrim/ui/port"
	"evenrim/vision"
)

// archives plugs records into the Batches page: the user's own, the demo shop's,
// and one for the moment for each list that is read.
type archives struct {
	app   *app
	own   *shelf
	parts []demoPart // of the demo shop

	mu   sync.Mutex
	demo *record.Store
	more []*record.Store
	temp []string
}

var _ port.Archives = (*archives)(nil)

func newArchives(a *app, own *shelf) *archives {
	return &archives{app: a, own: own, parts: demoParts()}
}

func (a *archives) Own(context.Context) (port.Archive, error) {
	if a.own.err != nil {
		return nil, a.own.err
	}
	return a.own.store, nil
}

// demoDir is beside the data folder in use and never in it.
func (a *archives) demoDir() string {
	dir := a.app.data
	if dir == "" {
		dir = record.DefaultDir()
	}
	return filepath.Clean(dir) + "-demo"
}

// Demo opens the demo shop's record. It is made in a folder beside the last one
// and gets its name when it is complete, so that a demo is whole or not there.
func (a *archives) Demo(ctx context.Context, progress func(float64, string)) (port.Archive, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.demo != nil {
		return a.demo, nil
	}
	dir := a.demoDir()
	if !record.IsThere(dir) {
		if err := makeDemo(ctx, dir, a.parts, progress); err != nil {
			return nil, fmt.Errorf("The demo shop could not be made in %s: %w", dir, err)
		}
	}
	s, err := record.Open(ctx, dir)
	if err != nil {
		return nil, err
	}
	a.demo = s
	return s, nil
}

// makeDemo draws and reads the demo shop's photos into a new record at dir.
func makeDemo(ctx context.Context, dir string, parts []demoPart, progress func(float64, string)) (err error) {
	if err := os.MkdirAll(filepath.Dir(dir), 0o700); err != nil {
		return err
	}
	tmp, err := os.MkdirTemp(filepath.Dir(dir), ".evenrim-demo-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	inside := filepath.Join(tmp, "record")
	s, err := record.Open(ctx, inside)
	if err != nil {
		return err
	}
	err = fillDemo(ctx, s, parts, progress)
	if err := errors.Join(err, s.Close()); err != nil {
		return err
	}
	return os.Rename(inside, dir)
}

// List reads the photos of a list into a record in the folder for temporary files.
func (a *archives) List(ctx context.Context, path string, progress func(float64, string)) (port.Archive, []string, error) {
	rows, err := a.app.loadList(path, model.JobCard{})
	if err != nil {
		return nil, nil, err
	}
	tmp, err := os.MkdirTemp("", "evenrim-list-")
	if err != nil {
		return nil, nil, err
	}
	a.mu.Lock()
	a.temp = append(a.temp, tmp)
	a.mu.Unlock()
	s, err := record.Open(ctx, filepath.Join(tmp, "record"))
	if err != nil {
		return nil, nil, err
	}
	a.mu.Lock()
	a.more = append(a.more, s)
	a.mu.Unlock()
	var notes []string
	workers := runtime.GOMAXPROCS(0)
	err = inOrder(len(rows), workers, 2*workers, func(i int) result {
		if rows[i].Err != nil {
			return result{err: rows[i].Err}
		}
		return readPhoto(ctx, rows[i].Path, rows[i].Job, true)
	}, func(i int, res result) error {
		r := rows[i]
		progress(float64(i+1)/float64(len(rows)), fmt.Sprintf("%d of %d photos read", i+1, len(rows)))
		if res.err == nil {
			_, err := s.Keep(ctx, res.reading, res.file, record.Labels{Part: r.Part, Hole: r.Hole, HoleAt: r.HoleAt, TurnRad: r.Turn, Batch: r.Batch, Note: r.Note})
			return err
		}
		if errors.Is(res.err, context.Canceled) {
			return res.err
		}
		notes = append(notes, r.Photo+": "+model.AsRefusal(res.err).Sentence)
		return nil
	})
	if err != nil {
		return nil, notes, err
	}
	return s, notes, nil
}

func (a *archives) Restore(ctx context.Context, backup, dir string) (record.BackupResult, error) {
	return record.Restore(ctx, backup, dir)
}

// Close closes all but the user's own record, and removes what was for the moment.
func (a *archives) Close() error {
	a.mu.Lock()
	defer a.mu.Unlock()
	var err error
	if a.demo != nil {
		err = a.demo.Close()
	}
	for _, s := range a.more {
		err = errors.Join(err, s.Close())
	}
	for _, dir := range a.temp {
		err = errors.Join(err, os.RemoveAll(dir))
	}
	return err
}

// readBytes makes a reading of a photo's bytes.
func readBytes(ctx context.Context, name string, data []byte, job model.JobCard) (*model.Reading, error) {
	photo, err := vision.Decode(ctx, name, data)
	if err != nil {
		return nil, err
	}
	defer photo.Close()
	res := measure(ctx, photo, job, false, demoStart)
	if res.err == nil {
		res.reading.Photo.Name = name
	}
	return res.reading, res.err
}
