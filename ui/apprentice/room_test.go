package apprentice_test

import (
	"context"
	"errors"
	"image"
	"sort"
	"strings"
	"sync"
	"testing"

	"evenrim/assets"
	"evenrim/model"
	"evenrim/model/practice"
	"evenrim/ui/apprentice"
	"evenrim/ui/apprentice/study"
	"evenrim/ui/bench"
	"evenrim/ui/look"
	"evenrim/ui/port"
	"evenrim/ui/uitest"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
)

// studio draws shots as plain as the fake reader does.
type studio struct {
	mu    sync.Mutex
	shots []practice.Shot
	fails bool
}

func sceneOf(s practice.Shot) uitest.Scene {
	return uitest.Scene{W: s.WidthPx, H: s.HeightPx, Solid: s.Solid(), Camera: s.Camera(), Sigma: 0.05}
}

func (s *studio) Shoot(_ context.Context, shot practice.Shot) (port.Shooting, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.fails {
		return port.Shooting{}, errors.New("The picture could not be drawn.")
	}
	s.shots = append(s.shots, shot)
	img := image.NewRGBA(image.Rect(0, 0, shot.WidthPx, shot.HeightPx)) // black: nobody looks at it here
	return port.Shooting{Photo: img, Source: port.Source{Name: "drawn", Data: []byte{1}}, Trace: sceneOf(shot).Trace()}, nil
}

// diary keeps entries in memory, packed as the record does.
type diary struct {
	mu      sync.Mutex
	entries map[string][]practice.Entry
}

func (d *diary) People(context.Context) (out []string, _ error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for n := range d.entries {
		out = append(out, n)
	}
	sort.Strings(out)
	return out, nil
}

func (d *diary) Progress(_ context.Context, person string) (practice.Progress, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	return practice.Progress{Person: person, Entries: append([]practice.Entry(nil), d.entries[person]...)}, nil
}

func (d *diary) Write(_ context.Context, person string, e practice.Entry) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	kind, body, err := e.Pack()
	if err != nil {
		return err
	}
	back, _, err := practice.Unpack(e.At, kind, body)
	d.entries[person] = append(d.entries[person], back)
	return err
}

func (d *diary) Forget(_ context.Context, person string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	delete(d.entries, person)
	return nil
}

var ordinary = fyne.NewSize(1280, 820)

type room struct {
	*apprentice.Page
	t      *testing.T
	win    fyne.Window
	studio *studio
	diary  *diary
	record *uitest.Record
	reader *uitest.Reader
}

func newRoom(t *testing.T, size fyne.Size, scale float32) *room {
	t.Helper()
	app := test.NewTempApp(t)
	app.Settings().SetTheme(&look.Theme{Mode: look.AlwaysDay, Scale: scale})
	r := &room{t: t, win: test.NewTempWindow(t, nil), studio: &studio{}, diary: &diary{entries: map[string][]practice.Entry{}}, record: &uitest.Record{}, reader: uitest.NewReader()}
	r.Page = apprentice.New(r.win, apprentice.Deps{Photos: r.reader, Solve: model.Solve, Keeper: r.record, Studio: r.studio, Diary: r.diary,
		Lessons: assets.Lessons(), Seed: func() uint64 { return 5 }, Inch: true, Version: "test",
		Samples: []bench.Sample{{Photo: port.Source{Name: "sample.jpg", Data: []byte{1}}, Card: uitest.Bracket().Card()}}})
	r.win.SetContent(r.Content())
	r.win.Resize(size)
	r.Settle()
	t.Cleanup(func() { r.Page.Close(); r.Settle() })
	return r
}

func (r *room) says(words ...string) {
	r.t.Helper()
	all := r.Words()
	for _, w := range words {
		if !strings.Contains(all, w) {
			r.t.Errorf("the page doesn't say %q; it says:\n%s", w, all)
		}
	}
}

func (r *room) saysNot(words ...string) {
	r.t.Helper()
	all := r.Words()
	for _, w := range words {
		if strings.Contains(all, w) {
			r.t.Errorf("the page says %q and shouldn't", w)
		}
	}
}

// answer says what the key says, so that everything is right.
func (r *room) answerRight() {
	r.t.Helper()
	v := r.Drill()
	k := v.Quiz().Key
	v.Say(func(q *study.Quiz) {
		if k.Even {
			q.SetEven()
		} else {
			q.SetWhere(k.ScreenRad)
			q.Answer.SizeMM = k.Mismatch.Norm()
			q.SetSlider(q.Slider())
		}
		q.SetVerdict(k.Verdict)
		q.SetCause(k.Cause)
	})
}
