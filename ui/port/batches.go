package port

import (
	"context"
	"io"

	"evenrim/model"
	"evenrim/model/record"
)

// Archive is a record as the Batches page looks at it. *record.Store is one.
// Calls run off the UI goroutine; errors are sentences for the user.
type Archive interface {
	Dir() string
	ReadOnly() bool
	Find(ctx context.Context, q record.Query) ([]record.Entry, error)
	Count(ctx context.Context, q record.Query) (int, error)
	Values(ctx context.Context, f record.Field) ([]record.Value, error)
	Get(ctx context.Context, id record.ID) (*model.Reading, record.Entry, error)
	Photo(ctx context.Context, sha string) ([]byte, error)
	Label(ctx context.Context, id record.ID, who string, l record.Labels) error
	History(ctx context.Context, id record.ID) ([]record.LabelEntry, error)
	ExportCSVFile(ctx context.Context, path string, q record.Query) (int, error)
	ExportZip(ctx context.Context, path string, q record.Query) (int, error)
	ImportCSV(ctx context.Context, from io.Reader) (record.ImportResult, error)
	ImportZip(ctx context.Context, path string) (record.ImportResult, error)
	Backup(ctx context.Context, path string) (record.BackupResult, error)
	Check(ctx context.Context, progress func(done, total int)) (record.Report, error)
}

// Archives opens records for the Batches page. What it opens stays open until the
// program ends, or a list's until Done. Calls run off the UI goroutine.
type Archives interface {
	// Own is the user's own record.
	Own(ctx context.Context) (Archive, error)
	// Demo is the demo shop's record, in a folder of its own beside the user's; the
	// first time it is drawn and read, which takes a while.
	Demo(ctx context.Context, progress func(share float64, doing string)) (Archive, error)
	// List reads the photos of a readings.csv into a record for the moment, which is
	// gone with Done, or when the program ends. notes say which photos gave no reading and why.
	List(ctx context.Context, path string, progress func(share float64, doing string)) (a Archive, notes []string, err error)
	// Done says that a is shown no more: nothing is asked of it any longer.
	Done(a Archive) error
	// Restore unpacks a backup into a new folder.
	Restore(ctx context.Context, backup, dir string) (record.BackupResult, error)
}
