package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
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

	mu    sync.Mutex
	demo  *record.Store
	lists []*listRecord
}

// listRecord is a list's record for the moment, in a folder of its own.
type listRecord struct {
	store *record.Store
	dir   string
}

func (l *listRecord) remove() error {
	return errors.Join(l.store.Close(), os.RemoveAll(l.dir))
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

// List reads the photos of a list into a record in the folder for temporary files, which
// goes at once if that fails or is stopped.
func (a *archives) List(ctx context.Context, path string, progress func(float64, string)) (_ port.Archive, _ []string, err error) {
	rows, err := a.app.loadList(path, model.JobCard{})
	if err != nil {
		return nil, nil, err
	}
	dir, err := os.MkdirTemp("", "evenrim-list-")
	if err != nil {
		return nil, nil, err
	}
	s, err := record.Open(ctx, filepath.Join(dir, "record"))
	if err != nil {
		return nil, nil, errors.Join(err, os.RemoveAll(dir))
	}
	a.mu.Lock()
	a.lists = append(a.lists, &listRecord{s, dir})
	a.mu.Unlock()
	defer func() {
		if err != nil {
			err = errors.Join(err, a.Done(s))
		}
	}()
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

// Done closes and removes a list's record; the others stay.
func (a *archives) Done(shown port.Archive) error {
	a.mu.Lock()
	defer a.mu.Unlock()
	i := slices.IndexFunc(a.lists, func(l *listRecord) bool { return l.store == shown })
	if i < 0 {
		return nil
	}
	l := a.lists[i]
	a.lists = slices.Delete(a.lists, i, i+1)
	return l.remove()
}

// Close closes all but the user's own record, and removes what was for the moment.
func (a *archives) Close() error {
	a.mu.Lock()
	defer a.mu.Unlock()
	var err error
	if a.demo != nil {
		err = a.demo.Close()
	}
	for _, l := range a.lists {
		err = errors.Join(err, l.remove())
	}
	a.lists = nil
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
