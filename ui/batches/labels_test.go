package batches_test

import (
	"context"
	"errors"
	"testing"

	"evenrim/model/record"
	"evenrim/ui/port"
	"evenrim/ui/uitest"
)

// fullRecord has no room for labels while broken is set.
type fullRecord struct {
	*record.Store
	broken error
}

func (r *fullRecord) Label(ctx context.Context, id record.ID, who string, l record.Labels) error {
	if r.broken != nil {
		return r.broken
	}
	return r.Store.Label(ctx, id, who, l)
}

type fullArchives struct {
	*uitest.Archives
	own *fullRecord
}

func (a fullArchives) Own(context.Context) (port.Archive, error) { return a.own, nil }

// Labels that could not be written stay as typed, and are written by the one who works here.
func TestLabelsNotWrittenStayAsTyped(t *testing.T) {
	archives := uitest.NewArchives(t)
	uitest.FillShop(t, archives.OwnStore)
	full := &fullRecord{Store: archives.OwnStore, broken: errors.New("The record has no room: the disk is full.")}
	d := newDeskOn(t, fullArchives{archives, full})
	d.Show()
	d.Settle()
	d.Choose(0)
	d.Settle()
	d.WriteNote("burr broken off")
	d.Settle()
	d.says("The record has no room", "burr broken off", "Write")
	full.broken = nil
	d.WriteNote("burr broken off")
	d.Settle()
	d.says("Written beside 1 reading.")
	h, err := full.History(t.Context(), 46)
	if err != nil || len(h) == 0 || h[len(h)-1].Note != "burr broken off" || h[len(h)-1].Who != "tester" {
		t.Errorf("history %+v, %v; want the note by tester", h, err)
	}
}
