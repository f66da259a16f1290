package live

import (
	"image"
	"time"

	"evenrim/model"
)

// Phase is where the hunt for the hole stands.
type Phase string

const (
	Looking   Phase = "looking"   // no hole yet
	Following Phase = "following" // every picture is read from where the last left off
	Lost      Phase = "lost"      // the hole got away; it is looked for in the background
)

// View is one moment of a live camera.
type View struct {
	Seq           int           // of the camera's pictures, from 1
	At            time.Duration // since the camera was opened
	Phase         Phase
	Width, Height int // of the camera's picture, px

	// Picture is for the screen: tight, origin (0, 0), never changed again; nil
	// when this moment's is not to be shown (the screen needs fewer than come).
	Picture *image.RGBA
	Scale   float64 // Picture's pixels per camera pixel

	Reading  *model.Reading // of this picture alone; nil without one
	NoNumber string         // why a hole in view gives no number, a sentence
	Estimate *Estimate      // middle of the last half second; nil without one

	ShakePx float64 // how far the hole moves from one picture to the next
	Steady  bool
	Hints   []Hint // most needed first

	PerSecond float64 // readings (or pictures, when there is none) a second
	Steadiest *Moment // of the last second; nil before there is one
}

// Moment is a picture of the last second that could be kept.
type Moment struct {
	Ago     time.Duration
	ShakePx float64
}

// Still is a picture taken off the camera.
type Still struct {
	Name    string // for the tray and the record
	File    []byte // PNG, lossless
	ShakePx float64
	Ago     time.Duration
}

// Which says which picture is to be taken.
type Which int

const (
	Newest    Which = iota
	Steadiest       // of the last second
)

// Problem is what a camera or a video file does not give, as a sentence for the
// user with what to do.
type Problem struct {
	Sentence string
	Over     bool // a video file came to its end: nothing is wrong
	Cause    error
}

func (p *Problem) Error() string { return p.Sentence }
func (p *Problem) Unwrap() error { return p.Cause }
