package main

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/model/report"
)

func aReading() *model.Reading {
	return &model.Reading{
		Job:      model.JobCard{BoreMM: 8, ChamferMM: 0.3}.WithDefaults(),
		Mismatch: model.Vec{X: 0.0312, Y: -0.0040}, Cov: model.Sym2{XX: 1.1e-6, YY: 1.1e-6}, U95MM: 0.00257,
		WidthMM: 0.2481, WidthUMM: 0.0008, Camera: model.Camera{PxPerMM: 92}, View: model.View{How: model.FromExitRim},
		Verdict: model.Undecided, PWithin: 0.0123, Correction: model.Correct(model.Vec{X: 0.0312, Y: -0.0040}, model.FlipAboutY),
	}
}

func TestReadingInWords(t *testing.T) {
	inch := aReading()
	inch.Job.ShowInch, inch.Job.Zone = true, model.SquareZone
	even := aReading()
	even.Mismatch, even.Correction = model.Vec{X: 0.0005}, model.Correct(model.Vec{X: 0.0005}, "")
	gone := aReading()
	gone.WidthMM, gone.VanishedRad = 0.02, math.Pi/2
	gone.Damage = []model.Damage{{AtRad: 0, WidthRad: 0.2, Kind: model.Outward, Rim: "outer"}}
	gone.Warnings = []string{"The light comes from one side."}
	bare := &model.Reading{Job: aReading().Job, Mismatch: model.Vec{X: 0.01}}
	turned := aReading()
	turned.Job.PlusX = 0.5
	lopsided := aReading()
	lopsided.Mismatch.Y = -0.0005 // below its own uncertainty
	for _, tt := range []struct {
		name string
		r    *model.Reading
		want []string // all in the text, in this order
		not  string
	}{
		{"mm", aReading(), []string{"a.jpg\n", "X +0.0312   Y -0.0040   +/- 0.0026 mm (95 %)", "Undecided: within the circle of radius 0.0254 mm with probability 1 %",
			"setup 2's work offset in X by -0.0312, Y by +0.0040 mm", "setup 1's in X by -0.0312, Y by -0.0040 mm (part turned over about Y)", "+X is taken to point right in the photo",
			"0.2481 +/- 0.0016 mm wide; widest at 3 o'clock (0.279", "narrowest at 9 o'clock (0.216", "from the exit rim"}, "Caution"},
		// 0.0312 mm = 0.001228 in, 0.0026 mm = 0.00010 in rounded up to 0.00011.
		{"inch, square zone", inch, []string{"X +0.00123   Y -0.00016   +/- 0.00011 in", "square of +/- 0.001 in"}, "mm"},
		{"one axis", lopsided, []string{"setup 2's work offset in X by -0.0312 mm, leave Y"}, "Y by"},
		{"arrow turned", turned, []string{"X by -0.0312"}, "taken to point"},
		{"even", even, []string{"No move: the mismatch cannot be told from none.", "even all round."}, "To correct"},
		{"vanished, damaged, warned", gone, []string{"gone at 9 o'clock", "Caution: The outer edge departs outward at 3 o'clock over 11 degrees", "Caution: The light"}, ""},
		{"nothing computed", bare, []string{"+/- unknown mm", "No verdict was computed.", "No correction was computed."}, "To correct"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got := string(readingInWords("a.jpg", tt.r))
			rest := got
			for _, w := range tt.want {
				i := strings.Index(rest, w)
				if i < 0 {
					t.Fatalf("%q is not there, or not in its place:\n%s", w, got)
				}
				rest = rest[i+len(w):]
			}
			if tt.not != "" && strings.Contains(got, tt.not) {
				t.Errorf("%q does not belong here:\n%s", tt.not, got)
			}
			for _, r := range got {
				if r > 126 {
					t.Errorf("%q: not every terminal shows that", r)
				}
			}
		})
	}
}

// What a kept reading says to move comes with what to mind, as when it was read; a
// script's JSON and an even rim don't need it.
func TestCautionBesideAKeptReading(t *testing.T) {
	even := aReading()
	even.Mismatch, even.Correction = model.Vec{X: 0.0005}, model.Correct(model.Vec{X: 0.0005}, model.FlipAboutY)
	for _, tt := range []struct {
		name string
		r    *model.Reading
		json bool
		want string
	}{{"in words", aReading(), false, report.Caution + "\n"}, {"as JSON", aReading(), true, ""}, {"even", even, false, ""}} {
		var said bytes.Buffer
		(&app{errOut: &said}).cautionAbout(tt.r, tt.json)
		if said.String() != tt.want {
			t.Errorf("%s: said %q, want %q", tt.name, said.String(), tt.want)
		}
	}
}
