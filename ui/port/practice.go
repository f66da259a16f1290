package port

import (
	"context"
	"image"

	"evenrim/model"
	"evenrim/model/practice"
)

// Threshold tells what the eyes in the shop catch, as the Apprentice page measured
// it. Calls run off the UI goroutine.
type Threshold interface {
	// Thresholds lists each person's last measured threshold, by nickname; empty
	// when nobody was measured.
	Thresholds(ctx context.Context) ([]practice.Threshold, error)
}

// Photographer draws synthetic photos for lessons and practice. Calls run off the
// UI goroutine, several at a time.
type Photographer interface {
	Shoot(ctx context.Context, s practice.Shot) (Shooting, error)
}

// Shooting is a synthetic photo.
type Shooting struct {
	Photo *image.RGBA // tight, origin (0, 0), never changed
	// Source holds the same photo as a file's bytes, for a reader that knows nothing
	// of what was drawn.
	Source Source
	// Trace has the rims exactly as drawn, with a nominal noise of 0.05 px: what lies
	// over a photo that the reader would not read.
	Trace model.Trace
}

// Diary keeps what people do in practice, by nickname. Calls run off the UI
// goroutine.
type Diary interface {
	// People lists who has entries, by name.
	People(ctx context.Context) ([]string, error)
	// Progress returns a person's entries, the oldest first; empty for a new name.
	Progress(ctx context.Context, person string) (practice.Progress, error)
	Write(ctx context.Context, person string, e practice.Entry) error
	// Forget deletes all entries of a person for good.
	Forget(ctx context.Context, person string) error
}
