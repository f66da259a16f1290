package live

import (
	"errors"
	"image"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/live"
	"evenrim/ui/kit"
	"evenrim/ui/look"
	"evenrim/ui/port"
	"evenrim/ui/state"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

func moving(seq int, x float64) live.View {
	r := &model.Reading{Mismatch: model.Vec{X: x, Y: -0.01}, Cov: model.Sym2{XX: 1e-6, YY: 1e-6}, U95MM: 0.0025,
		Job: model.JobCard{BoreMM: 8}.WithDefaults()}
	var m live.Middle
	m.Add(0, r)
	return live.View{Seq: seq, Phase: live.Following, Width: 64, Height: 48, Scale: 1,
		Picture: image.NewRGBA(image.Rect(0, 0, 64, 48)), Reading: r, Estimate: m.Value(0), ShakePx: 0.2, Steady: true, PerSecond: 31,
		Steadiest: &live.Moment{Ago: 400 * time.Millisecond}}
}

func TestNoNumberWithoutItsUncertainty(t *testing.T) {
	s := State{Source: "Camera 0"}
	s.Take(live.View{Seq: 1, Phase: live.Looking})
	if _, ok := s.Number(); ok {
		t.Error("a number without a hole")
	}
	s.Take(moving(2, 0.012))
	n, ok := s.Number()
	if !ok || n.X != "+0.0120" || !strings.HasPrefix(n.PM, "± 0.0025") {
		t.Errorf("number %+v, want +0.0120 with ± 0.0025 mm", n)
	}
	if h := s.Headline(); h != "Live estimate" {
		t.Errorf("headline %q, want it to say that this is an estimate", h)
	}
}

// A number that jumps about is not stated surer than it stands.
func TestAShakyNumberStatesItsSpread(t *testing.T) {
	var m live.Middle
	for i, x := range []float64{0.01, 0.03, 0.01, 0.03, 0.01, 0.03, 0.02} {
		v := moving(i, x)
		m.Add(time.Duration(i)*30*time.Millisecond, v.Reading)
	}
	s := State{Source: "x"}
	s.Take(live.View{Seq: 1, Phase: live.Following, Estimate: m.Value(200 * time.Millisecond)})
	n, _ := s.Number()
	if n.PM < "± 0.020" {
		t.Errorf("states %s for a number that swings by 0.01 mm either way", n.PM)
	}
}

func TestStatesInWords(t *testing.T) {
	s := State{}
	if w := s.Small(); !strings.Contains(w, "No camera is plugged in") {
		t.Errorf("without cameras: %q", w)
	}
	s.Begin("Camera 0")
	s.Fail(&live.Problem{Sentence: "No camera answers as number 0."})
	if s.Source != "" || s.Headline() != "No picture" || s.Small() != "No camera answers as number 0." {
		t.Errorf("after a failed opening: %q, %q", s.Headline(), s.Small())
	}
	s.Begin("part.avi")
	s.Began()
	s.Take(moving(1, 0))
	s.Fail(&live.Problem{Over: true, Sentence: "The film is over."})
	if !s.CanKeep() || s.Headline() != "The film is over" {
		t.Errorf("at a film's end: %q, keep %v", s.Headline(), s.CanKeep())
	}
}

// fakeCameras gives one camera whose moments the test pushes.
type fakeCameras struct {
	mu     sync.Mutex
	show   func(live.View)
	closed int
	done   chan struct{}
	fail   error
}

func (f *fakeCameras) List() []int { return []int{0, 2} }
func (f *fakeCameras) OpenCamera(_ int, _ model.JobCard, show func(live.View)) (port.Watching, error) {
	if f.fail != nil {
		return nil, f.fail
	}
	f.show, f.done = show, make(chan struct{})
	return f, nil
}
func (f *fakeCameras) OpenFilm(_ string, c model.JobCard, show func(live.View)) (port.Watching, error) {
	return f.OpenCamera(0, c, show)
}
func (f *fakeCameras) SetCard(model.JobCard) {}
func (f *fakeCameras) Still(w live.Which) (live.Still, error) {
	return live.Still{Name: []string{"newest.png", "steadiest.png"}[w], File: []byte("png")}, nil
}
func (f *fakeCameras) Wait() error { <-f.done; return nil }
func (f *fakeCameras) Close() {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.closed++; f.closed == 1 {
		close(f.done)
	}
}

func TestWatchHoldKeepAndLeave(t *testing.T) {
	app := test.NewTempApp(t)
	win := app.NewWindow("t")
	cams := &fakeCameras{}
	var kept []string
	left := 0
	p := New(win, Deps{Cameras: cams, Card: func() model.JobCard { return model.JobCard{BoreMM: 8} }, Units: func() state.Units { return state.MM },
		Keep: func(s port.Source) { kept = append(kept, s.Name) }, Leave: func() { left++ }})
	win.SetContent(p.Content())
	settle := func(until func() bool) {
		t.Helper()
		for range 300 {
			p.crew.Deliver()
			if until() {
				return
			}
			time.Sleep(5 * time.Millisecond)
		}
		t.Fatalf("nothing came: %q, %q", p.state.Headline(), p.state.Small())
	}
	p.Typed('0')
	settle(func() bool { return p.state.Watching() })
	cams.show(moving(1, 0.012))
	settle(func() bool { return p.state.View.Seq == 1 })
	if !p.side.number.Visible() || p.side.x.Number != "+0.0120" {
		t.Errorf("the sheet shows X %q (visible %v), want +0.0120", p.side.x.Number, p.side.number.Visible())
	}
	p.Typed('s')
	settle(func() bool { return len(kept) == 1 })
	p.Typed('f')
	settle(func() bool { return p.state.Frozen != nil })
	cams.show(moving(2, 0.090))
	settle(func() bool { return p.state.View.Seq == 2 })
	if n, _ := p.state.Number(); n.X != "+0.0120" {
		t.Errorf("a held picture shows %s, want the number it had", n.X)
	}
	p.Typed('k')
	if len(kept) != 2 || kept[0] != "steadiest.png" || kept[1] != "newest.png" {
		t.Errorf("kept %v, want the steadiest, then the one held", kept)
	}
	if p.state.Frozen != nil {
		t.Error("after keeping, the picture is still held")
	}
	p.Leave()
	p.Close()
	if left != 1 || cams.closed == 0 {
		t.Errorf("left %d times, camera closed %d times", left, cams.closed)
	}
}

// Close-up and whole picture act at once: no next picture comes while one is held.
func TestAHeldPictureIsSeenCloseUp(t *testing.T) {
	app := test.NewTempApp(t)
	win := app.NewWindow("t")
	cams := &fakeCameras{}
	p := New(win, Deps{Cameras: cams, Card: func() model.JobCard { return model.JobCard{BoreMM: 8} }, Units: func() state.Units { return state.MM }})
	win.SetContent(p.Content())
	win.Resize(fyne.NewSize(1100, 720))
	settle := func(until func() bool) {
		t.Helper()
		for range 300 {
			p.crew.Deliver()
			if until() {
				return
			}
			time.Sleep(5 * time.Millisecond)
		}
		t.Fatalf("nothing came: %q, %q", p.state.Headline(), p.state.Small())
	}
	p.Typed('0')
	settle(p.state.Watching)
	blank := moving(1, 0)
	blank.Reading, blank.Estimate = nil, nil
	cams.show(blank)
	settle(func() bool { return p.state.View.Seq == 1 })
	if !p.side.near.Disabled() {
		t.Error("a close-up is offered of a hole that isn't there")
	}
	if p.Typed('h'); p.state.Near {
		t.Error("a close-up of a hole that isn't there")
	}
	v := moving(2, 0.012)
	v.Reading.Outer = model.RimShape{CX: 30, CY: 20, A: 8, B: 8}
	cams.show(v)
	settle(func() bool { return p.state.View.Seq == 2 })
	win.Canvas().Capture() // only what was painted has a size to come close in
	p.Typed('f')
	settle(func() bool { return p.state.Frozen != nil })
	whole := p.viewer.View().Scale
	p.Typed('h')
	if near := p.viewer.View().Scale; near < 2*whole || p.side.near.Text != "Whole picture" {
		t.Errorf("close-up of a held picture: %.2f times as large, button %q", near/whole, p.side.near.Text)
	}
	p.Typed('h')
	if again := p.viewer.View().Scale; again != whole {
		t.Errorf("the whole of a held picture: scale %g, before the close-up %g", again, whole)
	}
	p.Close()
}

// However much is said above, the buttons stay where the hand has found them.
func TestTheButtonsStayWhereTheyAre(t *testing.T) {
	app := test.NewTempApp(t)
	win := app.NewWindow("t")
	p := New(win, Deps{Cameras: &fakeCameras{}, Card: func() model.JobCard { return model.JobCard{BoreMM: 8} }, Units: func() state.Units { return state.MM }})
	win.SetContent(p.Content())
	win.Resize(fyne.NewSize(1020, 690)) // as a page in a window of 1100 x 720
	p.state.Begin("Camera 0")
	p.state.Began()
	at := func() fyne.Position {
		p.refresh()
		return app.Driver().AbsolutePositionForObject(p.side.keep)
	}
	p.state.Take(live.View{Seq: 1, Phase: live.Looking})
	still := at()
	v := moving(2, 0.012)
	for range 3 {
		v.Hints = append(v.Hints, live.Hint{Kind: live.HintFocus, Words: "Out of focus: the edges are 3 times too soft. Turn the focus ring, or move a little to and fro."})
	}
	p.state.Take(v)
	if now := at(); now != still {
		t.Errorf("with a number and three hints the button to keep is at %v, before at %v", now, still)
	}
	if b := app.Driver().AbsolutePositionForObject(p.side.near); b.Y+p.side.near.Size().Height > win.Canvas().Size().Height {
		t.Errorf("the button for a close-up is at %v, below the window", b)
	}
}

// What the sheet says twice is said once: without the bore where to type it, at a film's
// end what can be done.
func TestTheSheetSaysAThingOnce(t *testing.T) {
	s := State{Source: "Camera 0"}
	s.Take(live.View{Seq: 1, Phase: live.Following, NoNumber: "The bore diameter is not on the job card yet.", Hints: live.Hints(live.Facts{NoBore: true, Level: [3]float64{0.4, 0.4, 0.4}})})
	if w := s.Small(); !strings.Contains(w, "Back to the bench") || strings.Contains(w, "not on the job card") {
		t.Errorf("without the bore the hint is %v, and the sheet says %q", s.View.Hints, w)
	}
	s.View.PerSecond = 30
	if w := s.Rate(); w != "30 pictures a second" {
		t.Errorf("without the bore nothing is read, and there are %q", w)
	}
	if s.Take(moving(2, 0)); s.Rate() != "31 readings a second" {
		t.Errorf("with it there are %q", s.Rate())
	}
	s.Fail(&live.Problem{Over: true, Sentence: "The film is over: play it again, or choose another."})
	if w := s.Small(); strings.Contains(w, s.Headline()) || !strings.Contains(w, "Play it again") {
		t.Errorf("below %q the sheet says %q", s.Headline(), w)
	}
}

func TestACameraThatIsNotThere(t *testing.T) {
	app := test.NewTempApp(t)
	win := app.NewWindow("t")
	cams := &fakeCameras{fail: &live.Problem{Sentence: "No camera answers as number 2: plug it in.", Cause: errors.New("no device")}}
	p := New(win, Deps{Cameras: cams, Card: func() model.JobCard { return model.JobCard{} }, Units: func() state.Units { return state.MM }})
	win.SetContent(p.Content())
	p.OpenCamera(2)
	p.crew.Settle()
	if p.side.small.Text != "No camera answers as number 2: plug it in." {
		t.Errorf("the sheet says %q", p.side.small.Text)
	}
	p.Close()
}

// U changes the units here as on the pages below.
func TestUSwapsTheUnitsOfTheLiveView(t *testing.T) {
	app := test.NewTempApp(t)
	win := app.NewWindow("t")
	units := state.MM
	var p *Page
	p = New(win, Deps{Cameras: &films{}, Card: func() model.JobCard { return model.JobCard{BoreMM: 8} }, Units: func() state.Units { return units },
		SwapUnits: func() { units = 1 - units; p.ShowIn(units) }})
	win.SetContent(p.Content())
	p.OpenFilm("bracket.avi")
	p.crew.Settle()
	if p.side.x.Unit != "mm" {
		t.Fatalf("X is in %q", p.side.x.Unit)
	}
	p.Typed('u')
	if p.side.x.Unit != "in" {
		t.Errorf("after U X is in %q, want in", p.side.x.Unit)
	}
	p.Close()
}

// Whatever has the focus, a button or the picture that was pressed, the page hears the keys.
func TestNothingThatHasTheFocusKeepsThePagesKeys(t *testing.T) {
	app := test.NewTempApp(t)
	win := test.NewTempWindow(t, nil)
	app.Settings().SetTheme(&look.Theme{Mode: look.AlwaysDay})
	p := New(win, Deps{Cameras: &films{}, Card: func() model.JobCard { return model.JobCard{BoreMM: 8} }, Units: func() state.Units { return state.MM }})
	win.SetContent(p.Content())
	win.Resize(fyne.NewSize(1280, 800))
	p.OpenFilm("bracket.avi")
	p.crew.Settle()
	for _, letter := range "v0" {
		for _, dead := range uitest.DeadKeys(win, letter) {
			t.Error(dead)
		}
	}
	p.Close()
}

// films are played by cameras that give one picture and end.
type films struct {
	fakeCameras
	opened []string
}

type film struct{ *fakeCameras }

func (f *films) OpenFilm(path string, _ model.JobCard, show func(live.View)) (port.Watching, error) {
	f.opened = append(f.opened, path)
	show(moving(1, 0.012))
	return film{&f.fakeCameras}, nil
}
func (film) Wait() error {
	return &live.Problem{Over: true, Sentence: "The film is over: play it again, or choose another."}
}
func (film) Close() {}

// What the sentence at a film's end says can be done there.
func TestAFilmIsPlayedAgain(t *testing.T) {
	app := test.NewTempApp(t)
	win := app.NewWindow("t")
	cams := &films{}
	p := New(win, Deps{Cameras: cams, Card: func() model.JobCard { return model.JobCard{BoreMM: 8} }, Units: func() state.Units { return state.MM }})
	win.SetContent(p.Content())
	again := func() *kit.Button {
		for _, o := range test.LaidOutObjects(p.Content()) {
			if b, ok := o.(*kit.Button); ok && b.Text == "Play again" {
				return b
			}
		}
		return nil
	}
	end := func() {
		t.Helper()
		for range 300 {
			p.crew.Deliver()
			if p.state.Over {
				return
			}
			time.Sleep(5 * time.Millisecond)
		}
		t.Fatalf("the film doesn't end: %q", p.state.Headline())
	}
	if again() != nil {
		t.Error("nothing was played, and yet it can be played again")
	}
	p.OpenFilm("/films/part.avi")
	end()
	b := again()
	if b == nil {
		t.Fatalf("%q, and no way to do it", p.state.Small())
	}
	b.OnTapped()
	if p.state.Over || again() != nil {
		t.Error("the film is played again, and still over")
	}
	end()
	p.Typed('f') // the button's key: nothing can be held of what stands still
	if p.state.Over || p.state.Frozen != nil {
		t.Errorf("F at a film's end: over %t, held %t", p.state.Over, p.state.Frozen != nil)
	}
	end()
	if !slices.Equal(cams.opened, []string{"/films/part.avi", "/films/part.avi", "/films/part.avi"}) {
		t.Errorf("opened %q", cams.opened)
	}
	p.Close()
}
