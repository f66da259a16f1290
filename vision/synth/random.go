package synth

import (
	"math"
	"math/rand/v2"

	"evenrim/model"
)

const deg = math.Pi / 180

// dice draws the values of a random scene.
type dice struct{ *rand.Rand }

func (d dice) between(lo, hi float64) float64 { return lo + (hi-lo)*d.Float64() }
func (d dice) chance(p float64) bool          { return d.Float64() < p }
func (d dice) turn() float64                  { return d.between(-math.Pi, math.Pi) }

func pick[T any](d dice, of ...T) T { return of[d.IntN(len(of))] }

// Random returns a plausible scene in the given light, the same for the same
// seed: an ordinary hole under an ordinary camera, now and then with a
// vanished chamfer, damage or a wrong nominal width. The picture is 1600 x 1200.
func Random(seed uint64, kind Light) Scene {
	d := dice{stream(seed, "scene "+string(kind))}
	s := Scene{Seed: seed, Width: 1600, Height: 1200, Light: kind}
	randomPart(d, &s)
	randomCamera(d, &s)
	randomLook(d, &s)
	randomSensor(d, &s)
	if d.chance(0.35) {
		s.Damage = randomDamage(d, s, 1+d.IntN(2))
	}
	return s
}

func randomPart(d dice, s *Scene) {
	type hole struct{ bore, widthLo, widthHi float64 }
	h := pick(d, hole{4, .12, .25}, hole{5, .127, .3}, hole{5.5, .127, .3}, hole{6, .15, .35}, hole{6.35, .127, .4}, hole{8, .15, .45},
		hole{9, .2, .5}, hole{10, .2, .5}, hole{12, .25, .55}, hole{12.7, .25, .6}, hole{16, .3, .6}, hole{20, .4, .6}, hole{25, .4, .65})
	s.BoreMM = h.bore
	s.NominalMM = round(d.between(h.widthLo, h.widthHi), 3)
	s.ChamferMM = s.NominalMM * (1 + 0.05*d.NormFloat64()/2)
	if d.chance(0.12) { // a tool set well off
		s.ChamferMM = s.NominalMM * d.between(0.6, 1.6)
	}
	s.HalfAngle = 45 * deg
	if d.chance(0.12) {
		s.HalfAngle = pick(d, 30.0, 41.0, 44.0, 59.0) * deg
	}
	s.ThicknessMM = round(d.between(6, 15), 2)
	size := min(math.Abs(0.05*d.NormFloat64())+0.01*d.Float64(), 0.2)
	switch {
	case d.chance(0.08):
		size = 0
	case d.chance(0.08): // the chamfer has vanished over an arc
		size = min(s.ChamferMM*d.between(1.03, 1.5), 0.25)
	default:
		size = min(size, 0.85*s.ChamferMM)
	}
	s.Mismatch = model.Polar(size, d.turn())
}

func randomCamera(d dice, s *Scene) {
	outer := s.BoreMM + 2*s.ChamferMM
	s.PxPerMM = d.between(0.42, 0.78) * float64(s.Height) / outer
	half := s.PxPerMM * outer / 2
	room := max(float64(s.Height)/2-half-40, 0)
	s.OffX = max(-1, min(1, 0.5*d.NormFloat64())) * min(0.15*float64(s.Width), float64(s.Width)/2-half-40)
	s.OffY = max(-1, min(1, 0.5*d.NormFloat64())) * min(0.12*float64(s.Height), room)
	s.DistanceMM = d.between(85, 250)
	lean := min(math.Abs(1.8*d.NormFloat64()), 8) * deg
	if d.chance(0.1) {
		lean = d.between(4, 8) * deg
	}
	a := d.turn()
	s.TiltX, s.TiltY = math.Atan(math.Tan(lean)*math.Cos(a)), math.Atan(math.Tan(lean)*math.Sin(a))
	s.PlusX = 3 * deg * d.NormFloat64()
	if d.chance(0.4) {
		s.PlusX = d.turn()
	}
	if d.chance(0.15) {
		s.K1 = d.between(-0.004, 0.004)
	}
}

func randomLook(d dice, s *Scene) {
	s.LightAzimuth = d.turn()
	e := defaultElevation(s.Light)
	s.LightElevation = min(max(e-3*deg+8*deg*d.NormFloat64(), 15*deg), 75*deg)
	if s.Light == Ring {
		s.LightElevation = d.between(52, 68) * deg
	}
	s.Ambient = map[Light]float64{Ring: .2, Dome: .2, Side: .10, Two: .10, Window: .2, Coaxial: .3}[s.Light] * d.between(0.5, 1.8)
	s.FaceLevel = d.between(0.11, 0.3)
	if s.Light == Side && d.chance(0.5) {
		s.FaceLevel = d.between(0.06, 0.15)
	}
	s.Backing = pick(d, Dark, Dark, Grey, Paper)
	switch s.Backing {
	case Dark:
		s.BackingLevel = d.between(0.0005, 0.004)
	case Grey:
		s.BackingLevel = s.FaceLevel * d.between(0.25, 0.6)
	case Paper:
		s.BackingLevel = s.FaceLevel * math.Exp(d.between(-0.5, 0.9))
	}
	f := &s.Face
	f.FeedMM = d.between(0.08, 0.4)
	f.FineSlope = d.between(0.01, 0.05)
	f.MarkSlope = d.between(0.01, 0.06)
	if s.Light == Ring || s.Light == Dome { // even light hides marks: strong ones are still in use
		f.MarkSlope, f.FineSlope = 1.5*f.MarkSlope, 1.7*f.FineSlope
	}
	if d.chance(0.25) { // marks stronger than the edges
		f.MarkSlope = d.between(0.06, 0.16)
	}
	if d.chance(0.2) {
		f.CrossSlope = f.MarkSlope * d.between(0.4, 0.9)
	}
	if d.chance(0.8) { // a face mill's path passes far outside the picture
		f.RadiusMM = d.between(0.8, 4) * float64(s.Width) / s.PxPerMM
	}
	f.Direction = d.turn()
	f.Grain = d.between(0.01, 0.05)
	f.Gloss = d.between(0.05, 0.12)
	s.Chatter = Chatter{Waves: 40 + d.IntN(80), Grain: d.between(0, 0.12), Gloss: d.between(0.05, 0.16), Broad: d.between(0.35, 0.75)}
	s.WallSheen, s.WallGlow = d.between(0.45, 0.8), 0.02*math.Exp(d.between(0, 2.6))
	if d.chance(0.5) {
		s.Chatter.Slope = d.between(0.02, 0.2)
	}
	if d.chance(0.6) {
		s.RoundMM = min(d.between(0.003, 0.02), 0.4*s.ChamferMM)
	}
	s.RoughMM = d.between(0.0005, 0.003)
}

func randomSensor(d dice, s *Scene) {
	s.BlurPx = d.between(0.65, 1.7)
	s.Vignette = d.between(0, 0.15)
	s.FullWellE = d.between(12000, 25000)
	if d.chance(0.1) {
		s.FullWellE = d.between(4000, 8000)
	}
	s.ReadE = d.between(3, 12)
	if d.chance(0.15) {
		s.Cast = [3]float64{d.between(0.85, 1.2), 1, d.between(0.75, 1.15)}
	}
	s.Quality = 85 + d.IntN(10)
	s.Format, s.Orientation = JPEG, 1
	switch {
	case d.chance(0.1):
		s.Format = PNG
	case d.chance(0.1):
		s.Orientation = pick(d, 3, 6, 8)
	}
}

// randomDamage returns n pieces of damage for s.
func randomDamage(d dice, s Scene, n int) []Damage {
	var out []Damage
	for range n {
		f := Damage{Kind: pick(d, Gouge, Burr, ChipBore, Dust, Scratch, Smear), AtRad: d.turn(), WidthRad: d.between(5, 28) * deg}
		outer := s.BoreMM/2 + s.ChamferMM
		px := 1 / s.PxPerMM
		switch f.Kind {
		case Gouge, Burr, ChipBore:
			f.SizeMM = min(d.between(0.015, 0.05)+px, 0.4*s.ChamferMM)
			f.OnBore = f.Kind == Burr && d.chance(0.4)
		case Dust:
			f.Count, f.SizeMM = 3+d.IntN(14), d.between(4, 14)*px
		case Scratch:
			f.DirRad, f.LengthMM, f.SizeMM = d.turn(), outer*d.between(0.5, 1.6), d.between(1, 3)*px
			f.Pos = model.Polar(outer*d.between(0.9, 1.4), d.turn())
		case Smear:
			f.Pos = model.Polar(outer*d.between(0.9, 1.3), d.turn())
			f.RXMM, f.RYMM = outer*d.between(0.3, 0.8), outer*d.between(0.2, 0.5)
		}
		out = append(out, f)
	}
	return out
}
