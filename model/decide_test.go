package model

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// A picture that is there twice asks for no more photos than it would by itself.
func TestWhatWouldDecideAHoleCountsAPictureOnce(t *testing.T) {
	hole := func(files ...string) HoleReading {
		var list []*Reading
		for i, f := range files {
			r := undecided()
			r.Job.PlusX, r.Photo.SHA256 = float64(i)*math.Pi, f
			r.Mismatch = Vec{0.0252, 0}
			list = append(list, r)
		}
		h, err := JoinHole("A", nil, list, nil)
		if err != nil {
			t.Fatal(err)
		}
		if h.Verdict != Undecided {
			t.Fatalf("files %q: verdict %q with p %g", files, h.Verdict, h.PWithin)
		}
		return h
	}
	for _, tt := range []struct{ with, without []string }{
		{[]string{"1", "2", "1"}, []string{"1", "2"}},
		{[]string{"1", "1"}, []string{"1"}},
	} {
		with, without := WhatWouldDecideHole(hole(tt.with...)), WhatWouldDecideHole(hole(tt.without...))
		if d := cmp.Diff(without, with, cmpopts.EquateApprox(1e-3, 1e-12)); d != "" || len(with) == 0 {
			t.Errorf("files %q against %q (-want +got):\n%s", tt.with, tt.without, d)
		}
	}
}

// undecided is a reading just inside the tolerance, mostly unsure of its view.
func undecided() *Reading {
	r := &Reading{Job: JobCard{BoreMM: 8, ChamferMM: 0.3, ThicknessMM: 10}.WithDefaults(), Mismatch: Vec{0.0225, 0}, WidthMM: 0.3}
	r.Budget = []BudgetLine{
		{Source: SourcePoints, Unit: "px", Cov: Sym2{1e-7, 0, 1e-7}, Follows: FollowsPhoto},
		{Source: SourceLight, Unit: "px", Cov: Sym2{4e-7, 0, 4e-7}, Follows: FollowsCamera},
		{Source: SourceView, Unit: "rad", Cov: Sym2{9e-6, 0, 9e-6}, Follows: FollowsCamera},
		{Source: SourceBore, Unit: "mm", Cov: Sym2{2e-8, 0, 0}, Follows: FollowsPart},
	}
	r.Cov = TotalCov(r.Budget)
	r.Verdict, r.PWithin = Judge(r.Mismatch, r.Cov, r.Job.ToleranceMM, r.Job.Zone)
	return r
}

func TestWhatWouldDecide(t *testing.T) {
	r := undecided()
	if r.Verdict != Undecided {
		t.Fatalf("verdict %q with p %g", r.Verdict, r.PWithin)
	}
	steps := WhatWouldDecide(r)
	find := func(word string) *NextStep {
		for i := range steps {
			if strings.Contains(steps[i].What, word) {
				return &steps[i]
			}
		}
		return nil
	}
	turn, four, paper := find("half a turn"), find("quarter turn"), find("white paper")
	if turn == nil || four == nil || paper == nil {
		t.Fatalf("steps %+v, want turns and white paper", steps)
	}
	// What stays with the camera goes, what is new in each photo is averaged, the part's own
	// stays; half of light and view are new, and a tenth of the light turns with the part.
	own, light, view, part := 1e-7, 4e-7, 9e-6, 2e-8
	stays, fresh := part+light/10, own+light/2+view/2
	near(t, "variance after half a turn", turn.Cov.XX, stays+fresh/2, 1e-12)
	near(t, "variance after four", four.Cov.XX, stays+fresh/4, 1e-12)
	// White paper: the view to 0.01 degree over a depth of 0.3 mm.
	near(t, "variance with white paper", paper.Cov.YY, 1e-7+4e-7+sq(0.3*0.01*math.Pi/180), 1e-12)
	near(t, "U95", paper.U95MM, math.Sqrt(5.991464547*(paper.Cov.XX)), 1e-9)
	if turn.Verdict != Conforms {
		t.Errorf("verdict after half a turn %q, want conforms: 2.9 um inside", turn.Verdict)
	}
	for i, s := range steps {
		if s.U95MM >= U95(r.Cov) {
			t.Errorf("%q does not help: %g of %g", s.What, s.U95MM, U95(r.Cov))
		}
		if i > 0 && s.Chance > steps[i-1].Chance {
			t.Errorf("steps are not by falling chance")
		}
		if !strings.Contains(s.Words(), "um") {
			t.Errorf("words %q lack the expected uncertainty", s.Words())
		}
	}
	if find("closer") != nil {
		t.Error("a closer picture is advised though the view is what is unsure")
	}
	r.Verdict = Conforms
	if s := WhatWouldDecide(r); s != nil {
		t.Errorf("steps %v for a reading that is decided", s)
	}
}

// The stated chance is what happens.
func TestChanceOfAVerdict(t *testing.T) {
	r := undecided()
	s := WhatWouldDecide(r)[0]
	rng := rand.New(rand.NewPCG(77, 1))
	const n = 4000
	decided := 0
	for range n {
		truth := r.Mismatch.Add(drawCov(rng, r.Cov))
		if v, _ := Judge(truth.Add(drawCov(rng, s.Cov)), s.Cov, r.Job.ToleranceMM, r.Job.Zone); v != Undecided {
			decided++
		}
	}
	near(t, "chance", float64(decided)/n, s.Chance, 0.06)
}

// An inch shop reads the figures, too, and a chance seen in all of 400 trials is no certainty.
func TestNextStepSpeaksBothUnits(t *testing.T) {
	// 0.00254 mm is a tenth of a thou by the definition of the inch.
	got := NextStep{What: "Come closer.", U95MM: 0.00254, Chance: 1}.Words()
	if want := "Come closer. Expected uncertainty 2.5 um (0.0001 in); over 99.9 % chance of a verdict."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
