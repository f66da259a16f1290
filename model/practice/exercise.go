package practice

import (
	"math"
	"math/rand/v2"

	"evenrim/model"
)

// Levels of difficulty.
const LeastLevel, MostLevel = 1, 8

// Exercise is one photo to judge. The same seed, number and level give the same
// exercise.
type Exercise struct {
	Seed        uint64
	N           int // 1, 2, ... within its series
	Level       int
	Shot        Shot
	ToleranceMM float64
	Key         Key
}

// Key is the right answer.
type Key struct {
	Mismatch  model.Vec // mm, part axes
	U95MM     float64   // of a reading; 0 = exact, because the photo was drawn from it
	WidthMM   float64   // true mean chamfer width
	NominalMM float64   // width on the drawing; 0 = not known
	ScreenRad float64   // where it is wide in the photo, counter-clockwise from image-right
	Even      bool      // no mismatch that could be told from none
	Verdict   model.Verdict
	Cause     Cause // "" = nobody knows
}

// holes of our own shop's brackets: bore and chamfer width, mm.
var holes = [][2]float64{{4, 0.20}, {5, 0.25}, {6, 0.254}, {6.35, 0.381}, {8, 0.30}, {10, 0.40}, {12.7, 0.508}}

// ladder says what each level asks: how large a mismatch is, as a share of the
// chamfer's width, how near the tolerance comes to it, and what may pretend.
type rung struct {
	low, high float64 // mismatch
	near      float64 // tolerance and mismatch differ by at least this factor
	causes    []Cause
	rough     float64 // of tool marks
	decoys    int     // things that pretend besides a real mismatch
}

var ladder = [MostLevel + 1]rung{
	1: {0.25, 0.75, 2.0, []Cause{Apart, Apart, Agree}, 0.01, 0},
	2: {0.30, 0.60, 2.0, []Cause{Apart, Apart, Agree, ToolSet}, 0.02, 0},
	3: {0.22, 0.50, 1.8, []Cause{Apart, Apart, Agree, ToolSet, Damaged}, 0.02, 0},
	4: {0.16, 1.20, 1.7, []Cause{Apart, Apart, Agree, Damaged, OneSided, ToolSet}, 0.03, 0},
	5: {0.12, 0.40, 1.6, []Cause{Apart, Apart, Agree, Tilted, Damaged, OneSided}, 0.03, 1},
	6: {0.09, 1.30, 1.5, []Cause{Apart, Apart, Agree, Tilted, Damaged, OneSided, ToolSet}, 0.04, 1},
	7: {0.06, 0.25, 1.4, []Cause{Apart, Apart, Agree, Tilted, OneSided, Damaged, ToolSet}, 0.05, 2},
	8: {0.04, 0.18, 1.3, []Cause{Apart, Apart, Agree, Tilted, OneSided, Damaged, ToolSet}, 0.06, 2},
}

// Size of a practice photo, px.
const PhotoWidth, PhotoHeight = 900, 700

// NewExercise makes exercise n of a series.
func NewExercise(seed uint64, n, level int) Exercise {
	level = min(max(level, LeastLevel), MostLevel)
	d := dice{rand.New(rand.NewPCG(seed, uint64(n)<<8|uint64(level)))}
	r := ladder[level]
	h := holes[d.IntN(len(holes))]
	e := Exercise{Seed: seed, N: n, Level: level}
	e.Shot = plainShot(d, h[0], h[1])
	e.Shot.Marks = r.rough
	cause := r.causes[d.IntN(len(r.causes))]
	share := r.low * math.Pow(r.high/r.low, d.Float64())
	e.setUp(d, cause, share)
	if cause == Apart {
		decoys := []Cause{Damaged, OneSided, Tilted}
		d.Shuffle(len(decoys), func(i, j int) { decoys[i], decoys[j] = decoys[j], decoys[i] })
		for _, c := range decoys[:d.IntN(r.decoys+1)] {
			e.pretend(d, c, 0.5)
		}
	}
	e.settle(d, cause, r.near)
	return e
}

// plainShot is a hole seen nearly straight from above in even light.
func plainShot(d dice, bore, width float64) Shot {
	s := Shot{
		Seed: d.Uint64() >> 16, WidthPx: PhotoWidth, HeightPx: PhotoHeight, BoreMM: bore, ChamferMM: width, NominalMM: width,
		ThicknessMM: 8 + 4*d.Float64(), OffX: 30 * d.NormFloat64(), OffY: 18 * d.NormFloat64(), PlusX: 0,
		DistanceMM: 180, Light: EvenLight, Backing: DarkBacking, MarksRad: math.Pi * d.Float64(), Grain: 0.03,
	}
	s.OffX, s.OffY = min(max(s.OffX, -90), 90), min(max(s.OffY, -45), 45)
	// The hole fills most of the height, so that the chamfer is tens of pixels wide.
	s.PxPerMM = 0.78 * PhotoHeight / (bore + 3*width)
	if d.Float64() < 0.4 {
		s.Backing = PaperBacking
	}
	return s
}

// setUp puts the cause into the photo.
func (e *Exercise) setUp(d dice, cause Cause, share float64) {
	s := &e.Shot
	switch cause {
	case Apart:
		s.Mismatch = model.Polar(share*s.ChamferMM, d.turn())
	case ToolSet:
		k := d.between(1.35, 1.7)
		if d.Float64() < 0.5 {
			k = d.between(0.5, 0.7)
		}
		s.ChamferMM *= k
	case Tilted, OneSided, Damaged:
		e.pretend(d, cause, 1)
	}
	if cause != Apart { // setups that agree do so within a hair
		s.Mismatch = model.Polar(0.004*s.ChamferMM, d.turn())
	}
}

// pretend adds what looks like a mismatch and is none, k = how much of it.
func (e *Exercise) pretend(d dice, c Cause, k float64) {
	s := &e.Shot
	switch c {
	case Tilted:
		lean, to := k*d.between(4, 7)*math.Pi/180, d.turn()
		s.TiltX, s.TiltY = lean*math.Cos(to), lean*math.Sin(to)
	case OneSided:
		s.Light, s.LightRad = SideLight, d.turn()
	case Damaged:
		f := Flaw{Kind: []FlawKind{Burr, Gouge}[d.IntN(2)], AtRad: d.turn(), WidthRad: d.between(0.25, 0.6), SizeMM: d.between(0.3, 0.5) * s.ChamferMM}
		s.Flaws = append(s.Flaws, f)
		if d.Float64() < 0.4 {
			s.Flaws = append(s.Flaws, Flaw{Kind: Dirt, AtRad: d.turn(), SizeMM: 0.15 * s.ChamferMM})
		}
	}
}

// settle chooses a tolerance that the mismatch is clearly inside or outside of,
// and writes the key.
func (e *Exercise) settle(d dice, cause Cause, near float64) {
	s := e.Shot
	size := s.Mismatch.Norm()
	shares := []float64{0.1, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5}
	tol := shares[d.IntN(len(shares))] * s.NominalMM
	if cause == Apart {
		tol = size / near / d.between(1, 1.5)
		// Nobody allows a mismatch of nearly the whole chamfer.
		if wide := size * near * d.between(1, 1.5); d.Float64() < 0.6 && wide < 0.65*s.NominalMM {
			tol = wide
		}
	}
	e.ToleranceMM = roundTolerance(tol)
	e.Key = Key{Mismatch: s.Mismatch, WidthMM: s.ChamferMM, NominalMM: s.NominalMM, ScreenRad: s.PlusX + s.Mismatch.Angle(),
		Even: size < EvenShare*s.ChamferMM, Verdict: model.Conforms, Cause: cause}
	if size > e.ToleranceMM {
		e.Key.Verdict = model.DoesNotConform
	}
}

// EvenShare is the mismatch, of the chamfer's width, that counts as none.
const EvenShare = 0.02

// roundTolerance gives a tolerance two figures, as a drawing has it.
func roundTolerance(mm float64) float64 {
	p := math.Pow10(1 - int(math.Floor(math.Log10(mm))))
	return math.Round(mm*p) / p
}

// dice draws an exercise's values.
type dice struct{ *rand.Rand }

func (d dice) between(lo, hi float64) float64 { return lo + (hi-lo)*d.Float64() }
func (d dice) turn() float64                  { return d.between(-math.Pi, math.Pi) }

// Job is the job card of e.
func (e Exercise) Job(inch bool) model.JobCard { return e.Shot.Job(e.ToleranceMM, inch) }

// KeyOf is the key of an own photo, as far as its reading knows it.
func KeyOf(r *model.Reading) Key {
	k := Key{Mismatch: r.Mismatch, U95MM: r.U95MM, WidthMM: r.WidthMM, NominalMM: r.Job.ChamferMM,
		ScreenRad: r.Camera.PlusX + r.Mismatch.Angle(), Even: r.IsEven(), Verdict: r.Verdict}
	switch {
	case !k.Even && k.Verdict != "":
		k.Cause = Apart
	case k.NominalMM > 0 && r.WidthUMM > 0 && math.Abs(r.WidthMM-k.NominalMM) > 3*r.WidthUMM && math.Abs(r.WidthMM/k.NominalMM-1) > 0.2:
		k.Cause = ToolSet
	}
	return k
}
