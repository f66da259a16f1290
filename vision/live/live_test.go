package live

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/live"
	"evenrim/vision"
	"evenrim/vision/synth"
)

// No goroutine may outlive the tests' sessions; under the tag matprofile no Mat
// either (leak_test.go).
func TestMain(m *testing.M) {
	before := runtime.NumGoroutine()
	code := m.Run()
	for range 50 {
		if runtime.NumGoroutine() <= before {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	if n := runtime.NumGoroutine(); n > before {
		fmt.Fprintf(os.Stderr, "%d goroutines left, %d before\n", n, before)
		code = max(code, 1)
	}
	if n := matsLeft(); n > 0 {
		fmt.Fprintf(os.Stderr, "%d Mats left\n", n)
		code = max(code, 1)
	}
	os.Exit(code)
}

func TestAFilmIsReadPictureByPicture(t *testing.T) {
	s := benchScene(640, 480)
	path := video(t, film(t, s, 24, synth.Handheld()))
	var views []live.View
	src, err := OpenFilm(path, false)
	if err != nil {
		t.Fatal(err)
	}
	session := Watch(src, s.JobCard(), true, func(v live.View) { views = append(views, v) })
	defer session.Close()
	err = session.Wait()
	var over *live.Problem
	if !errors.As(err, &over) || !over.Over {
		t.Fatalf("a film's end: %v, want a problem that says it is over", err)
	}
	read, covered := 0, 0
	worst := 0.0
	for _, v := range views {
		if v.Reading == nil {
			continue
		}
		read++
		off := v.Reading.Mismatch.Sub(s.Mismatch).Norm()
		worst = max(worst, off*s.PxPerMM)
		if off <= v.Reading.U95MM {
			covered++
		}
	}
	t.Logf("%d of %d pictures read, %d covered, worst %.2f px", read, len(views), covered, worst)
	if read < 22 {
		t.Errorf("%d of 24 pictures gave a reading, want 22", read)
	}
	if covered < read*85/100 {
		t.Errorf("%d of %d live readings state an uncertainty that holds the truth, want 85 %%", covered, read)
	}
	last := views[len(views)-1]
	if last.Phase != live.Following || last.Estimate == nil {
		t.Fatalf("at the end: phase %q, estimate %v", last.Phase, last.Estimate)
	}
	if off := last.Estimate.Mismatch.Sub(s.Mismatch).Norm(); off > last.Estimate.U95MM {
		t.Errorf("live estimate off by %.4f mm, stated %.4f", off, last.Estimate.U95MM)
	}

	still, err := session.Still(live.Steadiest)
	if err != nil {
		t.Fatal(err)
	}
	p, err := vision.Decode(context.Background(), still.Name, still.File)
	if err != nil {
		t.Fatalf("the kept still cannot be opened: %v", err)
	}
	defer p.Close()
	trace, err := vision.Trace(context.Background(), p, s.JobCard().WithDefaults(), nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := model.Solve(trace, s.JobCard())
	if err != nil {
		t.Fatal(err)
	}
	if off := r.Mismatch.Sub(s.Mismatch).Norm(); off > r.U95MM {
		t.Errorf("the kept still reads %v, truth %v, stated %.4f mm", r.Mismatch, s.Mismatch, r.U95MM)
	}
	if last.Steadiest == nil || last.Steadiest.Ago > time.Second {
		t.Errorf("steadiest of the last second: %+v", last.Steadiest)
	}
}

func TestALostHoleIsFoundAgain(t *testing.T) {
	s := benchScene(640, 480)
	frames := film(t, s, 6, synth.Motion{})
	s.OffX, s.OffY, s.Frame = 48, -40, 99 // it comes back elsewhere
	again := film(t, s, 4, synth.Motion{})
	all := append(append([]*frame{}, frames...), nil, nil, nil, nil)
	all = append(all, again...)
	src, err := OpenFilm(video(t, all), false)
	if err != nil {
		t.Fatal(err)
	}
	var phases []live.Phase
	session := Watch(src, s.JobCard(), true, func(v live.View) { phases = append(phases, v.Phase) })
	defer session.Close()
	session.Wait()
	if len(phases) != 14 {
		t.Fatalf("%d pictures, want 14: %v", len(phases), phases)
	}
	for i, p := range phases {
		want := live.Following
		if i >= 6 && i < 10 {
			want = live.Lost
		}
		if p != want {
			t.Errorf("picture %d: phase %q, want %q", i+1, p, want)
		}
	}
}

// A jump of a third of the hole's radius between two pictures is caught up with
// without a new search.
func TestAJumpIsCaughtUp(t *testing.T) {
	s := benchScene(800, 600)
	f := film(t, s, 1, synth.Motion{})[0]
	k := tracked(t, f, s.JobCard())
	r := k.at.curve[bore].r
	s.OffX, s.OffY, s.Frame = r/3, -r/4, 5
	g := film(t, s, 1, synth.Motion{})[0]
	g.seq = 2
	trace, err := k.follow(g)
	if err != nil {
		t.Fatal(err)
	}
	reading, err := model.Solve(trace, s.JobCard())
	if err != nil {
		t.Fatal(err)
	}
	if off := reading.Mismatch.Sub(s.Mismatch).Norm(); off > reading.U95MM {
		t.Errorf("after the jump %v, truth %v, stated %.4f mm", reading.Mismatch, s.Mismatch, reading.U95MM)
	}
}

func tracked(t testing.TB, f *frame, card model.JobCard) *tracker {
	t.Helper()
	k, err := lookFor(context.Background(), f, card.WithDefaults())
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func TestWhatIsNoCameraSaysSo(t *testing.T) {
	dir := t.TempDir()
	junk := filepath.Join(dir, "junk.avi")
	if err := os.WriteFile(junk, []byte(strings.Repeat("not a film ", 50)), 0o644); err != nil {
		t.Fatal(err)
	}
	for name, open := range map[string]func() (Source, error){
		"no such camera": func() (Source, error) { return OpenCamera(MaxDevice) },
		"number too low": func() (Source, error) { return OpenCamera(-1) },
		"no such file":   func() (Source, error) { return OpenFilm(filepath.Join(dir, "no.avi"), true) },
		"a folder":       func() (Source, error) { return OpenFilm(dir, true) },
		"not a film":     func() (Source, error) { return OpenFilm(junk, true) },
	} {
		src, err := open()
		var p *live.Problem
		if !errors.As(err, &p) || len(p.Sentence) < 20 || p.Over {
			t.Errorf("%s: %v, want a sentence", name, err)
		}
		if src != nil {
			src.Close()
		}
	}
}

// unplugged is a camera whose cable is pulled after some pictures.
type unplugged struct {
	frames []*frame
	at     int
	closed int
}

func (u *unplugged) Name() string { return "camera 0" }
func (u *unplugged) Close()       { u.closed++ }
func (u *unplugged) Next(context.Context) (*frame, error) {
	if u.at == len(u.frames) {
		return nil, &live.Problem{Sentence: "The camera gives no pictures any more: check its cable, then open it again."}
	}
	u.at++
	return u.frames[u.at-1], nil
}

func TestAPulledCableEndsTheSessionInWords(t *testing.T) {
	s := benchScene(640, 480)
	src := &unplugged{frames: film(t, s, 4, synth.Motion{})}
	session := Watch(src, s.JobCard(), true, func(live.View) {})
	err := session.Wait()
	var p *live.Problem
	if !errors.As(err, &p) || p.Over || !strings.Contains(p.Sentence, "cable") {
		t.Errorf("got %v, want a sentence about the cable", err)
	}
	if src.closed != 1 {
		t.Errorf("the camera was closed %d times, want once", src.closed)
	}
	if _, err := session.Still(live.Newest); err != nil {
		t.Errorf("the last picture can no longer be kept: %v", err)
	}
	session.Close()
}

// The reader of the real thing: what gave pictures and gives none any more is said to
// be unplugged if it is a camera, and over if it is a film, be it one that was cut off.
func TestACaptureThatStopsSaysWhy(t *testing.T) {
	s := benchScene(640, 480)
	path := video(t, film(t, s, 6, synth.Motion{}))
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	cut := filepath.Join(t.TempDir(), "cut.avi")
	if err := os.WriteFile(cut, whole[:len(whole)*2/3], 0o644); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name, path   string
		camera, over bool
		least        int // pictures that come before
	}{{"camera", path, true, false, 6}, {"film", path, false, true, 6}, {"film cut off", cut, false, true, 1}} {
		src, err := OpenFilm(tt.path, false)
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		src.(*capture).file = !tt.camera
		n := 0
		for err == nil {
			if _, err = src.Next(t.Context()); err == nil {
				n++
			}
		}
		var p *live.Problem
		if !errors.As(err, &p) || p.Over != tt.over || strings.Contains(p.Sentence, "cable") != tt.camera || n < tt.least || n > 6 {
			t.Errorf("%s: %d pictures, then %v", tt.name, n, err)
		}
		src.Close()
	}
}

func TestCloseEndsAFilmAtOnce(t *testing.T) {
	s := benchScene(640, 480)
	src, err := OpenFilm(video(t, film(t, s, 6, synth.Motion{})), true)
	if err != nil {
		t.Fatal(err)
	}
	seen := make(chan struct{}, 100)
	session := Watch(src, s.JobCard(), false, func(live.View) { seen <- struct{}{} })
	<-seen
	began := time.Now()
	session.Close()
	if d := time.Since(began); d > 3*time.Second {
		t.Errorf("closing took %v", d)
	}
	if err := session.Wait(); err != nil {
		t.Errorf("a closed session: %v, want nil", err)
	}
}

// The drawn place of a blurred step is found to a hundredth of a pixel.
func TestEdgeFitFindsTwoNearEdges(t *testing.T) {
	for _, gap := range []float64{3, 5, 12} {
		var px []sample
		for i := -60; i <= 60; i++ {
			d := float64(i) / 4
			v := 0.5 + 0.3*cdf((0.7-d)/1.3) - 0.5*cdf((0.7-gap-d)/1.3)
			px = append(px, sample{v: v, d: [2]float64{d, d + gap}})
		}
		e := edgeFit{n: 2, blur: 1.3, widen: 1, limit: 5}
		if !e.solve(px) {
			t.Fatalf("gap %g: no fit", gap)
		}
		for j := range 2 {
			if math.Abs(e.shift[j]-0.7) > 0.01 {
				t.Errorf("gap %g, edge %d: shift %.3f px, want 0.7", gap, j, e.shift[j])
			}
		}
	}
}

func cdf(x float64) float64 { c, _ := step(x); return c }
