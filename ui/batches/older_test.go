package batches_test

import (
	"context"
	"errors"
	"testing"

	"evenrim/model/record"
	"evenrim/ui/port"
	"evenrim/ui/uitest"
)

// longRecord is a record of 300 readings, of which it tells what a list shows.
type longRecord struct {
	*record.Store
	broken error // what finding older ones fails with
}

func (r *longRecord) Find(_ context.Context, q record.Query) (out []record.Entry, err error) {
	last := record.ID(300)
	if q.Before != 0 {
		if r.broken != nil {
			return nil, r.broken
		}
		last = q.Before - 1
	}
	for id := last; id > 0 && len(out) < q.Limit; id-- {
		out = append(out, record.Entry{ID: id})
	}
	return out, nil
}

func (r *longRecord) Count(context.Context, record.Query) (int, error) { return 300, nil }

type longArchives struct {
	*uitest.Archives
	own *longRecord
}

func (a longArchives) Own(context.Context) (port.Archive, error) { return a.own, nil }

// Older readings are listed once, however often they are asked for, and what is wrong with
// the record is said.
func TestOlderReadingsAreListedOnce(t *testing.T) {
	archives := uitest.NewArchives(t)
	long := &longRecord{Store: archives.OwnStore}
	d := newDeskOn(t, longArchives{archives, long})
	d.Show()
	d.Settle()
	long.broken = errors.New("The record cannot be read: the disk is gone.")
	d.More()
	d.Settle()
	d.says("The record cannot be read")
	long.broken = nil
	d.More()
	d.More()
	d.Settle()
	seen := map[record.ID]int{}
	for _, e := range d.State().Entries {
		seen[e.ID]++
	}
	if n := len(d.State().Entries); n != 300 || len(seen) != 300 {
		t.Errorf("%d lines of %d readings, want 300 of each", n, len(seen))
	}
}
