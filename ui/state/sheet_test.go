package state_test

import (
	"slices"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/model/report"
	"evenrim/ui/state"
)

// Whoever is told to move an offset is told what to mind, on the sheet itself; and
// where the tolerance asks for no correction, that too.
func TestAdviceToMoveCarriesItsCaution(t *testing.T) {
	cov := model.Sym2{XX: 1e-6, YY: 1e-6}
	for _, tt := range []struct {
		name            string
		d               model.Vec
		verdict         model.Verdict
		moves, asksNone bool
	}{
		{"does not conform", model.Vec{X: 0.08, Y: 0.05}, model.DoesNotConform, true, false},
		{"conforms", model.Vec{X: 0.012}, model.Conforms, true, true},
		{"even", model.Vec{X: 0.0005}, model.Conforms, false, false},
	} {
		r := &model.Reading{Job: model.JobCard{BoreMM: 8}.WithDefaults(), Mismatch: tt.d, Cov: cov, U95MM: model.U95(cov), Verdict: tt.verdict,
			Correction: model.Correct(tt.d, model.FlipAboutY)}
		s := state.SheetOf(r, state.MM)
		caution := slices.ContainsFunc(s.Notes, func(n state.Note) bool { return n.Text == report.Caution })
		asksNone := slices.ContainsFunc(s.Notes, func(n state.Note) bool {
			return n.Text == "The tolerance asks for no correction: this one would only centre what conforms."
		})
		if len(s.Moves) > 0 != tt.moves || caution != tt.moves || asksNone != tt.asksNone {
			t.Errorf("%s: moves %v, notes %v", tt.name, s.Moves, s.Notes)
		}
	}
}

// The axes are the arrow's: as long as nobody has turned it, the sheet says so.
func TestAnArrowNobodyTurnedIsSaid(t *testing.T) {
	cov := model.Sym2{XX: 1e-6, YY: 1e-6}
	for _, tt := range []struct {
		plusX float64
		d     model.Vec
		want  bool
	}{{0, model.Vec{X: 0.08, Y: 0.05}, true}, {0.4, model.Vec{X: 0.08, Y: 0.05}, false}, {0, model.Vec{X: 0.0005}, false}} {
		r := &model.Reading{Job: model.JobCard{BoreMM: 8, PlusX: tt.plusX}.WithDefaults(), Mismatch: tt.d, Cov: cov, U95MM: model.U95(cov)}
		said := slices.ContainsFunc(state.SheetOf(r, state.MM).Notes, func(n state.Note) bool { return strings.HasPrefix(n.Text, "+X is taken to point right") })
		if said != tt.want {
			t.Errorf("+X at %g, mismatch %v: said %v, want %v", tt.plusX, tt.d, said, tt.want)
		}
	}
}

// The scale and the formula behind it are in the units shown: figures that a reader can
// divide.
func TestScaleIsInTheUnitsShown(t *testing.T) {
	r := &model.Reading{Job: model.JobCard{BoreMM: 25.4}.WithDefaults(), Camera: model.Camera{PxPerMM: 100}, Bore: model.RimShape{A: 1270, B: 1270}}
	for _, tt := range []struct {
		u           state.Units
		scale, from string
	}{
		{state.MM, "100.0 px/mm by the bore's diameter, a pixel is 10.0 µm", "2540.0 px across the bore edge ÷ 25.4 mm = 100.0 px/mm"},
		{state.Inch, "2540 px/in by the bore's diameter, a pixel is 0.394 thou", "2540.0 px across the bore edge ÷ 1 in = 2540 px/in"},
	} {
		s := state.SheetOf(r, tt.u)
		if !slices.ContainsFunc(s.Facts, func(f state.Fact) bool { return f.Value == tt.scale }) {
			t.Errorf("%s: facts %v, want %q among them", tt.u, s.Facts, tt.scale)
		}
		if f := state.WhereFrom(r, nil, state.AboutScale, tt.u).Formula; !strings.HasPrefix(f[0], tt.from) {
			t.Errorf("%s: formula %q, want %q", tt.u, f[0], tt.from)
		}
	}
}
