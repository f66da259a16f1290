package main

import (
	"io"
	"log"
	"os"
	"runtime"

	"github.com/go-gl/glfw/v3.3/glfw"
)

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
