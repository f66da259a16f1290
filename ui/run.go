// Package ui is the program's window. Run opens it; everything it needs from the
// rest of the program comes in as Deps. It builds and tests with neither OpenCV
// nor GL: only the caller imports the toolkit's app package.
//
// Pages: bench (a photo becomes a reading). What pages say and decide without a
// window is in state; look is how it is dressed; photo shows photos; kit holds
// the small widgets; port the interfaces.
package ui

import (
	"context"

	"evenrim/model"
	"evenrim/ui/apprentice"
	"evenrim/ui/batches"
	"evenrim/ui/bench"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/part"
	"evenrim/ui/planner"
	"evenrim/ui/port"

	"fyne.io/fyne/v2"
)

// Deps is what the window works with; see package port.
type Deps struct {
	bench.Deps
	Part       part.Deps
	Batches    batches.Deps // Reopen is the window's own
	Apprentice apprentice.Deps
	Planner    planner.Deps // Prefs is the window's own
	Cameras    port.Cameras // nil = no live camera
}

// Sample is a photo that ships with the program.
type Sample = bench.Sample

// Opening is what the window shows first.
type Opening struct {
	Photos []port.Source
	Card   *model.JobCard // laid over the card used last; nil = that one
	Sample bool           // show the first sample when there are no photos
	Camera string         // a camera's number or a video file to watch; "" = none
}

// Run shows the window and returns when it is closed, by hand or by the end of ctx,
// and all readings are kept.
func Run(ctx context.Context, app fyne.App, deps Deps, open Opening) {
	w := NewWindow(app, deps, open)
	defer context.AfterFunc(ctx, func() { kit.OnUI(w.end) })()
	w.win.ShowAndRun()
	if !w.gone { // the toolkit ended by itself
		kit.ShutDoor()
		w.keep()
	}
}

// ID is the program's name for its preferences, by reverse domain.
const ID = "shop.evenrim.bench"

func dress(app fyne.App) *look.Theme {
	p := app.Preferences()
	t := &look.Theme{Mode: look.Mode(p.IntWithFallback(lightPref, int(look.FollowSystem))), Scale: float32(p.FloatWithFallback(textPref, 1))}
	if t.Scale < 1 || t.Scale > 2 {
		t.Scale = 1
	}
	app.Settings().SetTheme(t)
	return t
}
