package main

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	fyneapp "fyne.io/fyne/v2/app"
	"github.com/spf13/cobra"

	"evenrim/assets"
	_ "evenrim/cmd/evenrim/locale"
	"evenrim/model"
	"evenrim/ui"
	"evenrim/ui/apprentice"
	"evenrim/ui/batches"
	"evenrim/ui/bench"
	"evenrim/ui/part"
	"evenrim/ui/planner"
	"evenrim/ui/port"
	"evenrim/vision"
)

// addWindow makes the program without a verb open its window.
func addWindow(a *app, root *cobra.Command) {
	v := &windowVerb{app: a}
	root.Use = "evenrim [PHOTO...]"
	root.Example = `  evenrim                    open the window
  evenrim bracket.jpg        open it on a photo
  evenrim --sample           open it on a sample photo
  evenrim --camera 0         open it on a live camera`
	root.Args = cobra.ArbitraryArgs
	root.Flags().BoolVar(&v.sample, "sample", false, "open the window on a sample photo that ships with the program")
	root.Flags().StringVar(&v.camera, "camera", "", "open the window on a live camera: its `number`, or a video file")
	addJobFlags(root.Flags(), &v.job)
	root.RunE = func(cmd *cobra.Command, args []string) error {
		if err := checkNoSlip(root, args); err != nil {
			return err
		}
		if !displayWorks() {
			return v.terminal(cmd.Context(), args)
		}
		sayWhenDisplayIsLost()
		return v.window(cmd, args)
	}
}

type windowVerb struct {
	*app
	job    model.JobCard
	sample bool
	camera string
}

// checkNoSlip catches a mistyped verb, which would open the window on a photo of
// that name.
func checkNoSlip(root *cobra.Command, args []string) error {
	if len(args) == 0 || strings.ContainsAny(args[0], `./\`) {
		return nil
	}
	if _, err := os.Stat(args[0]); !errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if near := root.SuggestionsFor(args[0]); len(near) > 0 {
		return usage("There is neither a verb nor a photo called %q: did you mean evenrim %s?", args[0], near[0])
	}
	return usage("There is neither a verb nor a photo called %q: see evenrim help.", args[0])
}

func (v *windowVerb) window(cmd *cobra.Command, photos []string) error {
	opening := ui.Opening{Sample: v.sample, Camera: v.camera}
	for _, p := range photos {
		path, err := filepath.Abs(p)
		if err != nil {
			path = p
		}
		opening.Photos = append(opening.Photos, port.Source{Path: path})
	}
	if v.job != (model.JobCard{}) {
		opening.Card = &v.job
	}
	store, err := v.openRecord(cmd.Context())
	keeper := newShelf(store, err)
	defer keeper.Close()
	records := newArchives(v.app, keeper)
	defer records.Close()
	window := fyneapp.NewWithID(ui.ID)
	ctx, cancel := context.WithCancel(cmd.Context())
	defer cancel()
	window.Lifecycle().SetOnStarted(func() { time.AfterFunc(toolkitListens, func() { takeSignals(cancel) }) })
	// Should the toolkit not come back from its end: the pages have kept what was left to
	// keep long before that.
	defer context.AfterFunc(ctx, func() { time.AfterFunc(endPatience, func() { os.Exit(0) }) })()
	ui.Run(ctx, window, ui.Deps{
		Deps:    bench.Deps{Photos: eye{}, Solve: model.Solve, Keeper: keeper, Cards: newCardFile(store, err), Samples: samples(), Version: versionText()},
		Cameras: cameras{},
		Part:    part.Deps{Photos: eye{}, Solve: model.Solve, Keeper: keeper, Sample: samplePart(), Version: versionText(), Inch: v.job.ShowInch},
		Batches: batches.Deps{Archives: records, Photos: eye{}, Version: versionText(), Who: whoAmI()},
		Apprentice: apprentice.Deps{Photos: eye{}, Solve: model.Solve, Keeper: keeper, Studio: studio{}, Diary: diary{keeper},
			Lessons: assets.Lessons(), Samples: samples(), Version: versionText(), Inch: v.job.ShowInch},
		Planner: planner.Deps{Eyes: diary{keeper}, Version: versionText(), Inch: v.job.ShowInch},
	}, opening)
	return nil
}

const (
	// endPatience is how long a window that was told to end by a signal may take.
	endPatience = 12 * time.Second
	// toolkitListens is when the toolkit has begun to listen to signals, after it says
	// that it has started.
	toolkitListens = time.Second
)

// takeSignals has Ctrl-C and the system's request to end call end, and nothing else. The
// toolkit listens to them too, and on the first ends itself at once: its window and all
// that work would still bring to it would be gone before the pages have kept anything.
// The second one ends the program.
func takeSignals(end func()) {
	signal.Reset(os.Interrupt, syscall.SIGTERM)
	told := make(chan os.Signal, 1)
	signal.Notify(told, os.Interrupt, syscall.SIGTERM)
	<-told
	signal.Stop(told)
	end()
}

func samples() []ui.Sample {
	var out []ui.Sample
	for _, s := range assets.Samples() {
		out = append(out, ui.Sample{Photo: port.Source{Name: s.Name, Data: s.Data}, Card: s.Card})
	}
	return out
}

// terminal does in words what the window would show, when there is no display.
func (v *windowVerb) terminal(ctx context.Context, photos []string) error {
	switch {
	case len(photos) > 0 && v.job.BoreMM == 0:
		return usage("There is no display, so the window cannot open. To read the photos here, say what the drawing says: evenrim read --bore 10mm --chamfer 0.25mm %s", strings.Join(photos, " "))
	case len(photos) > 0:
		v.say("There is no display, so the window cannot open; reading the photos here.")
		return (&readVerb{app: v.app, job: v.job}).run(ctx, photos)
	case v.sample:
		v.say("There is no display, so the window cannot open; here is what it would show.")
		return v.sampleInWords(ctx)
	}
	return errors.New("There is no display, so the window cannot open: see evenrim help for what can be done here, or try evenrim --sample.")
}

func (v *windowVerb) sampleInWords(ctx context.Context) error {
	s := assets.Samples()[0]
	out := &readOutput{app: v.app, total: 1}
	res := func() result {
		photo, err := vision.Decode(ctx, s.Name, s.Data)
		if err != nil {
			return result{err: err}
		}
		defer photo.Close()
		return measure(ctx, photo, s.Card, false, time.Now())
	}()
	if err := out.write(s.Name, res); err != nil {
		return err
	}
	if out.missed > 0 {
		return errMissed
	}
	return nil
}
