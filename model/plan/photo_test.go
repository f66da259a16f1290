package plan

import (
	"errors"
	"math"
	"testing"

	"evenrim/model"
)

func phonePhoto() Photo {
	return Photo{Camera: Cameras[0], BoreMM: 10, ChamferMM: 0.3, ThicknessMM: 12, ToleranceMM: 0.0254, Light: EvenLight}
}

func TestScaleOfThePhoto(t *testing.T) {
	for _, tt := range []struct {
		name   string
		c      Camera
		mm     float64
		want   float64
		source string
	}{
		{"pinhole", Camera{WidthPx: 4000, HeightPx: 3000, FieldRad: 90 * deg}, 100, 20, "90 degrees at 100 mm see 200 mm"},
		{"life size", Camera{WidthPx: 6000, HeightPx: 4000, SensorMM: 24, LensMM: 60}, 120, 250, "at two focal lengths a thin lens draws life size"},
		{"a quarter", Camera{WidthPx: 6000, HeightPx: 4000, SensorMM: 24, LensMM: 60}, 300, 62.5, "at five focal lengths a quarter"},
	} {
		if got := tt.c.PxPerMM(tt.mm); math.Abs(got-tt.want) > 1e-9 {
			t.Errorf("%s: %.4f px/mm, want %.4f (%s)", tt.name, got, tt.want, tt.source)
		}
		if got := tt.c.DistanceFor(tt.want); math.Abs(got-tt.mm) > 1e-9 {
			t.Errorf("%s: distance %.3f, want %.3f", tt.name, got, tt.mm)
		}
	}
}

func TestCamerasAreSound(t *testing.T) {
	for _, c := range Cameras {
		if err := c.Validate(); err != nil {
			t.Errorf("%s: %v", c.Name, err)
		}
		if d := c.Nearest(10); d < c.NearestMM || 10*c.PxPerMM(d) > mostOfFrame*float64(c.HeightPx)+1e-6 {
			t.Errorf("%s: a 10 mm hole does not fit at its nearest, %.1f mm", c.Name, d)
		}
	}
}

// The closed form against model.Solve on the rims that such a photo gives, exit
// rim seen: within a quarter over cameras, sizes and lights.
func TestClosedFormAgreesWithSolving(t *testing.T) {
	for _, c := range []Camera{Cameras[0], Cameras[4]} {
		for _, w := range []float64{0.2, 0.5} {
			for _, l := range []Light{EvenLight, SideLight} {
				p := phonePhoto()
				p.Camera, p.ChamferMM, p.Light = c, w, l
				d := c.Nearest(p.outerMM())
				r, err := p.Predict(d, 1*deg, true)
				if err != nil {
					t.Fatal(err)
				}
				want := ReadingU95(c.PxPerMM(d), w, l)
				if k := r.U95MM / want; k < 0.75 || k > 1.3 {
					t.Errorf("%s, %.2f mm, %s: solved %.5f, closed form %.5f mm", c.Name, w, l, r.U95MM, want)
				}
			}
		}
	}
}

// What four quarter turns leave, against model.JoinTurns on four such readings.
func TestTurningAgreesWithJoining(t *testing.T) {
	p := phonePhoto()
	p.Light = SideLight
	var set []*model.Reading
	for k := range 4 {
		turn := float64(k) * math.Pi / 2
		tr := p.rims(150, 1*deg, true, uint64(k+1))
		job := p.job()
		job.PlusX = turn
		r, err := model.Solve(tr, job)
		if err != nil {
			t.Fatal(err)
		}
		set = append(set, r)
	}
	joined, err := model.JoinTurns(set, nil)
	if err != nil {
		t.Fatal(err)
	}
	// Joining scales up when photos scatter more than they state.
	if got := turnedU95(set[0]); joined.U95MM < 0.8*got || joined.U95MM > 1.6*got {
		t.Errorf("planned %.5f mm of four turned photos, joining four gives %.5f", got, joined.U95MM)
	}
}

func TestPhotoPlanMeetsItsGoalOrSaysWhatIsNeeded(t *testing.T) {
	p := phonePhoto()
	plan, err := p.Plan()
	if err != nil {
		t.Fatal(err)
	}
	if plan.DistanceMM < p.Camera.NearestMM || plan.Need == NeedBetter || plan.U95MM > plan.GoalMM {
		t.Errorf("a phone and a 0.3 mm chamfer: %+v", plan)
	}
	if !(plan.PaperMM <= plan.PlainMM) {
		t.Errorf("white paper makes it worse: %.4f from %.4f mm", plan.PaperMM, plan.PlainMM)
	}
	p.DistanceMM = 600
	far, err := p.Plan()
	if err != nil {
		t.Fatal(err)
	}
	if !far.MoveTo || far.DistanceMM >= 400 {
		t.Errorf("from 600 mm: move %v to %.0f mm; want to be told to move near", far.MoveTo, far.DistanceMM)
	}
	p.DistanceMM, p.ToleranceMM = 0, 0.0005
	if hard, err := p.Plan(); err != nil || hard.Need != NeedBetter {
		t.Errorf("half a micron of tolerance by phone: %+v, %v; want that it be refused", hard.Need, err)
	}
	p = phonePhoto()
	p.DistanceMM = 20
	var in *InputError
	if _, err := p.Plan(); !errors.As(err, &in) || in.Field != "distance" {
		t.Errorf("nearer than it focuses: %v", err)
	}
}

// A chamfer of 30 um in a phone's photo has too few pixels: no figure is made up.
func TestTooNarrowIsRefused(t *testing.T) {
	p := phonePhoto()
	p.ChamferMM = 0.03
	if _, err := p.Predict(300, 0, true); err == nil {
		t.Error("a reading was promised of a chamfer of two pixels")
	}
	plan, err := p.Plan()
	if err != nil || plan.Need != NeedBetter && math.IsInf(plan.U95MM, 1) {
		t.Errorf("%+v, %v", plan, err)
	}
}

// Table values of the Cramér-Rao bound of two blurred steps at distance w.
func TestCrowdedEdgesCostWhatTheBoundSays(t *testing.T) {
	for _, tt := range crowding {
		if got := crowded(tt[0] * usualBlurPx); math.Abs(got-tt[1]) > 1e-9 {
			t.Errorf("at %g blurs %g, want %g", tt[0], got, tt[1])
		}
	}
	if !math.IsInf(crowded(0.5), 1) || crowded(100) != 1 {
		t.Error("ends of the table")
	}
}
