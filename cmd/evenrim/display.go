package main

import (
	"io"
	"log"
	"os"
	"runtime"

	"fyne.io/fyne/v2"
	"github.com/go-gl/glfw/v3.3/glfw"
)

// plainDPI is the density up to which the toolkit draws a pixel a unit.
const plainDPI = 120

// displayWorks tells whether a window can be opened, by opening a hidden one: the
// toolkit itself would end the process with a log of its own. It must be called
// from the main goroutine before the toolkit starts.
func displayWorks() (ok bool) {
	if runtime.GOOS == "linux" && os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
		return false
	}
	// The binding logs a display that refuses and panics when used without one.
	old := log.Writer()
	log.SetOutput(io.Discard)
	defer log.SetOutput(old)
	defer func() {
		if recover() != nil {
			ok = false
		}
	}()
	if err := glfw.Init(); err != nil {
		return false
	}
	glfw.WindowHint(glfw.Visible, glfw.False)
	glfw.WindowHint(glfw.ContextVersionMajor, 2)
	defer glfw.DefaultWindowHints()
	w, err := glfw.CreateWindow(16, 16, "", nil, nil)
	if err != nil || w == nil {
		return false
	}
	w.Destroy()
	return true
}

// screenRoom is what a window may take of the main screen, in the toolkit's units, and zero
// where that can't be told. The toolkit doesn't say it. As displayWorks, and after it.
func screenRoom() (room fyne.Size) {
	defer func() {
		if recover() != nil {
			room = fyne.Size{}
		}
	}()
	m := glfw.GetPrimaryMonitor()
	if m == nil {
		return fyne.Size{}
	}
	_, _, w, h := m.GetWorkarea()
	scale := float32(1)
	if mode, mm := m.GetVideoMode(), first(m.GetPhysicalSize()); mode != nil && mm > 0 {
		scale = max(1, float32(mode.Width)/(float32(mm)/25.4)/plainDPI)
	}
	return fyne.NewSize(float32(w)/scale, float32(h)/scale)
}

func first(a, _ int) int { return a }
