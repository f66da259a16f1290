package state_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/ui/port"
	"evenrim/ui/state"
	"evenrim/ui/uitest"
)

// A camera that leans in a way nobody knows shifts every photo the same way in its
// own axes; turning the part tells it from the mismatch.
func TestTheGuideJoinsATurnSet(t *testing.T) {
	b := state.NewBench(uitest.Bracket().Card())
	p := readPhoto(t, b, "one.jpg")
	solve(t, b, p.ID)
	b.StartTurns(2)
	if w := b.GuideWords(); w.Head != "Photo 2 of 2" || !w.Want {
		t.Fatalf("guide says %+v", w)
	}
	s := uitest.Bracket()
	s.Camera.PlusX = math.Pi
	s.Solid.Mismatch = uitest.Bracket().Solid.Mismatch
	q := b.Add(port.Source{Path: "/photos/two.jpg"})[0]
	if got := math.Abs(math.Remainder(q.Card.PlusX-p.Card.PlusX-math.Pi, 2*math.Pi)); got > 1e-9 {
		t.Fatalf("the second photo's +X is off by %g rad", got)
	}
	run := b.Begin(q.ID)
	b.Opened(q.ID, run, model.Photo{Name: "two.jpg", WidthPx: s.W, HeightPx: s.H}, nil)
	b.Traced(q.ID, run, s.Trace(), q.Card)
	solve(t, b, q.ID)
	if b.Turns.Joined == nil {
		t.Fatalf("not joined: %q %q", q.Problem, b.Turns.Faulty)
	}
	r := b.Turns.Joined
	want := uitest.Bracket().Solid.Mismatch
	if d := r.Mismatch.Sub(want).Norm(); d > 3*r.U95MM || r.U95MM <= 0 {
		t.Errorf("joined mismatch %v ± %.4f, want %v", r.Mismatch, r.U95MM, want)
	}
	if w := b.GuideWords(); w.Head != "Joined" {
		t.Errorf("guide says %+v", w)
	}
	// Turning +X of the first turns the second with it.
	b.Select(p.ID)
	e := b.TurnPlusX(0.1)
	if len(e.Solve) != 2 || math.Abs(math.Remainder(q.Card.PlusX-0.1-math.Pi, 2*math.Pi)) > 1e-6 {
		t.Errorf("effects %+v, second +X %.4f", e, q.Card.PlusX)
	}
}

// A copy of a picture, opened for another turn, is no second photo: the guide and the words
// above the answer count it once and say so.
func TestTheGuideCountsAPictureOnce(t *testing.T) {
	set := func(files ...string) *state.Bench {
		b := state.NewBench(uitest.Bracket().Card())
		for i, f := range files {
			s := uitest.Bracket()
			name := fmt.Sprintf("%d.jpg", i+1)
			p := b.Add(port.Source{Path: "/photos/" + name})[0]
			s.Camera.PlusX = p.Card.PlusX
			run := b.Begin(p.ID)
			b.Opened(p.ID, run, model.Photo{Name: name, SHA256: f, WidthPx: s.W, HeightPx: s.H}, nil)
			b.Traced(p.ID, run, s.Trace(), p.Card)
			solve(t, b, p.ID)
			if i == 0 {
				b.StartTurns(len(files))
			}
		}
		if b.Turns.Joined == nil {
			t.Fatalf("%q are not joined: %q", files, b.Turns.Faulty)
		}
		return b
	}
	for _, tt := range []struct {
		files              []string
		head, title, count string
		want, never        string
	}{
		{[]string{"a", "b"}, "Joined", "Turn set of 2 photos, joined", "2 photos together", "Turning took out", "same"},
		{[]string{"a", "b", "c", "b"}, "Joined", "Turn set of 4 photos, 3 of them joined", "3 of 4 photos together", "Photos 2.jpg and 4.jpg of this hole are the same picture, which counts once. Turning took out", "Turning took nothing out"},
		{[]string{"a", "a"}, "One picture", "Turn set of 2 photos, all one picture", "1 of 2 photos together", "Photos 1.jpg and 2.jpg of this hole are the same picture, which counts once. Turning took nothing out.", "Together"},
	} {
		b := set(tt.files...)
		w := b.GuideWords()
		if w.Head != tt.head || !strings.Contains(w.Text, tt.want) || strings.Contains(w.Text, tt.never) {
			t.Errorf("%q: the guide says %+v, want %q and %q, never %q", tt.files, w, tt.head, tt.want, tt.never)
		}
		if got := state.TurnsTitle(b.Turns.Set); got != tt.title {
			t.Errorf("%q: titled %q, want %q", tt.files, got, tt.title)
		}
		e := state.WhereFrom(b.Turns.Joined, b.Turns.Set, state.AboutUncertainty, state.MM)
		if all := strings.Join(e.Formula, " "); !strings.Contains(all, tt.count) || !strings.Contains(all, "turning with the part: added as squares") {
			t.Errorf("%q: explained by %q, want %q and what turns with the part", tt.files, all, tt.count)
		}
	}
}

// A set kept by a version that counted a picture twice is shown as it was kept.
func TestTheGuideShowsAnOldSetAsItCounted(t *testing.T) {
	b := state.NewBench(uitest.Bracket().Card())
	p := readPhoto(t, b, "one.jpg")
	solve(t, b, p.ID)
	r := *p.Reading
	r.Photo.SHA256 = "a"
	old := &model.Joined{Job: r.Job, Set: model.TurnSet{Mismatch: r.Mismatch, Cov: r.Cov, U95MM: r.U95MM, Turns: make([]model.TurnResidual, 2)}}
	var photos []*state.Photo
	for i := range 2 {
		again := r
		photos = append(photos, b.Reopen(&again, fmt.Sprint(i+1), port.Source{Name: fmt.Sprintf("%d.jpg", i+1)}))
	}
	b.ReopenTurns(old, "T1", photos)
	if w := b.GuideWords(); w.Head != "Joined" || strings.Contains(w.Text, "counts once") {
		t.Errorf("the guide says %+v of a set that counted its picture twice", w)
	}
	// Nor did it tell what turns with the part.
	if e := state.WhereFrom(b.Turns.Joined, b.Turns.Set, state.AboutUncertainty, state.MM); len(e.Formula) != 1 {
		t.Errorf("an old set is explained by %q, want one line", e.Formula)
	}
}

func TestPhotosWithoutACardFollowWhatIsTyped(t *testing.T) {
	b := state.NewBench(model.JobCard{})
	one := readPhoto(t, b, "one.jpg")
	two := b.Add(port.Source{Path: "/photos/two.jpg"})[0] // still waiting
	b.Select(one.ID)
	for _, s := range []string{"1", "10", "10m", "10mm"} {
		b.Edit(state.Bore, s)
	}
	if one.Card.BoreMM != 10 || two.Card.BoreMM != 10 {
		t.Errorf("bores %g and %g mm, want 10 in both", one.Card.BoreMM, two.Card.BoreMM)
	}
}

// A photo taken off leaves its place in the set, and +X of the one that comes there is that
// place's, from whichever photo is left.
func TestAPhotoTakenOffLeavesItsPlaceInTheSet(t *testing.T) {
	for off, text := range map[int]string{
		0: "a quarter turn clockwise from how it lay for photo 2",
		1: "a quarter turn counter-clockwise from how it lay for photo 1",
		2: "half a turn counter-clockwise from how it lay for photo 1",
		3: "three quarters of a turn counter-clockwise from how it lay for photo 1",
	} {
		b := state.NewBench(uitest.Bracket().Card())
		var photos []*state.Photo
		for i := range 4 {
			photos = append(photos, b.Add(port.Source{Path: fmt.Sprintf("/photos/%d.jpg", i)})[0])
			if i == 0 {
				b.StartTurns(4)
			}
		}
		b.Remove(photos[off].ID)
		w := b.GuideWords()
		if w.Head != fmt.Sprintf("Photo %d of 4", off+1) || !w.Want || !strings.Contains(w.Text, text) {
			t.Errorf("photo %d off: the guide says %+v, want %q", off+1, w, text)
		}
		if b.Step(1); b.CanChooseForTurns() {
			t.Errorf("photo %d off: one of the set may be chosen for it again", off+1)
		}
		again := b.Add(port.Source{Path: "/photos/again.jpg"})[0]
		if b.Turns.Photos[off] != again.ID || math.Abs(math.Remainder(again.Card.PlusX-photos[off].Card.PlusX, 2*math.Pi)) > 1e-9 {
			t.Errorf("photo %d off: the set is of %v, the new one %d has +X %g, want %g", off+1, b.Turns.Photos, again.ID, again.Card.PlusX, photos[off].Card.PlusX)
		}
	}
}
