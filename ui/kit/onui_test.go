package kit

import (
	"testing"

	"fyne.io/fyne/v2/test"
)

func TestNothingReachesTheWindowOnceTheDoorIsShut(t *testing.T) {
	test.NewTempApp(t)
	t.Cleanup(func() { doorShut.Store(false) })
	ran := 0
	OnUI(func() {
		ran++
		ShutDoor() // as the window does that is told to close
	})
	OnUI(func() { ran++ })
	if ran != 1 {
		t.Errorf("%d of two results reached the window, want the one before the door was shut", ran)
	}
}
