package vision

import (
	"math"
	"testing"

	"evenrim/model"
	"evenrim/vision/synth"
)

// An arc's fit that begins where the last step of all arcs led ends where the fit does that
// takes a step of its own, and is as sure.
func TestAFitFromALeadEndsWhereTheOtherDoes(t *testing.T) {
	for _, scale := range [...]int{1, 3} { // the larger one's arcs are glanced at in part
		p := drawnPhoto(t, func(s *synth.Scene) { s.Width, s.Height = 800*scale, 600*scale })
		h, err := findRims(p, model.JobCard{BoreMM: 10, ChamferMM: 0.4, ThicknessMM: 12}.WithDefaults())
		if err != nil {
			t.Fatal(err)
		}
		const n = 160
		r, _ := settle(p, h, n)
		if len(r.leads) != n {
			t.Fatalf("scale %d: %d leads, want %d", scale, len(r.leads), n)
		}
		_, led := r.arcs(p, n, 1, laterLimit, askNothing)
		r.leads = nil
		_, own := r.arcs(p, n, 1, laterLimit, askNothing)
		same, all := 0, 0
		for i := range own {
			for k := outer; k <= bore; k++ {
				if !own[i].found[k] || own[i].edge[k].sd > 0.1 {
					continue
				}
				all++
				a, b := led[i].edge[k], own[i].edge[k]
				if led[i].found[k] && math.Abs(a.shift-b.shift) < 2*settledPx && math.Abs(a.sd/b.sd-1) < 0.03 {
					same++
				}
			}
		}
		if all < n || float64(same) < 0.97*float64(all) {
			t.Errorf("scale %d: %d of %d plain edges lie where they do without a lead, want 97 %% of at least %d", scale, same, all, n)
		}
	}
}
