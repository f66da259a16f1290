package batch

import (
	"math"
	"strings"
	"testing"

	"evenrim/model"

	"github.com/google/go-cmp/cmp"
)

func reading(photo string, d model.Vec, camera float64) *model.Reading {
	own := model.Sym2{XX: 1e-6, YY: 1e-6}
	cam := model.Sym2{XX: camera, YY: camera}
	return &model.Reading{Photo: model.Photo{Name: photo}, Job: model.JobCard{BoreMM: 10, ToleranceMM: 0.02}.WithDefaults(), Mismatch: d, Cov: own.Add(cam),
		Budget: []model.BudgetLine{{Source: model.SourcePoints, Cov: own, Follows: model.FollowsPhoto}, {Source: model.SourceLight, Cov: cam, Follows: model.FollowsCamera}}}
}

func TestReadingsGroupToPartsAndBatches(t *testing.T) {
	half := math.Pi
	items := []Item{
		{Batch: "b", Reading: reading("/shop/2031/a.jpg", model.Vec{X: 0.01}, 2e-6)},
		{Batch: "c", Part: "1", Reading: reading("x.jpg", model.Vec{X: 0.03}, 0)},
		{Batch: "b", Reading: reading("b.jpg", model.Vec{X: 0.02}, 2e-6)},
		{Batch: "b", Part: "1", Hole: "1", HoleAt: &model.Vec{X: -10}, Reading: reading("c.jpg", model.Vec{X: 0.01, Y: -0.002}, 0)},
		{Batch: "b", Part: "1", Hole: "2", HoleAt: &model.Vec{X: 10}, Reading: reading("d.jpg", model.Vec{X: 0.01, Y: 0.002}, 0)},
	}
	// The second photo of a turn set: the part and with it +X turned by half a turn,
	// and the camera's own error of 0.005 mm along its X shows the other way round.
	set := []Item{
		{Batch: "t", Part: "1", Reading: reading("e.jpg", model.Vec{X: 0.015}, 4e-5)},
		{Batch: "t", Part: "1", TurnRad: &half, Reading: reading("f.jpg", model.Vec{X: 0.005}, 4e-5)},
	}
	set[1].Reading.Job.PlusX = math.Pi
	got, err := Group(append(items, set...))
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 3 || got[0].Name != "b" || got[1].Name != "c" || len(got[0].Parts) != 3 || len(got[1].Parts) != 1 || len(got[2].Parts) != 1 {
		t.Fatalf("%+v", got)
	}
	b := got[0]
	if b.Parts[0].Name != "a.jpg" || b.Parts[1].Name != "b.jpg" || b.Parts[2].Name != "1" || b.ToleranceMM != 0.02 {
		t.Errorf("%+v", b)
	}
	// Half of what stays with the camera is new in each photo, a tenth of light turns with the part.
	near(t, "shared with the camera", b.Parts[0].Shared.XX, 0.4*2e-6, 1e-18)
	// Two holes turned against each other: the shift is their mean, half the variance.
	near(t, "shift X", b.Parts[2].D.X, 0.01, 1e-9)
	near(t, "shift Y", b.Parts[2].D.Y, 0, 1e-9)
	near(t, "variance of the shift", b.Parts[2].Cov.XX, 5e-7, 1e-7)
	// Reversal: (0.015 + 0.005)/2, the camera's error gone (check values of this
	// project, reversal).
	near(t, "turn set", got[2].Parts[0].D.X, 0.010, 1e-9)
	if s := got[2].Parts[0].Shared; s.XX != 0 {
		t.Errorf("a separated turn set shares %+v with the camera, want nothing", s)
	}
}

// Holes without names are told apart by their places, as on the part by itself.
func TestHolesWithoutNamesAreTheirPlaces(t *testing.T) {
	left, right := &model.Vec{X: -50}, &model.Vec{X: 50}
	got, err := Group([]Item{
		{Batch: "b", Part: "1", HoleAt: left, Reading: reading("a.jpg", model.Vec{X: 0.01, Y: -0.02}, 0)},
		{Batch: "b", Part: "1", HoleAt: right, Reading: reading("b.jpg", model.Vec{X: 0.01, Y: 0.02}, 0)},
	})
	if err != nil {
		t.Fatal(err)
	}
	// A part turned about its middle: both holes agree, and the shift is their mean.
	p := got[0].Parts[0]
	near(t, "variance of the shift", p.Cov.YY, 5e-7, 1e-8)
	if len(got[0].Warnings) != 0 {
		t.Errorf("%q, want no doubt", got[0].Warnings)
	}
	_, err = Group([]Item{
		{Part: "7", Hole: "A", HoleAt: left, Reading: reading("a.jpg", model.Vec{}, 0)},
		{Part: "7", Hole: "A", HoleAt: right, Reading: reading("b.jpg", model.Vec{}, 0)},
	})
	if err == nil || !strings.Contains(err.Error(), "two places") || !strings.Contains(err.Error(), "part 7") {
		t.Errorf("one hole at two places: %v, want both said", err)
	}
}

func TestMixedTolerancesAreSaid(t *testing.T) {
	a, b := reading("a", model.Vec{}, 0), reading("b", model.Vec{}, 0)
	b.Job.ToleranceMM = 0.05
	got, err := Group([]Item{{Reading: a}, {Reading: b}})
	if err != nil || len(got) != 1 || got[0].ToleranceMM != 0.02 || len(got[0].Warnings) != 1 {
		t.Errorf("%+v, %v", got, err)
	}
}

// The same picture cannot be of two parts: read on another day, or named anew, it counts
// once, by its last reading, where the part stood.
func TestAPictureIsOnePart(t *testing.T) {
	of := func(photo, sha string, x, cx float64) *model.Reading {
		r := reading(photo, model.Vec{X: x}, 0)
		r.Photo.SHA256, r.Outer = sha, model.RimShape{CX: cx, CY: 500, A: 300, B: 299}
		return r
	}
	got, err := Group([]Item{
		{Batch: "b", Part: "1", Reading: of("a.jpg", "1", 0.010, 500)},
		{Batch: "b", Part: "2", Reading: of("b.jpg", "2", 0.012, 500)},
		{Batch: "b", Part: "3", Reading: of("b.jpg", "2", 0.014, 2000)}, // another hole of that picture
		{Batch: "c", Part: "1", Reading: of("a.jpg", "1", 0.015, 500)},  // a batch of its own
		{Batch: "b", Reading: of("copy.jpg", "1", 0.016, 503)},          // named nothing: of the part it was
		{Batch: "b", Part: "4", Reading: of("d.jpg", "", 0.018, 500)},
		{Batch: "b", Part: "5", Reading: of("e.jpg", "", 0.019, 500)}, // pictures not known: two parts
		{Batch: "b", Part: "6", Reading: of("b.jpg", "2", 0.013, 501)},
	})
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, p := range got[0].Parts {
		names = append(names, p.Name)
	}
	if d := cmp.Diff([]string{"1", "6", "3", "4", "5"}, names); d != "" {
		t.Errorf("parts (-want +got):\n%s", d)
	}
	near(t, "X of the part read again", got[0].Parts[0].D.X, 0.016, 1e-12)
	want := []string{"Photo copy.jpg was read more than once: it is one part, and its last reading counts.",
		"Photo b.jpg was read more than once, as part 2 and as part 6: it is one part, and its last reading counts."}
	if d := cmp.Diff(want, got[0].Warnings); d != "" {
		t.Errorf("warnings (-want +got):\n%s", d)
	}
	if len(got[1].Parts) != 1 || len(got[1].Warnings) != 0 {
		t.Errorf("the other batch: %+v", got[1])
	}
}
