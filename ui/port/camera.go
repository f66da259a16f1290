package port

import (
	"evenrim/model"
	"evenrim/model/live"
)

// Cameras opens live cameras and films. Opening may take seconds and runs off the
// UI goroutine. Errors for the user are *live.Problem.
type Cameras interface {
	// List gives the numbers of the cameras that are plugged in.
	List() []int
	// OpenCamera and OpenFilm begin to watch. show is called from one goroutine,
	// for each picture that is read; it must not wait for the UI goroutine.
	OpenCamera(number int, card model.JobCard, show func(live.View)) (Watching, error)
	OpenFilm(path string, card model.JobCard, show func(live.View)) (Watching, error)
}

// Watching is a camera or film at work. Its methods may be called from any goroutine.
type Watching interface {
	// SetCard changes the job card from the next picture on.
	SetCard(card model.JobCard)
	// Still takes a picture off it, without loss.
	Still(which live.Which) (live.Still, error)
	// Wait returns when there are no pictures any more: a *live.Problem that says
	// why, nil after Close.
	Wait() error
	// Close ends it and lets go of the camera; a second call does nothing.
	Close()
}
