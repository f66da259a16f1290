package live

import (
	"fmt"
	"image"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/live"
	"evenrim/ui/look"
	"evenrim/ui/port"
	"evenrim/ui/state"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2/test"
)

// plugged are cameras with these numbers.
type plugged struct {
	*fakeCameras
	numbers []int
}

func (p plugged) List() []int { return p.numbers }

// Everything that the view can say, in the smallest window, at every text size, in both
// units: no word is cut, broken, over an edge or over another.
func TestEveryThingInTheViewFits(t *testing.T) {
	for _, scale := range []float32{1, 1.5, 2} {
		for _, units := range []state.Units{state.MM, state.Inch} {
			walkTheView(t, scale, units)
		}
	}
}

// A name as cameras and shops give them.
const longName = "crosshead bracket hole B 2026-11-26.avi"

func walkTheView(t *testing.T, scale float32, units state.Units) {
	app := test.NewTempApp(t)
	app.Settings().SetTheme(&look.Theme{Mode: look.AlwaysDay, Scale: scale})
	win := test.NewTempWindow(t, nil)
	kept := 0
	deps := Deps{Card: func() model.JobCard { return model.JobCard{BoreMM: 8} }, Units: func() state.Units { return units },
		Keep: func(port.Source) { kept++ }}
	var p *Page
	look := func(at string) {
		t.Helper()
		p.crew.Settle()
		p.refresh()
		for _, cut := range uitest.Misfits(win) {
			t.Errorf("%s at %g %% in %s: %s", at, scale*100, units, cut)
		}
	}
	shown := func(cameras ...int) {
		deps.Cameras = plugged{&fakeCameras{}, cameras}
		p = New(win, deps)
		win.SetContent(p.Content())
		win.Resize(uitest.Room(scale))
	}
	shown()
	look("no camera")
	p.Close()
	shown(0, 1, 2, 3)
	look("four cameras")

	s := &p.state
	take := func(at string, v live.View) {
		t.Helper()
		v.Seq, v.Width, v.Height, v.Scale, v.Picture = 1, 64, 48, 1, image.NewRGBA(image.Rect(0, 0, 64, 48))
		s.Take(v)
		look(at)
	}
	s.Begin(longName)
	look("opening a film")
	s.Began()
	look("waiting for its first picture")
	take("looking for the hole", live.View{Phase: live.Looking, Hints: everyHint(t)[:3]})
	take("the hole lost", live.View{Phase: live.Lost, Hints: everyHint(t)[3:6]})
	take("no number", live.View{Phase: live.Following, NoNumber: "Type the bore diameter on the job card: the number needs it.", ShakePx: 3, PerSecond: 100, Hints: everyHint(t)[6:9]})
	for _, d := range []float64{0.0004, 0.0249, -1.2345} { // conforms, undecided, does not
		for _, h := range hintsInThrees(everyHint(t)) {
			v := numbered(d)
			v.Hints = h
			take(fmt.Sprint("a number of ", d), v)
		}
	}
	for range 12 {
		s.Kept = append(s.Kept, longName)
	}
	p.ToggleNear()
	look("close-up, twelve kept")
	s.Freeze(live.Still{Name: longName})
	look("a picture held")
	s.GoOn()
	s.Fail(&live.Problem{Over: true, Sentence: "The film is over. Keep its last picture, or open another."})
	look("the film's end")
	s.Fail(fmt.Errorf("no camera answers as number 2: is another program using it, or is its cable loose?"))
	look("a camera that doesn't answer")
	p.Close()
}

func numbered(x float64) live.View {
	r := &model.Reading{Mismatch: model.Vec{X: x, Y: -x}, Cov: model.Sym2{XX: 1e-6, YY: 1e-6}, U95MM: 0.0025,
		Job: model.JobCard{BoreMM: 8, ToleranceMM: 0.0254}.WithDefaults()}
	var m live.Middle
	m.Add(0, r)
	return live.View{Phase: live.Following, Reading: r, Estimate: m.Value(0), ShakePx: 0.2, Steady: true, PerSecond: 100,
		Steadiest: &live.Moment{Ago: 400 * time.Millisecond}}
}

// everyHint is every sentence there may be, by what calls for it.
func everyHint(t *testing.T) []live.Hint {
	seen := map[string]bool{}
	var out []live.Hint
	hole := &model.Circle{X: 960, Y: 540, R: 300}
	grey, dark, bright := [3]float64{0.4, 0.4, 0.4}, [3]float64{0.02, 0.02, 0.4}, [3]float64{0.4, 1, 1}
	for _, f := range []live.Facts{
		{NoBore: true, ShakePx: 30, Level: grey},
		{Level: dark, BlurPx: 20},
		{Level: bright, Hole: hole, Exit: true, UmPerPx: 38, WidthMM: 0.25},
		{Level: grey, Hole: &model.Circle{X: 300, Y: 540, R: 200}, Exit: true},
		{Level: grey, Hole: &model.Circle{X: 960, Y: 540, R: 535}},
		{Level: grey, Hole: hole, Slope: model.Vec{X: 0.2}},
	} {
		f.Width, f.Height = 1920, 1080
		for _, h := range live.Hints(f) {
			if !seen[h.Words] {
				seen[h.Words] = true
				out = append(out, h)
			}
		}
	}
	if len(out) < 9 {
		t.Fatalf("only %d hints: %v", len(out), out)
	}
	return out
}

func hintsInThrees(h []live.Hint) (out [][]live.Hint) {
	for i := 0; i+3 <= len(h); i += 3 {
		out = append(out, h[i:i+3])
	}
	return out
}
