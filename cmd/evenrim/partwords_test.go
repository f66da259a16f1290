package main

import (
	"math"
	"strings"
	"testing"

	"evenrim/model"
)

// One pair of walls tells one axis, and the terminal says it.
func TestTerminalSaysTheAxisThatAPairOfWallsTells(t *testing.T) {
	r, err := model.WorkOutPart(model.PartWork{Name: "7", Walls: []model.WallRow{
		{Wall: model.Wall{Name: "right", At: model.Vec{X: 60}, StepMM: []float64{0.061, 0.061}, ResolutionMM: 0.002}},
		{Wall: model.Wall{Name: "left", At: model.Vec{X: -60}, NormalRad: math.Pi, StepMM: []float64{-0.061, -0.061}, ResolutionMM: 0.002}},
	}})
	if err != nil {
		t.Fatal(err)
	}
	said := string(partInWords(r))
	if !strings.Contains(said, "Shift X +0.0610 +/- ") || strings.Contains(said, "Shift Y") || !strings.Contains(said, "Size difference 0.0000") {
		t.Errorf("shift in X and size aren't said, or Y is:\n%s", said)
	}
}
