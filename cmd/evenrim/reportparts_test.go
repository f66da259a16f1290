package main

import (
	"image"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/model/report"
)

// The part's page tells holes apart as the verb part does: without names by place.
func TestThePartsPageTellsHolesByPlace(t *testing.T) {
	reading := func(photo string) *model.Reading {
		cov := model.Sym2{XX: 1e-6, YY: 1e-6}
		return &model.Reading{Photo: model.Photo{Name: photo}, Job: model.JobCard{BoreMM: 10}.WithDefaults(), Cov: cov}
	}
	none := func() *image.RGBA { return nil }
	pages := func(hole string, x ...float64) ([]report.Page, string) {
		var said strings.Builder
		b := newPartBook()
		for i := range x {
			b.addReading(model.ListRow{Part: "1", Hole: hole, HoleAt: &model.Vec{X: x[i]}}, reading(string(rune('a'+i))), none)
		}
		return b.pages(&app{errOut: &said}), said.String()
	}
	got, said := pages("", -50, 50)
	if len(got) != 1 || len(got[0].(*report.PartPage).Fit.Holes) != 2 {
		t.Errorf("%+v (%s), want a page of two holes", got, said)
	}
	if got, said := pages("A", -50, 50); len(got) != 0 || !strings.Contains(said, "two places") || strings.Contains(said, "..") {
		t.Errorf("one hole at two places: %d pages, said %q", len(got), said)
	}
}
