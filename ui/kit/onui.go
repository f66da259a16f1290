package kit

import (
	"sync/atomic"

	"fyne.io/fyne/v2"
)

// doorShut says that the window is about to close, or gone.
var doorShut atomic.Bool

// OnUI runs f on the UI goroutine, soon; not at all after ShutDoor.
func OnUI(f func()) {
	// Asked when f's turn comes: once the toolkit has ended it runs each f on the
	// goroutine that brings it, several at a time.
	fyne.Do(func() {
		if !doorShut.Load() {
			f()
		}
	})
}

// ShutDoor is called on the UI goroutine just before the last window closes: nothing
// that is still at work may touch the window from then on.
func ShutDoor() { doorShut.Store(true) }
