// Package port declares what the window needs from the rest of the program: a
// reader of photos, a solver, a record keeper. Package cmd plugs the real ones in,
// tests plug fakes in. It knows neither the toolkit nor OpenCV.
package port

import (
	"context"
	"image"
	"time"

	"evenrim/model"
	"evenrim/model/report"
)

// Source is where a photo's bytes are: in a file, or at hand.
type Source struct {
	Path string // of the file; "" when Data holds the bytes
	Name string // as the user named it; "" = the path's last element
	Data []byte // never changed
	// Sample is a photo that ships with the program: it is shown, and never gets
	// among the shop's own readings.
	Sample bool
}

// PhotoReader turns photos into pictures and pictures into rims. Both calls run
// off the UI goroutine, several at a time, and end early when ctx is cancelled.
// Errors for the user are *model.Refusal.
type PhotoReader interface {
	// Open decodes a photo, upright.
	Open(ctx context.Context, s Source) (Picture, error)
	// Trace finds the hole and its rims. A card without a bore or chamfer means:
	// not known yet. progress takes a share, 0..1, and a few words on what is
	// being done; it may be called from any goroutine.
	Trace(ctx context.Context, p Picture, card model.JobCard, progress func(share float64, doing string)) (model.Trace, error)
}

// Picture is an opened photo.
type Picture interface {
	Info() model.Photo
	// RGBA is the whole upright photo for the screen: tight, origin (0, 0), never
	// changed again. It stays good after Close.
	RGBA() *image.RGBA
	// Close frees what lies outside of Go's memory; a second call does nothing.
	Close()
}

// Helper is a PhotoReader that takes a person's help when the finder is wrong.
type Helper interface {
	// TraceNear traces the hole at spot, px, and leaves out the arcs (centre and
	// width on the screen, rad) that were brushed out.
	TraceNear(ctx context.Context, p Picture, card model.JobCard, help Help, progress func(share float64, doing string)) (model.Trace, error)
}

// Help is what a person set by hand; zero fields were left to the finder.
type Help struct {
	Hole      *model.Circle // roughly the outer edge or the bore edge
	LeaveOut  []model.Arc   // of the picture round the hole's centre
	Candidate int           // 1-based choice among a refusal's candidates; 0 = none
}

// Any says that there is help at all.
func (h Help) Any() bool { return h.Hole != nil || len(h.LeaveOut) > 0 || h.Candidate != 0 }

// EdgeFinder is a PhotoReader that sees straight edges of the part, the longest
// first, px. None is no error: most photos show only the face.
type EdgeFinder interface {
	StraightEdges(ctx context.Context, p Picture) ([]StraightEdge, error)
}

// StraightEdge is one straight edge seen in a photo.
type StraightEdge struct {
	From, To model.Vec
	// AngleRad is its direction on the screen, counter-clockwise from image-right.
	AngleRad float64
}

// Solver turns rims and a job card into a reading. It is fast (milliseconds) and
// pure; Photo, Version and MadeAt of the result are the caller's to fill in.
type Solver func(model.Trace, model.JobCard) (*model.Reading, error)

// Keeper is the record. Calls run off the UI goroutine.
type Keeper interface {
	// Keep stores a reading and its photo for good and returns its name. Where the hole
	// in that very picture was kept before, the reading takes that one's place.
	Keep(ctx context.Context, r *model.Reading, photo Source) (id string, err error)
	// Last lists the n readings kept last, the newest first.
	Last(ctx context.Context, n int) ([]Kept, error)
	// Reopen returns a kept reading exactly as it was, with its photo.
	Reopen(ctx context.Context, id string) (*model.Reading, Source, error)
}

// Corrector is a Keeper that can put a reading in the place of an older one of
// the same photo, which stays in the record and is shown as corrected.
type Corrector interface {
	Correct(ctx context.Context, of, why string, r *model.Reading, photo Source) (id string, err error)
}

// Recaller is a Keeper that knows a picture again.
type Recaller interface {
	// Recall returns the job card of the last reading that was kept of the picture with
	// this SHA-256, and its line of the record; nil when there is none.
	Recall(ctx context.Context, sha string) (*model.JobCard, Kept, error)
}

// Describer is a Keeper that says what the shop wrote beside a kept reading or turn set,
// as it stands on a page to print.
type Describer interface {
	Describe(ctx context.Context, id string) (report.Labels, error)
}

// SetKeeper is a Keeper that also keeps what the photos of a turn set say together.
type SetKeeper interface {
	// KeepSet stores j for good with the names of the kept readings it was joined from,
	// in the order of the turn, and returns its own name.
	KeepSet(ctx context.Context, j *model.Joined, members []string) (id string, err error)
	// LastSets lists the n turn sets kept last, the newest first.
	LastSets(ctx context.Context, n int) ([]Kept, error)
	// ReopenSet returns a kept turn set exactly as it was, with its readings' names.
	ReopenSet(ctx context.Context, id string) (j *model.Joined, members []string, err error)
}

// Kept is a line of the record.
type Kept struct {
	ID        string
	Photo     string // name; of a turn set, its first
	Photos    int    // how many its answer comes from; 0 = it is one photo's reading
	Part      string // label, "" = none
	Mismatch  model.Vec
	U95MM     float64
	Verdict   model.Verdict
	ShowInch  bool
	MadeAt    time.Time
	Corrected bool   // a later reading stands in its place
	Replaces  string // the ID of the one in whose place it stands; "" = none
	Why       string // it does
}

// Cards keeps job cards by name. Calls are quick and come from the UI goroutine.
type Cards interface {
	All() ([]model.JobCard, error) // by name
	Save(model.JobCard) error      // replaces the card of the same name
	Delete(name string) error
}
