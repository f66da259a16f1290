package ui

import (
	"strconv"

	"evenrim/ui/live"
	"evenrim/ui/port"
)

// The live camera lies over the bench like a sheet put on it: it belongs to the
// photo at hand and is no page of its own.

// ShowCamera opens the live view over the bench.
func (w *Window) ShowCamera() {
	if w.deps.Cameras == nil {
		return
	}
	if w.open != 0 {
		w.turnTo(0)
	}
	if w.camera == nil {
		w.camera = live.New(w.win, live.Deps{
			Cameras: w.deps.Cameras, Card: w.bench.Card, Units: w.bench.Units, SwapUnits: w.bench.SwapUnits,
			Keep:  func(s port.Source) { w.bench.Open(s) },
			Leave: w.hideCamera,
		})
		w.desk.Add(w.camera.Content())
	}
	w.pages[0].page.Content().Hide()
	w.camera.Content().Show()
	w.cameraOn = true
	w.win.Canvas().Unfocus()
	w.camera.Show()
	w.greyMenu()
	w.titled()
}

// watch opens the live view on a camera's number or a video file.
func (w *Window) watch(source string) {
	w.ShowCamera()
	if w.camera == nil {
		return
	}
	if n, err := strconv.Atoi(source); err == nil {
		w.camera.OpenCamera(n)
	} else {
		w.camera.OpenFilm(source)
	}
}

// hideCamera shows the bench again; the view has let go of its camera by then.
func (w *Window) hideCamera() {
	w.cameraOn = false
	w.camera.Content().Hide()
	w.turnTo(w.open)
}

// putCameraAway lets go of the camera when another page is wanted.
func (w *Window) putCameraAway() {
	if w.cameraOn {
		w.cameraOn = false
		w.camera.Content().Hide()
		w.camera.Leave()
	}
}
