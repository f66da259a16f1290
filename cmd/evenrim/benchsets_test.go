package main

import (
	"runtime"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/model/accuracy"
)

// known is a photo of a series, the part turned by turn degrees.
func known(series string, dx, turn float64) knownPhoto {
	return knownPhoto{Series: series, Bore: 8, DX: dx, Nominal: 0.3, Width: 0.3, PxPerMM: 100, Turn: turn, PlusX: turn}
}

// said is a reading of k that is off by e, mm, along the part's X.
func said(k knownPhoto, e float64) *model.Reading {
	r := &model.Reading{Job: k.job(), Mismatch: model.Vec{X: k.DX + e, Y: k.DY}, Cov: model.Sym2{XX: 1e-6, YY: 1e-6}}
	r.Photo.Name = k.Series
	return r
}

// Only photos of one hole that was turned between them are joined: not six holes of one part, nor
// a batch, nor photos by themselves.
func TestBenchJoinsOnlyTurnSets(t *testing.T) {
	var s turnSets
	add := func(k knownPhoto, e float64) { s.add(k, said(k, e), "") }
	for i, turn := range []float64{0, 90, 180, 270} {
		add(known("turned", 0.02, turn), []float64{0.003, -0.001, 0.001, -0.001}[i])
		add(known("holes", float64(i), 0), 0)
		add(known("batch", 0.02, 0), 0)
		add(known("", 0.02, turn), 0)
	}
	one := known("one refused", 0.01, 0)
	add(one, 0)
	one.Turn = 180
	s.add(one, nil, model.Blurred)
	cases, err := s.cases()
	if err != nil || len(cases) != 2 {
		t.Fatalf("%d sets (%v), want the turned one and the one of which one photo was read", len(cases), err)
	}
	if c := cases[0]; c.Photo != "turned" || c.Refused != "" || c.ErrMM < 0.0004 || c.ErrMM > 0.0006 || !c.Covered || c.UmPerPx != 10 {
		t.Errorf("the joined set: %+v, want an error of half a um (the mean of four)", c)
	}
	if c := cases[1]; c.Photo != "one refused" || c.Refused != model.Blurred {
		t.Errorf("one photo of two: %+v, want it refused as blurred", c)
	}
}

func TestBenchDrawsTurnSets(t *testing.T) {
	out, err := program(t, "bench", "--count", "4", "--turns", "2", "--seed", "4").Output()
	if code := exitOf(t, err); code != 0 {
		t.Fatalf("exit code %d", code)
	}
	if text := string(out); !strings.Contains(text, "Joined, the part turned between its photos: 2 holes, 0 refused.") {
		t.Errorf("the bench does not judge the two holes:\n%s", text)
	}
	for _, tt := range []struct {
		args []string
		want string // part of the sentence
	}{
		{[]string{"bench", "--turns", "0"}, "--turns is a number from 1 to 12"},
		{[]string{"bench", "--turns", "2", "--photos", "."}, "leave out --photos and --figure"},
		{[]string{"bench", "--turns", "2", "--figure", "bias"}, "leave out --photos and --figure"},
		{[]string{"synth", "--out", "x.png", "--turns", "2"}, "--turns goes with --set"},
		{[]string{"synth", "--set", t.TempDir(), "--turns", "13"}, "1 to 12 photos; 13 were asked for"},
	} {
		cmd := program(t, tt.args...)
		var words strings.Builder
		cmd.Stderr = &words
		if code := exitOf(t, cmd.Run()); code != exitUsage || !strings.Contains(words.String(), tt.want) {
			t.Errorf("%v: exit code %d, %q; want %d and %q", tt.args, code, words.String(), exitUsage, tt.want)
		}
	}
}

// Drawn holes, four photos of each, the part turned: what they say joined holds the truth as often
// as it says (binomial: 16 or more of 18 in 94 % of such tests). As if turning took out all that light
// and view have wrong, 14 did.
func TestJoinedPhotosHoldTheTruth(t *testing.T) {
	const holes, turns = 18, 4
	v := &benchVerb{seed: 3, turns: turns}
	type outcome struct {
		k   knownPhoto
		r   *model.Reading
		c   accuracy.Case
		err error
	}
	var s turnSets
	workers := runtime.GOMAXPROCS(0)
	err := inOrder(holes*turns, workers, 2*workers, func(i int) outcome {
		p := v.drawn(i)
		c, r, err := readKnown(t.Context(), p, i)
		return outcome{p.knownPhoto, r, c, err}
	}, func(i int, o outcome) error {
		s.add(o.k, o.r, o.c.Refused)
		return o.err
	})
	if err != nil {
		t.Fatal(err)
	}
	cases, err := s.cases()
	if err != nil {
		t.Fatal(err)
	}
	sum := accuracy.Sum("", cases)
	if sum.Readings < holes-1 || sum.Covered.K < 16 || sum.MedianPx > 0.1 {
		t.Errorf("%d of %d sets read, %d hold the truth, %.2f px off on the middle: want all but one, 16, 0.1 px", sum.Readings, holes, sum.Covered.K, sum.MedianPx)
	}
}
