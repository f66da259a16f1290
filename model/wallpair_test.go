package model

import (
	"math"
	"strings"
	"testing"
)

// pairOf is two opposite walls, each read twice by an indicator of 0.002 mm a division.
func pairOf(name [2]string, at Vec, normalDeg float64, step, opposite float64) []Wall {
	n := normalDeg * degree
	return []Wall{
		{Name: name[0], At: at, NormalRad: n, StepMM: []float64{step, step}, ResolutionMM: 0.002},
		{Name: name[1], At: at.Sub(Polar(2*at.Dot(Polar(1, n)), n)), NormalRad: n + math.Pi, StepMM: []float64{opposite, opposite}, ResolutionMM: 0.002},
	}
}

// Half the difference of two opposite steps is mismatch, half the sum is size (common
// practice, no source): two walls that face along an axis tell both, wherever along the
// walls they were read, and nothing of the other axis.
func TestTwoOppositeWallsTellShiftAndSize(t *testing.T) {
	for _, tt := range []struct {
		name           string
		walls          []Wall
		knowsX, knowsY bool
	}{
		{"right and left", pairOf([2]string{"right", "left"}, Vec{60, 0}, 0, 0.066, -0.056), true, false},
		{"left and right", pairOf([2]string{"left", "right"}, Vec{-60, 0}, 180, 0.066, -0.056), true, false},
		{"back and front", pairOf([2]string{"back", "front"}, Vec{0, 40}, 90, 0.066, -0.056), false, true},
		{"front and back, 270 degrees", pairOf([2]string{"front", "back"}, Vec{0, -40}, 270, 0.066, -0.056), false, true},
		{"right and left, off the axis", pairOf([2]string{"right", "left"}, Vec{60, 25}, 0, 0.066, -0.056), true, false},
		{"back and front, off the axis", pairOf([2]string{"back", "front"}, Vec{-33, 40}, 90, 0.066, -0.056), false, true},
		{"oblique", pairOf([2]string{"a", "b"}, Polar(60, 30*degree), 30, 0.066, -0.056), false, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			f, err := FitPart("block", nil, tt.walls)
			if err != nil {
				t.Fatal(err)
			}
			if f.KnowsX != tt.knowsX || f.KnowsY != tt.knowsY || f.KnowsRotation || !f.KnowsSize {
				t.Fatalf("knows X %v, Y %v, rotation %v, size %v; want %v, %v, false, true", f.KnowsX, f.KnowsY, f.KnowsRotation, f.KnowsSize, tt.knowsX, tt.knowsY)
			}
			near(t, "size", f.SizeMM, 0.005, 1e-9)
			way := Polar(1, tt.walls[0].NormalRad)
			near(t, "shift along the walls' normal", f.Shift.Dot(way), 0.061, 1e-9)
			if tt.knowsX || tt.knowsY {
				// Of each wall: two roundings of half a division, twice 0.577 um, one repeat
				// over root 2, 1 % gain; the mean of two walls is root 2 better.
				u := math.Hypot(f.Walls[0].UMM, f.Walls[1].UMM) / 2
				near(t, "its u", math.Sqrt(f.ShiftCov().Rotate(-tt.walls[0].NormalRad).XX), u, 1e-9)
			}
		})
	}
	f, _ := FitPart("block", nil, pairOf([2]string{"right", "left"}, Vec{60, 0}, 0, 0.061, -0.061))
	if said := strings.Join(f.Warnings, " "); !strings.Contains(said, "The shift in Y cannot be told") {
		t.Errorf("warnings %q, want Y alone named as open", said)
	}
}

// Walls whose middles lie hundredths apart tell no rotation by that.
func TestATinyLeverTellsNoRotation(t *testing.T) {
	walls := box(Vec{0.03, -0.01}, 0, 0.006, silent)
	for i := range walls {
		walls[i].StepMM, walls[i].AlongMM = []float64{walls[i].StepMM[1] + []float64{0.001, 0, 0, -0.001}[i]}, nil
	}
	walls[0].At.Y += 0.001
	f, err := FitPart("block", nil, walls)
	if err != nil {
		t.Fatal(err)
	}
	if f.KnowsRotation {
		t.Errorf("a lever of 0.001 mm tells a rotation of %.3f +- %.3f rad", f.RotationRad, math.Sqrt(f.Cov[pTurn][pTurn]))
	}
	near(t, "shift X", f.Shift.X, 0.03, 0.001)
}
