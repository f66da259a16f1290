package kit

import (
	"sync"

	"fyne.io/fyne/v2"
)

// door lets work hand its results to the UI goroutine until the window ends.
var door struct {
	sync.RWMutex
	shut bool
}

// OnUI runs f on the UI goroutine, soon; not at all after ShutDoor.
func OnUI(f func()) {
	door.RLock()
	defer door.RUnlock()
	if !door.shut {
		fyne.Do(f)
	}
}

// ShutDoor is called on the UI goroutine just before the last window closes: nothing
// that is still at work may touch the window from then on. The toolkit, once ended, would
// run each result on the goroutine that brings it, several at a time.
func ShutDoor() {
	door.Lock()
	defer door.Unlock()
	door.shut = true
}
