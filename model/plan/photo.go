package plan

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"evenrim/model"
)

// Photo is a photo to be taken.
type Photo struct {
	Camera                         Camera
	DistanceMM                     float64 // lens to part; 0 = the planner's choice
	BoreMM, ChamferMM, ThicknessMM float64 // thickness 0 = not known
	HalfAngle                      float64 // rad; 0 = 45 degrees
	ToleranceMM                    float64
	Light                          Light
	// GoalMM is the 95 % uncertainty wanted; 0 = a quarter of the tolerance.
	GoalMM float64
	Inch   bool // errors speak in inches
}

// Goal is the uncertainty wanted: a quarter of the tolerance unless stated (four
// to one: MIL-STD-45662A, ANSI Z540.1, figures from memory).
func (p Photo) Goal() float64 {
	if p.GoalMM > 0 {
		return p.GoalMM
	}
	return p.ToleranceMM / 4
}

// Validate returns the first *InputError or *model.FieldError of p, or nil.
func (p Photo) Validate() error {
	if err := p.Camera.Validate(); err != nil {
		return err
	}
	job := p.job()
	if err := job.Validate(); err != nil {
		return err
	}
	switch {
	case p.ChamferMM == 0:
		return wrong("chamfer", "How wide is the chamfer to be? Give its radial width, for example 0.25 mm or 10 thou.")
	case p.DistanceMM < 0 || p.DistanceMM > 10000 || math.IsNaN(p.DistanceMM):
		return wrong("distance", "The distance from lens to part is more than nothing and less than 10 m; leave it out to be told.")
	case p.DistanceMM > 0 && p.DistanceMM < p.Camera.NearestMM:
		nearest := fmt.Sprintf("%.4g mm", p.Camera.NearestMM)
		if p.Inch {
			nearest = fmt.Sprintf("%.3g in (%s)", p.Camera.NearestMM/25.4, nearest) // a camera's figures are in mm
		}
		return wrong("distance", "The camera does not focus nearer than %s: move back.", nearest)
	case p.Light != EvenLight && p.Light != SideLight:
		return wrong("light", "The light is even or one-sided.")
	case p.GoalMM < 0 || math.IsNaN(p.GoalMM):
		return wrong("goal", "The uncertainty wanted cannot be negative.")
	}
	return nil
}

func (p Photo) job() model.JobCard {
	return model.JobCard{BoreMM: p.BoreMM, ChamferMM: p.ChamferMM, HalfAngle: p.HalfAngle, ThicknessMM: p.ThicknessMM, ToleranceMM: p.ToleranceMM}.WithDefaults()
}

func (p Photo) outerMM() float64 { return p.BoreMM + 2*p.ChamferMM }

// rims is the trace to expect of a photo from distanceMM, the camera leaning by
// tiltRad, with exit rim (where it can be seen past the bore's mouth) or without.
func (p Photo) rims(distanceMM, tiltRad float64, exit bool, seed uint64) model.Trace {
	const n = pointsOnRim / 2 // half the points at 1/sqrt2 of the noise: as much is known, in half the time
	px := p.Camera.PxPerMM(distanceMM)
	infl := crowded(p.ChamferMM * px)
	sigma := scatterPx / math.Sqrt2 * infl
	job := p.job()
	thick := job.ThicknessMM
	if thick == 0 {
		thick = job.BoreMM
	}
	solid := model.Solid{RadiusMM: job.BoreMM / 2, WidthMM: p.ChamferMM, ThicknessMM: thick, HalfAngle: job.HalfAngle}
	cam := model.Camera{
		CX: float64(p.Camera.WidthPx-1) / 2, CY: float64(p.Camera.HeightPx-1) / 2,
		PxPerMM: px, InvDistPerMM: 1 / distanceMM,
		// Towards neither axis, as a hand leans.
		SlopeX: math.Tan(tiltRad) * math.Cos(0.6), SlopeY: math.Tan(tiltRad) * math.Sin(0.6),
	}
	cam.U0, cam.V0 = cam.CX, cam.CY
	proj := cam.Projector()
	rng := rand.New(rand.NewPCG(seed, 1))
	t := model.Trace{WidthPx: p.Camera.WidthPx, HeightPx: p.Camera.HeightPx, BlurPx: usualBlurPx}
	add := func(to *[]model.EdgePoint, q model.Vec, z float64) {
		q = q.Add(q.Scale(sigma * rng.NormFloat64() / px / q.Norm()))
		x, y := proj.ToPhoto(q.X, q.Y, z)
		*to = append(*to, model.EdgePoint{X: x, Y: y, SigmaPx: sigma})
	}
	mouth := p.ChamferMM / math.Tan(job.HalfAngle)
	for i := range n {
		a := 2 * math.Pi * float64(i) / n
		if q, ok := solid.OuterEdge(a); ok {
			add(&t.Outer, q, 0)
		}
		d, _ := solid.ChamferDepth(a)
		add(&t.Bore, model.Polar(solid.RadiusMM, a), -d)
		if exit {
			q := model.Polar(solid.RadiusMM, a)
			x, y := proj.ToPhoto(q.X, q.Y, -thick)
			if proj.ToPlane(x, y, -mouth).Norm() < solid.RadiusMM*0.995 { // not behind the bore edge
				add(&t.Exit, q, -thick)
			}
		}
	}
	w := p.Light.wavePx() * infl
	t.Doubt[0], t.Doubt[1] = model.Sym2{XX: w * w, YY: w * w}, model.Sym2{XX: w * w, YY: w * w}
	return t
}

// Predict is the reading to expect of a photo: package model's own solution of the
// rims that it would give. An error says that none is to be expected.
func (p Photo) Predict(distanceMM, tiltRad float64, exit bool) (*model.Reading, error) {
	if w := p.ChamferMM * p.Camera.PxPerMM(distanceMM); w < leastWidthPx {
		return nil, errTooFew
	}
	return model.Solve(p.rims(distanceMM, tiltRad, exit, 5), p.job())
}

var errTooFew = errors.New("plan: the chamfer has too few pixels for two rims")

// turnedU95 is the 95 % uncertainty of four photos at quarter turns, each like r:
// what stays with the camera goes, what is each photo's own shrinks by half, what
// turns with the part stays (reversal, see model.TurnSet).
func turnedU95(r *model.Reading) float64 {
	return model.U95(r.CovOf(model.FollowsPart).Add(r.CovOf(model.FollowsPhoto).Scale(0.25)))
}

// Need is what has to be done for the uncertainty wanted.
type Need int

const (
	NeedNothing Need = iota
	NeedPaper        // white paper or a light under the part, so that the exit rim shows
	NeedTurning      // four photos, the part turned by a quarter each time
	NeedBetter       // not with this camera at any distance
)

// PhotoPlan says how to photograph.
type PhotoPlan struct {
	Photo      Photo
	DistanceMM float64 // to hold
	NearestMM  float64 // nearest that focuses and holds the hole
	PxPerMM    float64
	ChamferPx  float64
	FillShare  float64 // of the picture's short side that the hole fills
	Need       Need
	// U95MM is the 95 % uncertainty to expect when what Need says is done; the others
	// are without and with the exit rim seen, and of four photos turned; +Inf = no
	// reading to be expected.
	U95MM, PlainMM, PaperMM, TurnedMM float64
	GoalMM                            float64
	// PlainTilt and PaperTilt are how far the camera may lean, rad: until the goal is
	// missed or, where it is missed anyway, until it is a quarter worse than upright.
	PlainTilt, PaperTilt float64
	MoveTo               bool // the distance given is not the one to hold
}

// friendly rounds a distance up to what one can hold: 5 mm below 200, 10 above.
func friendly(mm float64) float64 {
	step := 5.0
	if mm > 200 {
		step = 10
	} else if mm < 50 {
		step = 1
	}
	return math.Ceil(mm/step-1e-9) * step
}

// Plan answers how to photograph. The error is an *InputError or *model.FieldError.
func (p Photo) Plan() (PhotoPlan, error) {
	if err := p.Validate(); err != nil {
		return PhotoPlan{}, err
	}
	nearest := friendly(p.Camera.Nearest(p.outerMM()))
	best := p.choose(nearest)
	at := best
	if p.DistanceMM > 0 {
		at = p.DistanceMM
	}
	out := p.at(at)
	out.NearestMM = nearest
	if p.DistanceMM > 0 {
		// Advice to move is given where it buys something: the goal, or a tenth.
		hits := out.U95MM <= out.GoalMM && out.Need <= NeedPaper && at >= nearest-1
		if better := p.at(best); !hits && (at < nearest-1 || better.Need < out.Need || better.U95MM < 0.9*out.U95MM) {
			better.MoveTo, better.NearestMM = true, nearest
			return better, nil
		}
	}
	return out, nil
}

// choose is the farthest distance (easier to light, less perspective) that keeps
// the goal with a fifth in hand, by the closed form; the nearest where none does.
func (p Photo) choose(nearest float64) float64 {
	for _, k := range []float64{2.5, 2, 1.7, 1.4, 1.2} {
		d := friendly(nearest * k)
		px := p.Camera.PxPerMM(d)
		if p.ChamferMM*px >= 2*leastWidthPx && ReadingU95(px, p.ChamferMM, p.Light) <= 0.8*p.Goal() {
			return d
		}
	}
	return nearest
}

// at is the plan for one distance.
func (p Photo) at(distanceMM float64) PhotoPlan {
	px := p.Camera.PxPerMM(distanceMM)
	out := PhotoPlan{
		Photo: p, DistanceMM: distanceMM, PxPerMM: px, ChamferPx: p.ChamferMM * px, GoalMM: p.Goal(),
		FillShare: p.outerMM() * px / float64(min(p.Camera.WidthPx, p.Camera.HeightPx)),
		PlainMM:   math.Inf(1), PaperMM: math.Inf(1), TurnedMM: math.Inf(1),
	}
	// One to two degrees is how a camera is held that was set up with care.
	const careful = 1.5 * deg
	if r, err := p.Predict(distanceMM, careful, false); err == nil {
		out.PlainMM, out.TurnedMM = r.U95MM, turnedU95(r)
	}
	if r, err := p.Predict(distanceMM, careful, true); err == nil {
		out.PaperMM = r.U95MM
		out.TurnedMM = math.Min(out.TurnedMM, turnedU95(r))
	}
	goal := out.GoalMM
	switch {
	case out.PlainMM <= goal:
		out.Need, out.U95MM = NeedNothing, out.PlainMM
	case out.PaperMM <= goal:
		out.Need, out.U95MM = NeedPaper, out.PaperMM
	case out.TurnedMM <= goal:
		out.Need, out.U95MM = NeedTurning, out.TurnedMM
	default:
		out.Need, out.U95MM = NeedBetter, math.Min(out.TurnedMM, out.PaperMM)
	}
	out.PlainTilt = p.tilt(distanceMM, false, math.Max(goal, 1.25*out.PlainMM))
	out.PaperTilt = p.tilt(distanceMM, true, math.Max(goal, 1.25*out.PaperMM))
	return out
}

// mostTilt is where the planner stops looking, degrees: photos with more were never
// read in trials.
const mostTilt = 8.0

// tilt is the largest lean, in whole degrees, up to which the uncertainty stays
// below mm.
func (p Photo) tilt(distanceMM float64, exit bool, mm float64) float64 {
	good := func(d int) bool {
		r, err := p.Predict(distanceMM, float64(d)*deg, exit)
		return err == nil && r.U95MM <= mm
	}
	lo, hi := 0, int(mostTilt)+1
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; good(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return float64(lo) * deg
}
