package main

import (
	"fmt"
	"math"

	"evenrim/model"
	"evenrim/model/accuracy"
	"evenrim/vision/synth"
)

// hole tells the holes of a set apart: a series may be of several.
type hole struct {
	series             string
	boreMM, dxMM, dyMM float64
}

// turnSet is what was read of one hole.
type turnSet struct {
	first    knownPhoto
	readings []*model.Reading
	turnRad  []float64
	photos   int
	turned   bool // between some two of its photos
	refused  model.Reason
}

// turnSets gathers the photos of each hole, in the order in which the holes came.
type turnSets struct {
	order []*turnSet
	of    map[hole]*turnSet
}

// add takes what was read of a photo: r is nil where it was refused.
func (s *turnSets) add(k knownPhoto, r *model.Reading, refused model.Reason) {
	if k.Series == "" || k.Hole != nil && !*k.Hole {
		return
	}
	h := hole{k.Series, k.Bore, k.DX, k.DY}
	t := s.of[h]
	if t == nil {
		t = &turnSet{first: k}
		if s.of == nil {
			s.of = map[hole]*turnSet{}
		}
		s.of[h], s.order = t, append(s.order, t)
	}
	t.photos++
	t.turned = t.turned || k.Turn != t.first.Turn
	if r == nil {
		t.refused = refused
		return
	}
	t.readings, t.turnRad = append(t.readings, r), append(t.turnRad, (k.Turn-t.first.Turn)*math.Pi/180)
}

// cases joins the photos of each hole that was turned between them, and judges what they say
// together. A hole of which fewer than two were read counts as refused, for the last one's reason.
func (s *turnSets) cases() (out []accuracy.Case, err error) {
	for _, t := range s.order {
		if t.photos < 2 || !t.turned {
			continue
		}
		k := t.first
		c := accuracy.Case{Photo: k.Series, Light: k.Light, Backing: k.Background, WidthPx: k.Width * k.PxPerMM, UmPerPx: 1000 / k.PxPerMM, HasHole: true}
		if len(t.readings) < 2 {
			c.Refused = t.refused
		} else {
			set, err := model.JoinTurns(t.readings, t.turnRad)
			if err != nil {
				return nil, fmt.Errorf("The photos of %s cannot be joined: %w", k.Series, err)
			}
			c.JudgeSet(set, t.readings[0].Job, k.mismatch())
		}
		out = append(out, c)
	}
	return out, nil
}

// setTable prints how well holes were read of which several photos were joined.
func (v *benchVerb) setTable(cases []accuracy.Case) {
	if len(cases) == 0 {
		return
	}
	fmt.Fprintln(v.app.out)
	if len(cases) >= 12 {
		var lights []string
		for _, l := range synth.Lights {
			lights = append(lights, string(l))
		}
		v.rows("turn sets in light", accuracy.GroupBy(cases, func(c accuracy.Case) string { return c.Light }, lights...))
	}
	r := accuracy.Sum("", cases)
	if r.Readings == 0 {
		fmt.Fprintf(v.app.out, "No turn set of %d could be joined.\n", r.Refused)
		return
	}
	fmt.Fprintf(v.app.out, "Joined, the part turned between its photos: %d holes, %d refused%s. Error: median %.1f um (%.2f px), 95 %% %.1f um (%.2f px). The stated 95 %% region covered %s (%s).\n",
		r.Readings, r.Refused, reasons(r), r.MedianUM, r.MedianPx, r.P95UM, r.P95Px, percent(r.Covered), interval(r.Covered))
}
