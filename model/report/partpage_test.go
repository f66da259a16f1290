package report

import (
	"fmt"
	"image"
	"math"
	"strings"
	"testing"

	"evenrim/model"
	"evenrim/model/chart"

	"gonum.org/v1/plot/vg"
)

// part is a plate whose setup 2 landed at shift and turned by turn, its holes on
// a grid; walls sit on two sides.
func part(t *testing.T, n int, shift model.Vec, turn float64, walls bool, mod func(i int, h *model.HoleReading)) *model.PartFit {
	t.Helper()
	var holes []model.HoleReading
	for i := range n {
		at := model.Vec{X: 30*float64(i%3) - 30, Y: 25*float64(i/3) - 12}
		r := sample(shift.Add(at.Rotate(turn).Sub(at)), false)
		h, err := model.JoinHole(fmt.Sprintf("H%d", i+1), &at, []*model.Reading{r}, nil)
		if err != nil {
			t.Fatal(err)
		}
		if mod != nil {
			mod(i, &h)
		}
		holes = append(holes, h)
	}
	var w []model.Wall
	if walls {
		for i, deg := range []float64{0, 180, 90} {
			nrm := model.Polar(1, deg*math.Pi/180)
			at := nrm.Scale(60).Add(model.Vec{X: 0, Y: 5})
			step := nrm.Dot(shift.Add(at.Rotate(turn).Sub(at)))
			w = append(w, model.Wall{Name: fmt.Sprintf("W%d", i+1), At: at, NormalRad: deg * math.Pi / 180, StepMM: []float64{step, step}, ResolutionMM: 0.002})
		}
	}
	f, err := model.FitPart("7", holes, w)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestPartPageSaysAllThatMatters(t *testing.T) {
	for _, c := range []struct {
		name string
		page PartPage
		want []string
		not  []string
	}{
		{"shifted and turned", PartPage{Fit: part(t, 6, model.Vec{X: 0.06, Y: -0.02}, 0.0014, false, nil), Photo: func(*model.Reading) *image.RGBA { return photo() }},
			[]string{"Part 7", "6 holes, 6 photos", "Does not conform", "X +0.0600", "Y −0.0200", "turn +0.080°", "0.0600 mm towards +X and 0.0200 mm towards −Y",
				"turned counter-clockwise", "0.140 mm over 100 mm", "fit one rigid part", "add X −0.0600, Y +0.0200 mm", "Turn the part by +0.080°", "coordinate system by −0.080°",
				"H1", "H6", "unrolled rim", "single block", "abababab", "times as long"},
			[]string{"Walls", "not both"}},
		{"advice with cautions of its own", func() PartPage {
			f := part(t, 6, model.Vec{X: 0.06, Y: -0.02}, 0.0014, false, nil)
			a := model.AdvisePart(f, model.JobCard{BoreMM: 8}, model.Machine{})
			return PartPage{Fit: f, Advice: &a}
		}(), []string{"never in both", "Spindle stopped", "single block", "qualified person decide"}, nil},
		{"shift alone, inch", PartPage{Fit: part(t, 6, model.Vec{X: 0.0508}, 0, false, nil), Job: model.JobCard{ShowInch: true, Flip: model.FlipAboutX}},
			[]string{"X +0.00200", "in inches", "A rotation cannot be told from none", "add X −0.00200", "part turned about X): add X +0.00200", "not both"},
			[]string{"Turn the part", "unrolled rim", " mm "}},
		{"nothing to correct", PartPage{Fit: part(t, 6, model.Vec{X: 0.0001}, 0, false, nil)},
			[]string{"No shift of setup 2 as a whole can be told", "None: neither shift nor rotation"}, []string{"to its work offset"}},
		{"with walls", PartPage{Fit: part(t, 6, model.Vec{X: 0.06, Y: -0.02}, 0.0014, true, nil)},
			[]string{"3 walls", "Walls (step in mm", "W1", "proud", "W1 and W2:", "Photos and indicator"}, []string{"X -", "X −0.00 ", "Y -", "rotation -"}},
		{"walls that contradict", PartPage{Fit: func() *model.PartFit {
			holes, wall := part(t, 6, model.Vec{X: 0.06, Y: -0.02}, 0, false, nil), model.Wall{StepMM: []float64{-0.06, -0.06}, ResolutionMM: 0.002}
			right, left := wall, wall
			right.Name, right.At = "right", model.Vec{X: 60}
			left.Name, left.At, left.NormalRad, left.StepMM = "left", model.Vec{X: -60}, math.Pi, []float64{0.06, 0.06}
			var read []model.HoleReading
			for _, h := range holes.Holes {
				read = append(read, h.HoleReading)
			}
			f, err := model.FitPart("7", read, []model.Wall{right, left})
			if err != nil {
				t.Fatal(err)
			}
			return f
		}()}, []string{"X ?   Y ? mm", "Photos and indicator contradict each other", "Photos and indicator do not agree (X", "together", "no correction before that is cleared"},
			[]string{"work offset,", "Turn the part", "cannot be told", "turn +", "fit one rigid part"}},
		{"places unknown", PartPage{Fit: part(t, 2, model.Vec{X: 0.06}, 0, false, func(_ int, h *model.HoleReading) { h.HasPlace = false })},
			[]string{"places not given", "A rotation cannot be told from these readings"}, nil},
		{"walls alone", PartPage{Fit: part(t, 0, model.Vec{X: 0.06, Y: 0.01}, 0, true, nil)},
			[]string{"Walls only", "no date"}, []string{"Holes ("}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := words(&c.page, A4)
			for _, w := range c.want {
				if !strings.Contains(got, w) {
					t.Errorf("the page doesn't say %q; it says:\n%s", w, got)
				}
			}
			for _, w := range c.not {
				if strings.Contains(got, w) {
					t.Errorf("the page says %q; it says:\n%s", w, got)
				}
			}
		})
	}
}

func TestPartPageHoldsManyHoles(t *testing.T) {
	f := part(t, 60, model.Vec{X: 0.06}, 0.001, true, nil)
	for range 15 {
		f.Warnings = append(f.Warnings, strings.Repeat("many words ", 20))
		f.Walls = append(f.Walls, f.Walls[0])
	}
	p := &PartPage{Fit: f, Photo: func(*model.Reading) *image.RGBA { return photo() }, Version: "0.1.0", Labels: Labels{Note: "the end"}}
	for _, paper := range []Paper{A4, Letter} {
		_, h := paper.Size()
		note, foot := vg.Length(0), h
		for _, s := range written(p, paper) {
			switch {
			case strings.HasPrefix(s.String, "Note:"):
				note = s.Point.Y
			case strings.HasPrefix(s.String, "Evenrim 0.1.0"):
				foot = s.Point.Y
			}
		}
		if !(note > foot) {
			t.Errorf("paper %d: the last line at %.0f runs into the foot at %.0f", paper, note, foot)
		}
		if said := words(p, paper); !strings.Contains(said, "holes more on the next page") || !strings.Contains(said, "warnings more on the next page") || strings.Contains(said, "in the record") {
			t.Errorf("paper %d: where the rest is isn't said", paper)
		}
	}
}

// Each hole, wall and warning is printed, once, above the foot of its page.
func TestPartPagesLeaveNothingOut(t *testing.T) {
	for _, n := range []int{3, 9, 60} {
		f := part(t, n, model.Vec{X: 0.06}, 0.001, true, nil)
		for i := range n {
			w := f.Walls[0]
			w.Wall = fmt.Sprintf("wall%d", i)
			f.Walls = append(f.Walls, w)
			f.Warnings = append(f.Warnings, fmt.Sprintf("warning%d %s", i, strings.Repeat("many words ", 20)))
		}
		p := &PartPage{Fit: f, Version: "0.1.0"}
		if n < 10 { // unrolled rims take their time
			p.Photo = func(*model.Reading) *image.RGBA { return photo() }
		}
		for _, paper := range []Paper{A4, Letter} {
			said := map[string]int{}
			pages := WithRest(paper, p)
			for k, page := range pages {
				foot, lowest := vg.Length(0), vg.Length(1e9)
				for _, s := range written(page, paper) {
					said[strings.TrimPrefix(s.String, "–")]++
					if strings.HasPrefix(s.String, "Warning") {
						said[strings.Fields(s.String)[0]]++
					}
					if strings.HasPrefix(s.String, "Evenrim 0.1.0") {
						foot = s.Point.Y
					} else if foot == 0 {
						lowest = min(lowest, s.Point.Y)
					}
				}
				if k > 0 && !(lowest > foot) { // the first one's pictures have turned words
					t.Errorf("%d holes, page %d: a line at %.0f runs into the foot at %.0f", n, k+1, lowest, foot)
				}
			}
			for i := range n {
				for _, name := range []string{fmt.Sprintf("wall%d", i), fmt.Sprintf("Warning%d", i)} {
					if said[name] != 1 {
						t.Errorf("%d holes on %d pages: %s stands there %d times", n, len(pages), name, said[name])
					}
				}
				if name := fmt.Sprintf("H%d", i+1); said[name] < 1 {
					t.Errorf("%d holes on %d pages: hole %s is missing", n, len(pages), name)
				}
			}
		}
	}
}

func TestPartMapMagnifiesRoundly(t *testing.T) {
	for _, n := range []int{1, 2, 6} {
		f := part(t, n, model.Vec{X: 0.06, Y: 0.01}, 0, false, nil)
		said := words(chart.PartMap(f, chart.PartOptions{Style: chart.Light()}), A4)
		var k float64
		if _, err := fmt.Sscanf(said[strings.Index(said, "arrows"):], "arrows %g times", &k); err != nil {
			t.Fatalf("no factor in %q", said)
		}
		m := k / math.Pow(10, math.Floor(math.Log10(k)+1e-9))
		if m != 1 && m != 2 && m != 5 {
			t.Errorf("%d holes: magnified by %g, want 1, 2 or 5 times a power of ten", n, k)
		}
	}
}
