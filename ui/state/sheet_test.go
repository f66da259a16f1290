package state_test

import (
	"slices"
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
