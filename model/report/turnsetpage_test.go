package report

import (
	"fmt"
	"image"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"evenrim/model"
	"evenrim/model/chart"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/recorder"
)

// turned are photos of one hole, each turned by an equal share from the last, under a
// camera that has all of them wrong by bias, mm.
func turned(t *testing.T, n int, d, bias model.Vec, inch bool) (*model.Joined, []*model.Reading) {
	t.Helper()
	var readings []*model.Reading
	for i := range n {
		plusX := 2 * math.Pi * float64(i) / float64(n)
		r := sample(d.Add(bias.Rotate(-plusX)), inch)
		r.Photo.SHA256 = strings.Repeat(string(rune('a'+i))+"b", 32)
		r.Photo.Name, r.Job.PlusX, r.Camera.PlusX = fmt.Sprintf("turn-%d.jpg", i+1), plusX, plusX
		r.Budget = []model.BudgetLine{
			{Source: model.SourcePoints, Cov: model.Sym2{XX: 1e-7, YY: 1e-7}, Follows: model.FollowsPhoto},
			{Source: model.SourceLight, Cov: model.Sym2{XX: 9e-7, XY: 2e-7, YY: 7e-7}, Follows: model.FollowsCamera},
		}
		readings = append(readings, r)
	}
	h, err := model.JoinHole("A", nil, readings, nil)
	if err != nil {
		t.Fatal(err)
	}
	return h.Joined("0.1.0", time.Date(2026, 3, 4, 5, 6, 7, 0, time.UTC)), readings
}

// upright is what is written on a page but for words that stand along an axis, whose
// place is told in turned coordinates.
func upright(p chart.Figure, paper Paper) []*recorder.FillString {
	return slices.DeleteFunc(written(p, paper), func(s *recorder.FillString) bool {
		return strings.HasPrefix(s.String, "Y, ") || strings.HasPrefix(s.String, "up in")
	})
}

func TestTurnSetPageSaysAllThatMatters(t *testing.T) {
	d, bias := model.Vec{X: 0.04, Y: -0.01}, model.Vec{X: 0.012, Y: 0.005}
	for _, c := range []struct {
		name string
		n    int
		inch bool
		want []string
	}{
		{"two photos", 2, false, []string{"Turn set", "2 photos of one hole", "X +0.0400", "Y −0.0100", "turn-1.jpg", "180°", "wrong by the same 0.0130",
			"+0.0120 to the right", "+0.0050 up", "add X −0.0400, Y +0.0100 mm", "single block", "no turning takes out", "record T3", "abababab", "unrolled rim"}},
		{"four photos, inch", 4, true, []string{"4 photos", "270°", "in inches", "chi²", "times surer than one"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			j, members := turned(t, c.n, d, bias, c.inch)
			page := &TurnSetPage{Joined: j, Members: members, Labels: Labels{Part: "9", Record: "T3"},
				Photo: func(*model.Reading) *image.RGBA { return photo() }}
			for _, paper := range []Paper{A4, Letter} {
				got := words(page, paper)
				for _, w := range c.want {
					if !strings.Contains(got, w) {
						t.Errorf("the page doesn't say %q; it says:\n%s", w, got)
					}
				}
				_, height := paper.Size()
				for _, s := range upright(page, paper) {
					if s.Point.Y < 0 || s.Point.Y > height {
						t.Errorf("%q lies off the page, at %.0f of %.0f", s.String, s.Point.Y, height)
					}
				}
			}
		})
	}
}

// A picture that is there twice counts once, and the page says so.
func TestTurnSetPageCountsAPictureOnce(t *testing.T) {
	d := model.Vec{X: 0.04, Y: -0.01}
	_, two := turned(t, 2, d, model.Vec{X: 0.012}, false)
	copied := *two[1]
	for _, c := range []struct {
		name    string
		members []*model.Reading
		want    []string
	}{
		{"three of two pictures", []*model.Reading{two[0], two[1], &copied},
			[]string{"2 of 3 photos of one hole", "Photo turn-2.jpg is in this hole twice and counts once.", "turn-2.jpg, left out", "two photos alone cannot tell"}},
		{"two of one", []*model.Reading{two[1], &copied}, []string{"1 of 2 photos of one hole, all one picture", "counts once", "Nothing. The photos together are no surer than one: they are one picture.", "one picture alone cannot tell"}},
	} {
		h, err := model.JoinHole("A", nil, c.members, nil)
		if err != nil {
			t.Fatal(err)
		}
		got := words(&TurnSetPage{Joined: h.Joined("0.1.0", time.Unix(0, 0)), Members: c.members}, A4)
		for _, w := range c.want {
			if !strings.Contains(got, w) {
				t.Errorf("%s: the page doesn't say %q; it says:\n%s", c.name, w, got)
			}
		}
		f, err := model.FitPart("7", []model.HoleReading{h}, nil)
		if err != nil {
			t.Fatal(err)
		}
		one := counted(h.Set.Pictures(), "photo")
		if got := (&PartPage{Fit: f}).contents(); got != "1 hole, "+one {
			t.Errorf("%s: the part's page counts %q, want 1 hole, %s", c.name, got, one)
		}
	}
}

// Without photos the pictures are the two maps, and nothing overlaps the foot.
func TestTurnSetPageDoesWithoutPhotos(t *testing.T) {
	j, members := turned(t, 4, model.Vec{X: 0.04}, model.Vec{Y: 0.01}, false)
	j.Set.Warnings = []string{strings.Repeat("a long warning of many words ", 12), "another one"}
	page := &TurnSetPage{Joined: j, Members: members}
	foot := vg.Length(math.Inf(1))
	for _, s := range written(page, A4) {
		if strings.HasPrefix(s.String, "Evenrim 0.1.0") {
			foot = s.Point.Y
		}
	}
	for _, s := range upright(page, A4) {
		if s.Point.Y < foot && !strings.HasPrefix(s.String, "photos SHA-256") {
			t.Errorf("%q lies below the foot", s.String)
		}
	}
}

func TestBiasMapPointsWhereTheCameraErrs(t *testing.T) {
	j, _ := turned(t, 4, model.Vec{X: 0.04}, model.Vec{X: 0.01, Y: 0.02}, false)
	if d := j.Set.CameraBias.Sub(model.Vec{X: 0.01, Y: 0.02}).Norm(); d > 1e-9 {
		t.Fatalf("the set's bias is off by %g mm", d)
	}
	got := words(chart.BiasMap(&j.Set, chart.MapOptions{Style: chart.Print()}), A4)
	for _, w := range []string{"right in the photo, mm", "up in the photo, mm", "camera and light"} {
		if !strings.Contains(got, w) {
			t.Errorf("the map doesn't say %q; it says %s", w, got)
		}
	}
}
