package state_test

import (
	"math"
	"testing"

	"evenrim/model"
	"evenrim/ui/state"
	"evenrim/ui/uitest"
)

func TestBrushedArcsComeAndGo(t *testing.T) {
	b := state.NewBench(uitest.Bracket().Card())
	p := readPhoto(t, b, "bracket.jpg")
	solve(t, b, p.ID)
	whole := len(p.Trace.Outer)
	for i, step := range []struct {
		do    func() state.Effects
		fewer int // points left out, at least
		help  bool
	}{
		{func() state.Effects { return b.Brush(model.Arc{CentreRad: 1, WidthRad: 0.3}) }, 15, true},
		{func() state.Effects { return b.Brush(model.Arc{CentreRad: 2, WidthRad: 0.3}) }, 30, true},
		{b.Undo, 15, true},
		{b.Undo, 0, false},
		{b.Redo, 15, true},
		{b.Redo, 30, true},
		{b.WithoutHelp, 0, false},
		{b.Undo, 30, true},
	} {
		e := step.do()
		if len(e.Solve) != 1 || len(e.Trace) != 0 {
			t.Fatalf("step %d: effects %+v, want one solve and no tracing", i, e)
		}
		solve(t, b, p.ID)
		if n := whole - len(p.Trace.Outer); n < step.fewer || n > step.fewer+8 {
			t.Errorf("step %d: %d points left out, want about %d", i, n, step.fewer)
		}
		if got := p.Trace.HelpedBy != ""; got != step.help || (len(p.Reading.Warnings) > 0 && p.Reading.Warnings[len(p.Reading.Warnings)-1] == p.Trace.HelpWarning()) != step.help {
			t.Errorf("step %d: helped %v (%q), warnings %q; want %v", i, got, p.Trace.HelpedBy, p.Reading.Warnings, step.help)
		}
	}
}

func TestANumberTypedIsOneStep(t *testing.T) {
	b := state.NewBench(model.JobCard{})
	for _, s := range []string{"1", "12", "12.", "12.7"} {
		b.Edit(state.Bore, s)
	}
	b.Edit(state.Chamfer, "0.4")
	b.Undo()
	if b.Form.Text(state.Bore) != "12.7" || b.Form.Text(state.Chamfer) != "" {
		t.Errorf("after one undo: bore %q, chamfer %q", b.Form.Text(state.Bore), b.Form.Text(state.Chamfer))
	}
	b.Undo()
	if b.Form.Text(state.Bore) != "" || b.CanUndo() {
		t.Errorf("after two: bore %q, more to undo: %v", b.Form.Text(state.Bore), b.CanUndo())
	}
	b.Redo()
	if b.Form.Text(state.Bore) != "12.7 mm" && b.Form.Text(state.Bore) != "12.7" {
		t.Errorf("after redo: bore %q", b.Form.Text(state.Bore))
	}
}

func TestPulledRimLeavesTheOtherSide(t *testing.T) {
	c := model.Circle{X: 100, Y: 100, R: 50}
	got := state.Pulled(c, model.Vec{X: 150, Y: 100}, model.Vec{X: 170, Y: 100})
	if math.Abs(got.X-got.R-50) > 1e-9 || math.Abs(got.X+got.R-170) > 1e-9 || got.Y != 100 {
		t.Errorf("pulled from 150 to 170: spans %.1f to %.1f, want 50 to 170", got.X-got.R, got.X+got.R)
	}
}

func TestSpotAtPrefersTheSmallestCircle(t *testing.T) {
	spots := []model.Circle{{X: 100, Y: 100, R: 80}, {X: 110, Y: 100, R: 20}, {X: 400, Y: 100, R: 30}}
	for _, tt := range []struct {
		at   model.Vec
		want int
	}{{model.Vec{X: 112, Y: 101}, 2}, {model.Vec{X: 50, Y: 100}, 1}, {model.Vec{X: 445, Y: 100}, 3}, {model.Vec{X: 700, Y: 500}, 0}} {
		if got := state.SpotAt(spots, tt.at); got != tt.want {
			t.Errorf("at %v: %d, want %d", tt.at, got, tt.want)
		}
	}
}
