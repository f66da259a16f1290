package state_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/ui/port"
	"evenrim/ui/state"
	"evenrim/ui/uitest"
)

// readPhoto lays a photo on the bench and runs it up to its traced rims.
func readPhoto(t *testing.T, b *state.Bench, name string) *state.Photo {
	t.Helper()
	added := b.Add(port.Source{Path: "/photos/" + name})
	if len(added) != 1 {
		t.Fatalf("added %d photos, want 1", len(added))
	}
	p := added[0]
	s := uitest.Bracket()
	run := b.Begin(p.ID)
	if !b.Opened(p.ID, run, model.Photo{Name: name, WidthPx: s.W, HeightPx: s.H}, nil) {
		t.Fatal("the run was dropped")
	}
	if !b.Traced(p.ID, run, s.Trace(), p.Card) {
		t.Fatal("the rims were dropped")
	}
	return p
}

func solve(t *testing.T, b *state.Bench, id int) {
	t.Helper()
	job, ok := b.Ask(id)
	if !ok {
		return
	}
	r, err := model.Solve(job.Trace, job.Card)
	if err == nil {
		r.Photo = job.Info
	}
	if !b.Solved(job, r, err) {
		t.Fatal("the result was dropped")
	}
}

func TestTypingTheBoreIsEnough(t *testing.T) {
	b := state.NewBench(model.JobCard{})
	p := readPhoto(t, b, "bracket.jpg")
	solve(t, b, p.ID)
	if p.Stage != state.NeedsCard || p.Reading != nil {
		t.Fatalf("without a bore: stage %v, reading %v; want the card to be wanted", p.Stage, p.Reading)
	}
	if m := state.MessageOf(p); m.Kind != state.CardWanted || !strings.Contains(m.Text, "bore") {
		t.Errorf("message %+v, want one that asks for the bore", m)
	}
	var e state.Effects
	for _, typed := range []string{"1", "10", "10m", "10mm"} { // as keys are hit
		e = b.Edit(state.Bore, typed)
	}
	if len(e.Solve) != 1 || len(e.Trace) != 0 {
		t.Fatalf("effects %+v, want the photo solved and not traced again", e)
	}
	solve(t, b, p.ID)
	if p.Stage != state.Done || p.Reading == nil {
		t.Fatalf("stage %v, problem %q; want a reading", p.Stage, p.Problem)
	}
	want := uitest.Bracket().Solid.Mismatch
	if d := p.Reading.Mismatch.Sub(want).Norm(); d > p.Reading.U95MM {
		t.Errorf("mismatch %+v, want %+v within the stated %g mm", p.Reading.Mismatch, want, p.Reading.U95MM)
	}
}

func TestAnUnreadableCardHidesTheResult(t *testing.T) {
	b := state.NewBench(uitest.Bracket().Card())
	p := readPhoto(t, b, "bracket.jpg")
	solve(t, b, p.ID)
	if p.Reading == nil {
		t.Fatal(p.Problem)
	}
	for _, typed := range []string{"", "ten", "-3", "0", "10 furlong", "900"} {
		b.Edit(state.Bore, typed)
		if p.Reading != nil || p.Stage != state.NeedsCard {
			t.Errorf("bore %q: stage %v, reading still shown %v: a number of other inputs is worse than none", typed, p.Stage, p.Reading != nil)
		}
		if state.MessageOf(p).Text == "" || len(b.Form.Problems()) == 0 {
			t.Errorf("bore %q: nothing said", typed)
		}
		e := b.Edit(state.Bore, "10 mm")
		if len(e.Solve) != 1 {
			t.Fatalf("bore put right: effects %+v, want one solve", e)
		}
		solve(t, b, p.ID)
		if p.Reading == nil {
			t.Fatalf("bore put right: %s", p.Problem)
		}
	}
}

func TestOlderResultsAreDropped(t *testing.T) {
	b := state.NewBench(uitest.Bracket().Card())
	p := readPhoto(t, b, "bracket.jpg")
	old, _ := b.Ask(p.ID)
	b.Edit(state.Thickness, "9 mm")
	now, _ := b.Ask(p.ID)
	r, err := model.Solve(now.Trace, now.Card)
	if !b.Solved(now, r, err) {
		t.Fatal("the newest result was dropped")
	}
	stale, err := model.Solve(old.Trace, old.Card)
	if b.Solved(old, stale, err) || p.Reading != r {
		t.Error("an older result replaced a newer one")
	}

	run := b.Begin(p.ID)
	b.Cancel(p.ID)
	if b.Advance(p.ID, run, 0.5, "x") || b.Traced(p.ID, run, model.Trace{}, p.Card) || b.Fail(p.ID, run, model.NoHole, "x", nil) {
		t.Error("a cancelled run still had its say")
	}
}

func TestPlusXIsThePhotosOwn(t *testing.T) {
	b := state.NewBench(uitest.Bracket().Card())
	p1, p2 := readPhoto(t, b, "one.jpg"), readPhoto(t, b, "two.jpg")
	solve(t, b, p1.ID)
	solve(t, b, p2.ID)
	b.Select(p1.ID)
	e := b.TurnPlusX(math.Pi / 2)
	if len(e.Solve) != 1 || e.Solve[0] != p1.ID {
		t.Fatalf("effects %+v, want photo 1 alone", e)
	}
	solve(t, b, p1.ID)
	// Turning the axes by +90 degrees turns the mismatch by -90 degrees.
	want := uitest.Bracket().Solid.Mismatch.Rotate(-math.Pi / 2)
	if d := p1.Reading.Mismatch.Sub(want).Norm(); d > p1.Reading.U95MM {
		t.Errorf("mismatch %+v, want %+v within %g", p1.Reading.Mismatch, want, p1.Reading.U95MM)
	}
	if p2.Card.PlusX != 0 {
		t.Errorf("the other photo's +X moved to %g", p2.Card.PlusX)
	}
	b.Edit(state.Tolerance, "0.1 mm")
	if !b.CardsDiffer() {
		t.Error("the photos' cards differ and nothing says so")
	}
	b.UseForAll()
	if p2.Card.ToleranceMM != 0.1 || p2.Card.PlusX != 0 || p1.Card.PlusX != math.Pi/2 {
		t.Errorf("after use for all: %+v and %+v", p1.Card, p2.Card)
	}
}

func TestAKeptReadingIsNeverChanged(t *testing.T) {
	b := state.NewBench(model.JobCard{})
	s := uitest.Bracket()
	r, err := model.Solve(s.Trace(), s.Card())
	if err != nil {
		t.Fatal(err)
	}
	was := *r
	p := b.Reopen(r, "7", port.Source{Name: "old.jpg"})
	if again := b.Reopen(r, "7", port.Source{Name: "old.jpg"}); again != p {
		t.Error("reopened twice, it lies on the bench twice")
	}
	if len(b.Unkept()) != 0 {
		t.Error("a reopened reading would be kept again")
	}
	b.ShowIn(state.Inch)
	if p.Reading != r || p.Reading.Job.ShowInch != was.Job.ShowInch {
		t.Error("showing inches changed a kept reading")
	}
	e := b.Edit(state.Tolerance, "0.2 mm")
	if len(e.Solve) != 1 {
		t.Fatalf("effects %+v", e)
	}
	solve(t, b, p.ID)
	if p.Reading == r || p.FromOld || p.Kept != "" {
		t.Error("a changed card must make a new reading, not kept yet")
	}
	if r.Job.ToleranceMM != was.Job.ToleranceMM || r.Mismatch != was.Mismatch {
		t.Error("the kept reading was changed")
	}
}

func TestRetraceWhenTheCardWouldHaveLedElsewhere(t *testing.T) {
	b := state.NewBench(uitest.Bracket().Card())
	p := readPhoto(t, b, "bracket.jpg")
	solve(t, b, p.ID)
	if b.WantsRetrace(p.ID) {
		t.Error("nothing changed, yet it wants another look")
	}
	b.Edit(state.Thickness, "11 mm")
	solve(t, b, p.ID)
	if b.WantsRetrace(p.ID) {
		t.Error("the thickness doesn't guide the finder")
	}
	b.Edit(state.Chamfer, "0.8 mm")
	solve(t, b, p.ID)
	if !b.WantsRetrace(p.ID) {
		t.Error("twice the chamfer may lead the finder to other rims")
	}
}

func TestRefusalsSpeakPlainly(t *testing.T) {
	b := state.NewBench(uitest.Bracket().Card())
	p := b.Add(port.Source{Path: "/p/dark.jpg"})[0]
	for _, tt := range []struct {
		err  error
		head string
		text string
	}{
		{model.Refuse(model.Underexposed, "The photo is too dark: give it more light."), "Too dark", "more light"},
		{model.Refuse(model.NoHole, "No hole was found: move closer."), "No hole found", "closer"},
		{errors.New("vision: mat 3 of 7: nil pointer"), "Not readable", "could not be read"},
	} {
		run := b.Begin(p.ID)
		reason, text := state.Explain(tt.err)
		b.Fail(p.ID, run, reason, text, nil)
		m := state.MessageOf(p)
		if m.Kind != state.NoReading || m.Head != tt.head || !strings.Contains(m.Text, tt.text) || strings.Contains(m.Text, "nil pointer") {
			t.Errorf("%v: message %+v, want head %q and text with %q", tt.err, m, tt.head, tt.text)
		}
	}
}

func TestTheTrayGoesRound(t *testing.T) {
	b := state.NewBench(uitest.Bracket().Card())
	b.Add(port.Source{Path: "/a.jpg"}, port.Source{Path: "/b.jpg"}, port.Source{Path: "/c.jpg"})
	if again := b.Add(port.Source{Path: "/b.jpg"}); len(again) != 0 || b.Selected().Name != "b.jpg" || len(b.Photos) != 3 {
		t.Errorf("opening b.jpg again: added %d, shown %q, %d photos", len(again), b.Selected().Name, len(b.Photos))
	}
	var seen []string
	for range 4 {
		b.Step(1)
		seen = append(seen, b.Selected().Name)
	}
	if got := strings.Join(seen, " "); got != "c.jpg a.jpg b.jpg c.jpg" {
		t.Errorf("stepping showed %q", got)
	}
	b.Step(-1)
	b.Remove(b.Selected().ID)
	if got := b.Selected().Name; got != "c.jpg" {
		t.Errorf("after removing b.jpg %q is shown, want its neighbour c.jpg", got)
	}
	b.Remove(b.Selected().ID)
	b.Remove(b.Selected().ID)
	if b.Selected() != nil || state.MessageOf(b.Selected()).Kind != state.NothingYet {
		t.Error("an empty bench still shows a photo")
	}
}

// A record grows over years: "3 Mar" alone would be any of them.
func TestKeptLineSaysTheYear(t *testing.T) {
	k := port.Kept{Photo: "/shop/photos/2031/a.jpg", Part: "r1", MadeAt: time.Date(2031, 3, 3, 8, 5, 0, 0, time.Local)}
	if w := state.KeptLine(k, state.MM).When; !strings.Contains(w, "3 Mar 2031 08:05") {
		t.Errorf("%q, want the year", w)
	}
	if n := state.KeptLine(k, state.MM).Name; n != "r1, a.jpg" {
		t.Errorf("called %q, want part and file without its folders", n)
	}
}

// +X dragged while the card is still incomplete is the photo's all the same, and no other's.
func TestPlusXCountsBeforeTheCardIsComplete(t *testing.T) {
	for _, typed := range []string{"", "1x"} {
		b := state.NewBench(model.JobCard{})
		p1, p2 := readPhoto(t, b, "one.jpg"), readPhoto(t, b, "two.jpg")
		b.Select(p1.ID)
		b.Edit(state.Bore, typed)
		b.TurnPlusX(0.5)
		if p1.Card.PlusX != 0.5 {
			t.Errorf("bore %q: the arrow stays at %g, want 0.5 rad", typed, p1.Card.PlusX)
		}
		b.Select(p2.ID)
		if got := b.Form.Text(state.PlusX); got != "0" {
			t.Errorf("bore %q: the second photo's +X reads %q, want its own 0", typed, got)
		}
		b.Edit(state.Bore, "10")
		b.Select(p1.ID)
		if c, _ := b.Form.Card(); p1.Card.PlusX != 0.5 || p2.Card.PlusX != 0 || c.PlusX != 0.5 {
			t.Errorf("bore %q: +X %g and %g rad, the first reads %g; want 0.5 and 0", typed, p1.Card.PlusX, p2.Card.PlusX, c.PlusX)
		}
	}
}

// A +X that cannot be read leaves the photo's as it is.
func TestAMistypedPlusXTurnsNothing(t *testing.T) {
	b := state.NewBench(model.JobCard{})
	p := readPhoto(t, b, "one.jpg")
	b.TurnPlusX(0.5)
	b.Edit(state.PlusX, "3o")
	if p.Card.PlusX != 0.5 {
		t.Errorf("+X went to %g rad", p.Card.PlusX)
	}
	b.Undo()
	b.Undo()
	if p.Card.PlusX != 0 {
		t.Errorf("taken back, +X is %g rad, want 0", p.Card.PlusX)
	}
}

func TestRecallLeavesATurnedPlusXAlone(t *testing.T) {
	b := state.NewBench(model.JobCard{})
	p := readPhoto(t, b, "one.jpg")
	b.TurnPlusX(0.5)
	old := uitest.Bracket().Card()
	old.PlusX = 1
	b.Recall(p.ID, old, port.Kept{ID: "7"})
	if p.Card.BoreMM != old.BoreMM || p.Card.PlusX != 0.5 || strings.Contains(p.Recalled, "+X") {
		t.Errorf("bore %g, +X %g rad, said %q; want the old card with the +X turned here", p.Card.BoreMM, p.Card.PlusX, p.Recalled)
	}
}
